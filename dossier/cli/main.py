"""The command line: which command, which arguments, which exit code."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from dossier import __version__
from dossier.cli.exit_codes import HELP, Exit


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        argv: the arguments without the program's name; those of the process if None.

    Returns:
        the exit code, see ``dossier.cli.exit_codes``.
    """
    # The networks are small: threads of the linear-algebra library only cost time here.
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    parser = _parser()
    arguments = parser.parse_args(argv)
    if arguments.command is None:
        parser.print_help()
        return Exit.UNUSABLE
    try:
        return int(_run(arguments))
    except KeyboardInterrupt:
        print("interrupted; nothing was left half-written", file=sys.stderr)
        return Exit.INTERRUPTED
    except BrokenPipeError:
        # The reader of our output went away (`dossier check … | head`): not an error worth words.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.OK
    except Exception as error:  # the last fence: a traceback is for us, not for the user
        if os.environ.get("DOSSIER_TRACEBACK"):
            raise
        print(
            f"error[internal]: {type(error).__name__}: {error}\n"
            f"  this is a fault of dossier {__version__}, not of your build file; nothing was written\n"
            "  DOSSIER_TRACEBACK=1 shows where it happened",
            file=sys.stderr,
        )
        return Exit.OUR_FAULT


def _run(arguments: argparse.Namespace) -> int:
    if arguments.command == "check":
        from dossier.cli.check import check

        return check(arguments.build, show=arguments.show, strict=arguments.strict)
    if arguments.command == "write":
        from dossier.cli.write import write

        return write(
            arguments.builds,
            directory=arguments.output,
            paper=arguments.paper,
            results=arguments.results,
            quick=arguments.quick,
            strict=arguments.strict,
        )
    from dossier.cli.new import new

    return new(arguments.path, kind=arguments.kind, bare=arguments.bare)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="dossier",
        description="One build file in, the PDF record of a vehicle audio installation out.",
        epilog=HELP,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"dossier {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    def command(name: str, summary: str, example: str) -> argparse.ArgumentParser:
        return commands.add_parser(
            name,
            help=summary,
            description=summary,
            epilog=f"example:\n  {example}\n\n{HELP}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )

    write = command(
        "write", "write the dossier of one or more build files", "dossier write car.yaml -o output"
    )
    write.add_argument("builds", metavar="BUILD.yaml", type=Path, nargs="+", help="build file")
    write.add_argument(
        "-o", "--output", metavar="DIR", type=Path, default=Path("output"), help="where to (default: output)"
    )
    write.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size (default: a4)")
    write.add_argument("--results", action="store_true", help="also write <stem>.results.json")
    write.add_argument("--quick", action="store_true", help="leave out the uncertainty bands")
    write.add_argument("--strict", action="store_true", help="exit 1 for a caution too")

    check = command(
        "check", "validate, compute and print the findings; no PDF", "dossier check car.yaml --show concise"
    )
    check.add_argument("build", metavar="BUILD.yaml", type=Path, help="build file")
    check.add_argument(
        "--show", choices=("full", "concise", "json"), default="full", help="how (default: full)"
    )
    check.add_argument("--strict", action="store_true", help="exit 1 for a caution too")

    new = command("new", "write a commented starter build file", "dossier new my-car.yaml")
    new.add_argument("path", metavar="PATH", type=Path, help="file to write; never overwritten")
    new.add_argument(
        "--kind",
        choices=("smallest", "daily", "competition", "options"),
        default="daily",
        help="starting point (default: daily)",
    )
    new.add_argument("--bare", action="store_true", help="leave out the explanations")
    return parser
