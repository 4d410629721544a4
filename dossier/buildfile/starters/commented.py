"""Adds the schema's explanations to a build file, each above the line on which its field first appears."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass, field

import yaml

from dossier.buildfile.fields import ANY, Field, every_field, field_at

_WIDTH = 110
_HOW = (
    "Replace the values by your own and delete what you do not have. Every quantity carries its unit; of any "
    "quantity you may say what it rests on and how far it may be off, for example "
    "{value: 4.2 mohm, basis: measured, tolerance: 10 %}. More about any field: dossier field NAME. "
    "What is wrong or missing: dossier check THIS-FILE."
)


@dataclass(slots=True)
class _Line:
    """What stands above one line of the build file."""

    indent: int
    comments: list[str] = field(default_factory=list)


def commented(text: str) -> str:
    """``text`` with a comment for every field it uses.

    Args:
        text: a valid build file whose first line is a comment that says what it is.
    """
    lines = text.splitlines()
    above: dict[int, _Line] = {}
    told: set[tuple[str, ...]] = set()
    said: set[str] = set()  # a title is explained once, not for every section
    for key, path in _keys(yaml.compose(text, Loader=yaml.SafeLoader), ()):
        one = field_at(path)
        if one is None or one.path in told:
            continue
        told.add(one.path)
        number = key.start_mark.line
        block = lines[number][: key.start_mark.column].strip() in ("", "-")
        here = above.setdefault(number, _Line(len(lines[number]) - len(lines[number].lstrip())))
        for comment in _explain(one, path[-1], own_line=block):
            if comment not in said:
                said.add(comment)
                here.comments.append(comment)
    out = [lines[0], *_wrapped(_HOW, 0, "# ")]
    for number, line in enumerate(lines[1:], 1):
        if number in above:
            comments, indent = above[number].comments, above[number].indent
            out += [made for comment in comments for made in _wrapped(comment, indent, "# ")]
        out.append(line)
    return "\n".join(out) + "\n"


def _keys(node: yaml.Node | None, path: tuple[str | int, ...]) -> Iterator[tuple[yaml.Node, tuple[str | int, ...]]]:
    """Every key with its path, in the order of the file."""
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            inner = (*path, str(key.value))
            yield key, inner
            yield from _keys(value, inner)
    elif isinstance(node, yaml.SequenceNode):
        for index, item in enumerate(node.value):
            yield from _keys(item, (*path, index))


def _explain(one: Field, name: str | int, *, own_line: bool) -> list[str]:
    """The comment paragraphs of one field."""
    if one.path[-1] == ANY:
        return [f"{one.description} The name is yours."] if own_line else []
    said = f"{name}: {one.description}"
    if one.choices:
        said += f" [{' | '.join(one.choices)}]"
    elif one.units and not one.inner:
        said += f" [{one.units}]"
    if one.refers_to:
        said += f" One of the names under `{one.refers_to}`."
    if one.default:
        said += f" If left out: {one.default}."
    return [said, *_also(one)]


def _also(one: Field) -> list[str]:
    """What else could stand inside a section's entries: named, so that it can be looked up."""
    every = every_field()
    entry = every.get((*one.path, ANY))
    if entry is None or not entry.inner:
        return []
    return [f"Fields of each: {', '.join(entry.inner)}."]


def _wrapped(text: str, indent: int, mark: str) -> list[str]:
    first = " " * indent + mark
    return textwrap.wrap(
        text, _WIDTH, initial_indent=first, subsequent_indent=first + "  ",
        break_long_words=False, break_on_hyphens=False,
    )

