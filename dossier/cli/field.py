"""``dossier field``: what a field of the build file means, how to find its value, and what it moves."""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Iterator, Sequence

from dossier.assessment.options.measuring import method_of
from dossier.buildfile.fields import ANY, Field, every_field, look_up, near
from dossier.buildfile.search import called, search
from dossier.cli.exit_codes import Exit
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import terminal
from dossier.diagnostic import Diagnostic, Severity

_MOST_SAID = 4  # fields named in a complaint
_MOST_LISTED = 24  # and in a list


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "name", metavar="NAME", nargs="*", help="for example cables.insulation, or only insulation, or a word for it"
    )
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
    if not arguments.name:
        print(_contents())
        return Exit.OK
    return field(" ".join(arguments.name))


def field(name: str) -> int:
    """Explain one field, or every field that may be meant.

    Returns:
        the exit code.
    """
    found, alike = look_up(name), search(name)
    colour, width = terminal(sys.stdout)
    if not found and (found := called(name)[:_MOST_SAID]):
        print(f"the build file calls `{name}` otherwise:\n")
    if not found:
        print_diagnostics((_unknown(name, alike),))
        return Exit.UNUSABLE
    print("\n\n".join("\n".join(_explained(one, colour, width)) for one in found))
    others = [one for one in alike if one not in found]
    if others and "." not in name.strip(".") and all(len(one.path) > 1 for one in found):
        print("\n" + "\n".join(_also(name, others)))
    return Exit.OK


def _unknown(name: str, alike: Sequence[Field]) -> Diagnostic:
    """What is said of a name that no field has."""
    close = near(name)
    if alike and not ("." in name.strip(".") and close):  # of a path the last part is what is mistyped
        shown = ", ".join(f"`dossier field {_typed(one)}` ({one.title})" for one in alike[:_MOST_SAID])
        more = f" and {len(alike) - _MOST_SAID} more" if len(alike) > _MOST_SAID else ""
        fix = f"what is meant may be in {shown}{more}"
    else:
        fix = f"dossier field {close}" if close else "dossier field lists all of them"
    return Diagnostic("unknown-field", Severity.ERROR, f"the build file has no field `{name}`", fix=fix)


def _also(name: str, others: Sequence[Field]) -> Iterator[str]:
    """Fields that the same word may mean as well, a line each."""
    yield f"also about `{name}`; dossier field NAME explains each:"
    longest = max(len(_typed(one)) for one in others[:_MOST_LISTED])
    for one in others[:_MOST_LISTED]:
        yield f"  {_typed(one):<{longest}}  {one.title}"
    if len(others) > _MOST_LISTED:
        yield f"  and {len(others) - _MOST_LISTED} more; dossier field --all prints every one"


def _typed(one: Field) -> str:
    """The name as it is quickest to type: without the places of names."""
    return ".".join(part for part in one.path if part != ANY)


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
    if method := method_of(one.name):
        yield "to measure", f"{method.how}; tools: {method.instruments}"
    if one.default:
        yield "if left out", one.default
    if one.moves:
        yield "moves", ", ".join(one.moves)
    if one.inner:
        yield "holds", ", ".join(one.inner)
    if (entry := every_field().get((*one.path, ANY))) and entry.inner:
        yield "each holds", ", ".join(entry.inner)
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
