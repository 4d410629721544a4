"""The form of a field as advice: its words, units and names, never a figure or a choice that could be copied.

An example that is taken over unread is dangerous: a fuse of 150 A because the message said so. So whatever
decides something stands as ``N``, ``WORD`` or ``NAME``, none of which the reader accepts.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dossier.buildfile.names import listed
from dossier.buildfile.positions import Positions
from dossier.buildfile.schema import Schema, flat
from dossier.buildfile.units import KINDS
from dossier.buildfile.words import flow, json_type

_FEW = 3  # words that are all named where the value stands


def advice(key: str, schema: Schema, positions: Positions) -> str:
    """How a field that is missing is added, for example `` `rating: N A` with its own figure for N``."""
    schema = flat(schema)
    if words := _words(schema):
        if len(words) <= _FEW and "x-quantity" not in schema:
            return " or ".join(f"`{key}: {word}`" for word in words) + ", whichever is true"
        other = f", or {KINDS[schema['x-quantity']].label}" if "x-quantity" in schema else ""
        return f"`{key}: WORD` with one of {listed(words)}{other} for WORD"
    if section := schema.get("x-refers-to"):
        known = names_in(section, positions)
        return f"`{key}: NAME` with {f'one of {listed(known)}' if known else f'an entry of `{section}`'} for NAME"
    text = form(schema)
    placeholders = [word for word in ("N", "WORD", "NAME") if word in text.replace(":", " ").replace("{", " ").split()]
    if schema.get("x-quantity") == "area":
        return f"`{key}: N mm2` or `{key}: N AWG` with its own figure for N"
    if "x-quantity" in schema or text == "N":
        return f"`{key}: {text}` with its own figure for N"
    if placeholders:
        return f"`{key}: {text}` with your own for {' and '.join(placeholders)}"
    return f"for example `{key}: {text}`" if "const" not in schema else f"`{key}: {text}`"


def form(schema: Schema, given: Mapping[str, str] | None = None) -> str:
    """A value of this kind with placeholders for everything that decides something.

    Args:
        schema: the part of the schema.
        given: texts of inner fields that are known already.
    """
    schema = flat(schema)
    if "const" in schema:
        return str(schema["const"])
    if kind := schema.get("x-quantity"):
        units = KINDS[kind].listed
        return f"N {units[0]}" if units else "N"
    if words := _words(schema):
        return "WORD" if len(words) > _FEW else "|".join(words)
    if "x-refers-to" in schema:
        return "NAME"
    is_a = json_type(schema["examples"][0]) if "examples" in schema else schema.get("type")
    if is_a == "integer":
        return "N"
    if is_a == "object":
        return _map(schema, given or {})
    return flow(schema["examples"][0]) if "examples" in schema else "…"


def names_in(section: str, positions: Positions) -> list[str]:
    """The names that a section of the build file has."""
    return [str(path[1]) for path in positions.marks if len(path) == 2 and path[0] == section]


def _words(schema: Schema) -> list[str]:
    if schema.get("type") == "boolean":
        return ["true", "false"]
    return [str(word) for word in (*schema.get("enum", ()), *schema.get("x-words", ()))]


def _map(schema: Schema, given: Mapping[str, str]) -> str:
    fields: Mapping[str, Any] = schema.get("properties", {})
    example = schema.get("examples", ({},))[0]
    others = schema.get("additionalProperties")
    if not fields and isinstance(others, Mapping):
        keys = flat(schema.get("propertyNames", {}))
        name = form(keys) if "x-quantity" in keys else "NAME"
        return f"{{{name}: {given.get('*') or form(others)}}}"
    wanted = [key for key in (*schema.get("required", ()), *example, *given) if isinstance(fields.get(key), Mapping)]
    if not wanted:
        return flow(example)
    return f"{{{', '.join(f'{key}: {given.get(key) or form(fields[key])}' for key in dict.fromkeys(wanted))}}}"
