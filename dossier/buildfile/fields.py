"""Every field of the build file as the published schema explains it: for help, starter comments and the reference."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from dossier.buildfile.names import nearest
from dossier.buildfile.schema import Schema, build_schema, flat
from dossier.buildfile.units import KINDS
from dossier.buildfile.words import flow, json_type
from dossier.frozen import dataclass

ANY = "*"  # stands for a name the user gives, or for a place in a list
Pattern = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Field:
    """One field."""

    path: Pattern  # its place in the build file, with ``*`` for names the user gives
    title: str  # what it is called
    description: str  # what it is, and how to measure or find it
    kind: str  # the kind of quantity or value, in words
    units: str  # the units that would do, in words; empty if it is no quantity
    choices: tuple[str, ...]  # the words that would do; empty if it is no choice
    bounds: str  # what is accepted, in words; may be empty
    refers_to: str  # the section whose names it takes; may be empty
    default: str  # what holds if it is left out, in words; may be empty
    required: bool  # whether it must be there
    examples: tuple[str, ...]  # values as they would be written
    moves: tuple[str, ...]  # the results that change with it, in words
    inner: tuple[str, ...]  # names of the fields inside it
    also: tuple[str, ...]  # other words for it, or for one of its choices, that are understood but not accepted

    @property
    def name(self) -> str:
        """The path as the user types it, for example ``cables.*.length``."""
        return ".".join(self.path)


@cache
def every_field() -> Mapping[Pattern, Field]:
    """Path -> field, in the order of the schema."""
    return {field.path: field for field in _walk(build_schema(), (), required=True, moves=(), also=())}


def field_at(path: tuple[str | int, ...]) -> Field | None:
    """The field that describes a path of a build file, or None."""
    node: Any = build_schema()
    pattern: list[str] = []
    for part in path:
        node = flat(node)
        if isinstance(part, str) and isinstance(node.get("properties", {}).get(part), Mapping):
            pattern.append(part)
            node = node["properties"][part]
            continue
        node = node.get("items" if isinstance(part, int) else "additionalProperties")
        pattern.append(ANY)
        if not isinstance(node, Mapping):
            return None
    return every_field().get(tuple(pattern))


def look_up(name: str) -> tuple[Field, ...]:
    """The fields a user may mean: by path with or without names, or by the last part alone; empty if none."""
    wanted = tuple(part for part in name.strip().strip(".").split(".") if part)
    if not wanted:
        return ()
    bare = tuple(part for part in wanted if part != ANY)
    every = every_field().values()
    plain = [(tuple(part for part in one.path if part != ANY), one) for one in every if one.path[-1:] != (ANY,)]
    if same := [one for path, one in plain if path == bare]:
        return tuple(same)
    exact = field_at(wanted)
    if exact and not (exact.path[-1] == ANY and nearest(wanted[-1], exact.inner)):  # a name, and no slip of the pen
        return (exact,)
    return tuple(one for path, one in plain if path[-len(bare) :] == bare)


def near(name: str) -> str:
    """The known name most like ``name``, or an empty text."""
    last = name.strip(".").split(".")[-1]
    return nearest(last, dict.fromkeys(path[-1] for path in every_field() if path[-1] != ANY))


def _walk(
    node: Schema, path: Pattern, *, required: bool, moves: tuple[str, ...], also: tuple[str, ...]
) -> Iterator[Field]:
    node = flat(node)
    moves = tuple(node.get("x-moves", moves))
    fields = {key: inner for key, inner in node.get("properties", {}).items() if isinstance(inner, Mapping)}
    inner_names = {key: inner for key, inner in fields.items() if not _part_of_quantity(key, node)}
    if path:
        yield _field(node, path, required, moves, tuple(inner_names), also)
    synonyms: Mapping[str, str] = node.get("x-synonyms", {})
    for key, inner in inner_names.items():
        others = tuple(word for word, meant in synonyms.items() if meant == key)
        yield from _walk(inner, (*path, key), required=key in node.get("required", ()), moves=moves, also=others)
    for key in ("additionalProperties", "items"):
        if isinstance(node.get(key), Mapping):
            yield from _walk(node[key], (*path, ANY), required=False, moves=moves, also=())


def _part_of_quantity(key: str, node: Schema) -> bool:
    return "x-quantity" in node and key in ("value", "basis", "tolerance")


def _field(
    node: Schema, path: Pattern, required: bool, moves: tuple[str, ...], inner: tuple[str, ...], also: tuple[str, ...]
) -> Field:
    kind = node.get("x-quantity", "")
    choices = [*node.get("enum", ()), *node.get("x-words", ())]
    if json_type(node.get("default")) == "boolean" or node.get("type") == "boolean":
        choices = ["true", "false"]
    default = node.get("x-default", flow(node["default"]) if "default" in node else "")
    return Field(
        path=path,
        title=node["title"],
        description=node["description"],
        kind=_kind(node, kind),
        units=KINDS[kind].in_words if kind else "",
        choices=tuple(str(choice) for choice in choices),
        bounds=_bounds(node),
        refers_to=node.get("x-refers-to", ""),
        default=default,
        required=required,
        examples=tuple(flow(example, 240) for example in node["examples"]),
        moves=moves,
        inner=inner,
        also=(*also, *(node.get("x-synonyms", {}) if choices else ())),
    )


def _kind(node: Schema, quantity: str) -> str:
    if quantity:
        return KINDS[quantity].label
    if "enum" in node:
        return "one of the words known here"
    names = {"object": "a map", "array": "a list", "integer": "a whole number", "boolean": "true or false"}
    types = node.get("type", "string")
    listed = [types] if isinstance(types, str) else types
    return " or ".join(dict.fromkeys(names.get(one, "text") for one in listed))


def _bounds(node: Schema) -> str:
    if "x-allowed" in node:
        return f"one of {', '.join(node['x-allowed'])}"
    said = [f"more than {node['x-above']}"] if "x-above" in node else []
    low, high = node.get("x-minimum", node.get("minimum")), node.get("x-maximum", node.get("maximum"))
    if low is not None:
        said.append(f"at least {low}")
    if high is not None:
        said.append(f"at most {high}")
    return ", ".join(said)
