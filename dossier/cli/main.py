"""The command line: which command, which arguments, which exit code.

A command is one line in ``COMMANDS`` and one module of its name beside this one, with two functions:
``add_arguments(parser)`` and ``run(arguments) -> int``. The module is imported only when its command runs.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, NoReturn

from dossier import __version__
from dossier.cli.exit_codes import HELP, Exit
from dossier.frozen import dataclass

# A tenth of a dossier's time went into looking for garbage that a process of seconds hardly makes.
YOUNG_OBJECTS = 100_000  # made before the collector looks at them; Python's own number is 700


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its name, what it does, how it is called, and its exit codes where a program would look at them."""

    name: str
    summary: str
    example: str
    exits: str = ""

    @property
    def module(self) -> str:
        """The module that holds it."""
        return f"dossier.cli.{self.name}"


COMMANDS = (
    Command("new", "write a commented starter build file", "dossier new my-car.yaml --kind smallest"),
    Command(
        "check", "validate, compute and print the findings; no PDF", "dossier check car.yaml --show concise",
        "0 no finding says stop, 1 one does (--strict: or caution), 2 a file cannot be used; the largest of several",
    ),
    Command(
        "write", "write the dossier of one or more build files", "dossier write builds/*.yaml -o output -j 2",
        "0 no finding says stop, 1 one does (--strict: or caution), 2 a build file cannot be used, 3 not written",
    ),
    Command("compare", "set the options of a build side by side", "dossier compare car.yaml"),
    Command("fit", "calibrate a build from a measured log", "dossier fit car.yaml --log run.csv -o car-fitted.yaml"),
    Command(
        "verify", "take a dossier apart, compute it again, say what differs", "dossier verify output/car.pdf",
        "0 the same figures, 1 something differs, 2 this is no dossier",
    ),
    Command("extract", "give the build back from a dossier", "dossier extract output/car.pdf -o car"),
    Command("field", "explain a field of the build file", "dossier field cables.insulation"),
    Command("finding", "explain a finding: why it matters, how to fix it", "dossier finding fuse-above-ampacity"),
    Command("completion", "print a completion script for a shell", "dossier completion bash > dossier.bash"),
)


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
    gc.set_threshold(YOUNG_OBJECTS, 20, 20)
    words = list(sys.argv[1:] if argv is None else argv)
    _speak_utf8()
    try:
        code = _dispatch(words)
        if sys.stdout is not None:
            sys.stdout.flush()  # a reader that has gone away is noticed here, not by the interpreter at its end
    except KeyboardInterrupt:  # of a caller in Python; the command itself ends in dossier.__main__
        print("interrupted; nothing was left half-written", file=sys.stderr)
        return Exit.INTERRUPTED
    except MemoryError:
        print("error[out-of-memory]: there is not enough memory for this; nothing was written", file=sys.stderr)
        return Exit.NOT_WRITTEN
    except BrokenPipeError:
        # The reader of our output went away (`dossier check … | head`): not worth words, but no success either.
        _drop_output()
        return Exit.NOT_WRITTEN
    except OSError as problem:
        _drop_output()
        what = f"{problem.filename}: " if problem.filename else ""
        print(f"error[output-not-written]: {what}{problem.strerror or problem}", file=sys.stderr)
        return Exit.NOT_WRITTEN
    except Exception as problem:  # the last fence: a traceback is for us, not for the user
        if os.environ.get("DOSSIER_TRACEBACK"):
            raise
        print(our_fault(problem), file=sys.stderr)
        return Exit.OUR_FAULT
    return code


def our_fault(problem: BaseException) -> str:
    """What is said of an error of our own."""
    return (
        f"error[internal]: {type(problem).__name__}: {problem}\n"
        f"  this is a fault of dossier {__version__}, not of your build file; nothing was written\n"
        "  DOSSIER_TRACEBACK=1 shows where it happened"
    )


def parser(every: bool = True, chosen: str = "") -> argparse.ArgumentParser:
    """The argument parser.

    Args:
        every: whether every command gets its arguments; otherwise only the chosen one does, the others
            are only named, so that their modules need not be imported.
        chosen: the command that is going to run.
    """
    top = _Parser(
        prog="dossier",
        description="One build file in, the PDF record of a vehicle audio installation out.",
        epilog="examples:\n" + "".join(f"  {c.example}\n" for c in COMMANDS) + "\n" + HELP,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    top.add_argument("--version", action=_Version, help="print the version, and those of all that draws, and exit")
    commands = top.add_subparsers(dest="command", metavar="COMMAND")
    for command in COMMANDS:
        inner = commands.add_parser(
            command.name,
            help=command.summary,
            description=command.summary,
            epilog=f"example:\n  {command.example}\n" + (f"\nexit code: {command.exits}\n" if command.exits else ""),
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        if every or command.name == chosen:
            import_module(command.module).add_arguments(inner)
    return top


class _Version(argparse.Action):
    """The version, and the list that every dossier keeps of what it was drawn with."""

    def __init__(self, **given: Any) -> None:
        super().__init__(**{**given, "nargs": 0})

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        from dossier.record.drawn_with import drawn_with

        print(f"dossier {__version__}")
        for name, version in drawn_with().items():
            print(f"  {name}: {version}")
        parser.exit()


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        self.print_usage(sys.stderr)
        self.exit(Exit.UNUSABLE, f"error[usage]: {message}\n  fix: see {self.prog} --help\n")


def _dispatch(words: list[str]) -> int:
    chosen = next((word for word in words if not word.startswith("-")), "")
    top = parser(every=False, chosen=chosen)
    arguments = top.parse_args(words)
    if arguments.command is None:
        top.print_help()
        return Exit.UNUSABLE
    return int(import_module(f"dossier.cli.{arguments.command}").run(arguments))


def _speak_utf8() -> None:
    """Our words are UTF-8 in a file or a pipe; a terminal that cannot show a character gets its number."""
    for stream in (sys.stdout, sys.stderr):
        if stream is not None and hasattr(stream, "reconfigure") and stream.encoding.lower() != "utf-8":
            if stream.isatty():
                stream.reconfigure(errors="backslashreplace")
            else:
                stream.reconfigure(encoding="utf-8")


def _drop_output() -> None:
    """Let nothing more be written to standard output, not even by the interpreter at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
