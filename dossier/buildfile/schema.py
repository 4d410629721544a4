"""The published JSON Schema of the build file: found, read once, references followed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path as FilePath
from typing import Any

Schema = Mapping[str, Any]

_NAME = "build.schema.json"
_PACKAGE = FilePath(__file__).resolve().parent.parent

# Every keyword whose error ``explain`` has words for, our own, and those that only explain. A test holds the schema
# to these lists, so that no keyword can stand in the published file without effect or without words.
ASSERTING = frozenset(
    {
        *("type", "enum", "const", "format", "pattern", "minLength", "maxLength", "minimum", "maximum"),
        *("properties", "required", "dependentRequired", "additionalProperties", "propertyNames"),
        *("minProperties", "maxProperties", "items", "minItems", "maxItems", "uniqueItems"),
        *("if", "then", "else", "allOf", "anyOf", "$ref"),
    }
)
OURS = frozenset(
    {
        *("x-quantity", "x-minimum", "x-maximum", "x-above", "x-allowed", "x-words"),  # obeyed
        *("x-refers-to", "x-expected", "x-synonyms", "x-default"),  # the first obeyed, the others explain
    }
)
EXPLAINING = frozenset({"$schema", "$defs", "title", "description", "examples", "default", "x-moves"})


class SchemaMissingError(RuntimeError):
    """The installation is damaged: the schema file is not where it belongs."""


@cache
def build_schema() -> Schema:
    """The schema of the build file: in an installed package beside the code, in a checkout under ``schemas``.

    Raises:
        SchemaMissingError: neither place has it.
    """
    schema: Schema = json.loads(schema_file().read_text(encoding="utf-8"))
    return schema


@cache
def configuration_schema() -> Schema:
    """The schema of the user's configuration file; it refers to that of the build file.

    Raises:
        SchemaMissingError: it is nowhere.
    """
    schema: Schema = json.loads(schema_file("configuration.schema.json").read_text(encoding="utf-8"))
    return schema


def schema_file(name: str = _NAME) -> FilePath:
    """Where a published schema lies.

    Raises:
        SchemaMissingError: it is in neither place.
    """
    for folder in (_PACKAGE / "_schemas", _PACKAGE.parent / "schemas"):
        file = folder / name
        if file.is_file():
            return file
    raise SchemaMissingError(f"{name} is missing from the installed package; install it again")


_flattened: dict[int, Schema] = {}


def flat(node: Schema) -> Schema:
    """A part of the schema with its reference followed; what stands beside ``$ref`` goes first."""
    if "$ref" not in node:
        return node
    known = _flattened.get(id(node))
    if known is None:
        target = build_schema()["$defs"][node["$ref"].removeprefix(_NAME).removeprefix("#/$defs/")]
        known = {**flat(target), **{key: value for key, value in node.items() if key != "$ref"}}
        _flattened[id(node)] = known
    return known


def types(schema: Schema) -> list[str]:
    """The JSON types a schema allows; empty for any."""
    wanted = schema.get("type", [])
    return [wanted] if isinstance(wanted, str) else list(wanted)


def field(path: tuple[str | int, ...]) -> Schema | None:
    """The part of the schema that describes a path of a build file, or None."""
    return inside(build_schema(), path)


def inside(schema: Schema, path: tuple[str | int, ...]) -> Schema | None:
    """The part of a schema that describes a path of its data, or None."""
    node: Any = schema
    for part in path:
        node = flat(node)
        if isinstance(part, int):
            node = node.get("items")
        elif part in node.get("properties", {}):
            node = node["properties"][part]
        else:
            node = node.get("additionalProperties")
        if not isinstance(node, Mapping):
            return None
    return flat(node)
