"""What the exit codes mean; printed in the main help; a command's own help says what is its own."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum

from dossier.diagnostic import Diagnostic, Severity


class Exit(IntEnum):
    """Exit codes of every command; with several build files, the largest of them."""

    OK = 0  # no finding `stop`
    STOP = 1  # at least one `stop`; the dossier is still written
    UNUSABLE = 2  # the build file or the call cannot be used
    NOT_WRITTEN = 3  # the output could not be written
    OUR_FAULT = 4  # an error of the program itself
    INTERRUPTED = 130


HELP = """exit codes (with several build files, the largest):
  0    no finding says stop
  1    at least one finding says stop (the dossier is still written); with --strict, a caution counts too;
       of verify: something differs; of fit: the build does not explain the log, and nothing is written
  2    the build file or the call cannot be used
  3    the output could not be written
  4    an error of this program
  130  interrupted
"""


def exit_code(findings: Iterable[Diagnostic], strict: bool) -> Exit:
    """Exit code that a list of findings asks for; ``strict`` counts a caution like a stop."""
    worst = max((f.severity for f in findings), default=Severity.OK)
    return Exit.STOP if worst >= (Severity.CAUTION if strict else Severity.STOP) else Exit.OK
