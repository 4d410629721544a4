"""``dossier field``: what a field of the build file means, how to find its value, and what it moves."""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Iterator

from dossier.buildfile.fields import ANY, Field, every_field, look_up, near
from dossier.cli.exit_codes import Exit
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import terminal
from dossier.diagnostic import Diagnostic, Severity


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("name", metavar="NAME", nargs="?", help="for example cables.insulation, or only insulation")
    parser.add_argument("--all", action="store_true", help="print every field as one Markdown page")
    parser.add_argument("--schema", action="store_true", help="print the JSON Schema of the build file, for an editor")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.schema:
        from dossier.buildfile.schema import schema_file

        print(schema_file().read_text(encoding="utf-8"), end="")
        return Exit.OK
    if arguments.all:
        print(reference_page())
        return Exit.OK
    if arguments.name is None:
        print(_contents())
        return Exit.OK
    return field(arguments.name)


def field(name: str) -> int:
    """Explain one field, or every field that may be meant.

    Returns:
        the exit code.
    """
    found = look_up(name)
    if not found:
        close = near(name)
        said = Diagnostic(
            "unknown-field", Severity.ERROR, f"the build file has no field `{name}`",
            fix=f"dossier field {close}" if close else "dossier field lists all of them",
        )
        print_diagnostics((said,))
        return Exit.UNUSABLE
    colour, width = terminal(sys.stdout)
    print("\n\n".join("\n".join(_explained(one, colour, width)) for one in found))
    return Exit.OK


def reference_page() -> str:
    """Every field as one Markdown page."""
    lines = [
        "# Fields of the build file",
        "",
        "Made by `dossier field --all` from the schema. `*` stands for a name of your own, or for a place in a list.",
    ]
    for one in every_field().values():
        lines += ["", f"{'##' if len(one.path) == 1 else '###'} `{one.name}`: {one.title}", "", one.description, ""]
        lines += [f"- {label}: {text}" for label, text in _facts(one)]
    return "\n".join(lines)


def _facts(one: Field) -> Iterator[tuple[str, str]]:
    """What is known of a field, each with its label."""
    yield "is", one.kind + (", must be there" if one.required else "")
    if one.units and one.units != "a plain number":
        yield "units", one.units
    if one.choices:
        yield "words", ", ".join(one.choices)
    if one.refers_to:
        yield "refers to", f"a name under `{one.refers_to}`"
    if one.bounds:
        yield "bounds", one.bounds
    if one.default:
        yield "if left out", one.default
    if one.moves:
        yield "moves", ", ".join(one.moves)
    if one.inner:
        yield "holds", ", ".join(one.inner)
    yield "for example", "; ".join(f"{_key(one)}{example}" for example in one.examples)


def _key(one: Field) -> str:
    return "" if one.path[-1] == ANY else f"{one.path[-1]}: "


def _explained(one: Field, colour: bool, width: int) -> Iterator[str]:
    name = f"\x1b[1m{one.name}\x1b[0m" if colour else one.name
    yield f"{name}  ({one.title})"
    yield from _wrapped(one.description, "  ", "  ", width)
    for label, text in _facts(one):
        yield from _wrapped(text, f"  {label + ':':<13} ", " " * 16, width)


def _wrapped(text: str, first: str, rest: str, width: int) -> list[str]:
    return textwrap.wrap(
        text, max(width, 60), initial_indent=first, subsequent_indent=rest,
        break_long_words=False, break_on_hyphens=False,
    )


def _contents() -> str:
    every = every_field()
    lines = ["Fields of the build file; dossier field NAME explains one, dossier field --all prints all of them.", ""]
    for one in every.values():
        if len(one.path) == 1:
            entry = every.get((*one.path, ANY), one)
            lines += _wrapped(", ".join(entry.inner), f"  {one.name:<16} ", " " * 19, 100) or [f"  {one.name}"]
    return "\n".join(lines)
