"""``dossier new``: a commented starter build file."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from dossier.buildfile.starters import STARTERS, plain_starter, starter, summary
from dossier.cli.exit_codes import Exit
from dossier.cli.terminal import render, terminal
from dossier.diagnostic import Diagnostic, Severity


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("path", metavar="PATH", type=Path, help="file to write; never overwritten")
    parser.add_argument("--kind", choices=STARTERS, default="daily", help="starting point (default: daily)")
    parser.add_argument("--bare", action="store_true", help="leave out the explanations")
    parser.epilog = "starting points:\n" + "".join(
        f"  {kind:<12} {summary(kind)}\n" for kind in STARTERS
    ) + f"\n{parser.epilog}"


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    return new(arguments.path, kind=arguments.kind, bare=arguments.bare)


def new(path: Path, *, kind: str, bare: bool) -> int:
    """Write a starter build file; nothing that exists is ever overwritten.

    Args:
        path: the file to write.
        kind: which starting point.
        bare: whether to leave out the explanations.

    Returns:
        the exit code.
    """
    text = plain_starter(kind) if bare else starter(kind)
    text = text.replace("\n", f"\n{_editor_lines(path)}\n", 1)
    if path.exists() or path.is_symlink():
        return _refuse_to_overwrite(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.write(text)
        except FileExistsError:  # it came into being since
            return _refuse_to_overwrite(path)
    except (OSError, ValueError) as problem:  # ValueError: a name that no file can have
        reason = getattr(problem, "strerror", None) or str(problem)
        return _refuse("output-not-written", f"cannot write {path}: {reason}", "choose another place", Exit.NOT_WRITTEN)
    print(f"wrote {path}: {summary(kind)}")
    print(f"fill it in, then:  dossier check {path}")
    return Exit.OK


def _editor_lines(path: Path) -> str:
    """The comment by which editors find the schema, and with it completion and explanations.

    Where the program lies in a folder below the build file (``.venv`` in a project), the path is relative and
    says nothing of the computer. Elsewhere only an absolute one can be found.
    """
    from dossier.buildfile.schema import schema_file

    file, folder = schema_file(), path.absolute().parent
    inside = file.is_relative_to(folder) and not any(c.isspace() for c in str(file.relative_to(folder)))
    where = file.relative_to(folder).as_posix() if inside else file.as_uri()
    return (
        "# By the next line editors find the schema, to complete and explain the fields. It holds for this computer,\n"
        "# nothing else reads it, and it may be deleted, for example before the file goes to somebody else.\n"
        f"# yaml-language-server: $schema={where}"
    )


def _refuse_to_overwrite(path: Path) -> int:
    what = "a directory" if path.is_dir() else "there already"
    return _refuse("file-exists", f"{path} is {what}; nothing was written", "choose another name", Exit.UNUSABLE)


def _refuse(code: str, headline: str, fix: str, exit_code: Exit) -> int:
    colour, width = terminal(sys.stderr)
    said = Diagnostic(code, Severity.ERROR, headline, fix=fix)
    print(render(said, "full", colour=colour, width=width), file=sys.stderr)
    return exit_code
