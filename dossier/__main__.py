"""The command, and ``python -m dossier``: from the first line to the last a request to end is answered with 130.

It is answered here and not by an exception, which imports and clean-up would print or lose.
"""

import _signal  # type: ignore[import-not-found]  # the module signal is made of: nothing to import that could be interrupted
import os
import sys

_OWN = os.getpid()


def _interrupted(_number: int, _frame: object) -> None:
    """Clean up, say it, end; a process that divided off has nothing to clean up."""
    if os.getpid() == _OWN:
        _signal.signal(_signal.SIGINT, _signal.SIG_IGN)
        _signal.signal(_signal.SIGTERM, _signal.SIG_IGN)
        try:  # noqa: SIM105  # nothing imported here
            os.write(2, b"interrupted; nothing was left half-written\n")
        except OSError:
            pass
        _tidy()
    os._exit(130)


def _tidy() -> None:
    import atexit

    atexit._run_exitfuncs()  # temporary files, processes of -j


_signal.signal(_signal.SIGINT, _interrupted)
_signal.signal(_signal.SIGTERM, _interrupted)


def main() -> None:
    """Run the command of this process and end the process with its exit code."""
    try:
        from dossier.cli.main import main as command

        code: object = command()
    except SystemExit as end:
        code = end.code
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except OSError:  # the reader is gone
            code = code or 3
    _tidy()
    os._exit(code if isinstance(code, int) else 1 if code else 0)


if __name__ == "__main__":
    main()
