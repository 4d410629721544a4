"""What the exit codes mean; printed in the help."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """Exit codes of every command; with several build files, the worst of them."""

    OK = 0  # no finding `stop`
    STOP = 1  # at least one `stop`; the dossier is still written
    UNUSABLE = 2  # the build file or the call cannot be used
    NOT_WRITTEN = 3  # the output could not be written
    OUR_FAULT = 4  # an error of the program itself
    INTERRUPTED = 130


HELP = """exit codes:
  0    no finding says stop
  1    at least one finding says stop (the dossier is still written); with --strict, a caution counts too
  2    the build file or the call cannot be used
  3    the output could not be written
  4    an error of this program
  130  interrupted
"""
