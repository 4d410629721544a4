"""A value of the wrong shape, such as text or a list where a map belongs: what to write instead."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from dossier.buildfile.forms import form
from dossier.buildfile.quantities import QuantityError, parse
from dossier.buildfile.schema import Schema, flat
from dossier.buildfile.words import flow


def shape_cure(value: Any, wanted: list[str], schema: Schema, key: str, *, dashes: bool) -> str:
    """The advice on a value of the wrong type; empty if there is none.

    Args:
        value: what the build file says.
        wanted: the JSON types that would do.
        schema: the part of the schema that describes it.
        key: the name it stands under.
        dashes: whether a list is written with dashes rather than between brackets.
    """
    if value is None:
        return "write the value, or delete the line; `null` is for the changes of an option"
    if wanted == ["boolean"] and isinstance(value, str):
        yes = value.casefold() in ("yes", "y", "on", "true", "1")
        no = value.casefold() in ("no", "n", "off", "false", "0")
        return f"write `{'true' if yes else 'false'}`, without quotes" if yes or no else ""
    if wanted == ["integer"] and isinstance(value, str) and re.fullmatch("[0-9]{1,9}", value):
        return f"write `{int(value)}`, without quotes"
    if wanted == ["object"] and isinstance(value, list):
        return _without_dash(value, schema) if dashes else f"write it between {{ }}, in the form `{form(schema)}`"
    if wanted == ["object"] and isinstance(value, (str, int, float)):
        return _wrapped(str(value), schema, key)
    if wanted == ["string"] and isinstance(value, dict) and len(value) == 1:
        (name, rest), = value.items()
        return f'a text with a colon needs quotes: "{name}: {flow(rest)}"' if isinstance(rest, str) else ""
    if "array" in wanted and isinstance(value, str):
        return f"write it as a list, one line for each entry, each with a dash before it: `- {flow(value, 60)}`"
    return f"write it in the form `{form(schema)}`" if "examples" in schema else ""


def _without_dash(value: list[Any], schema: Schema) -> str:
    """A list with dashes where names belong."""
    others = schema.get("additionalProperties")
    fields = flat(others).get("properties", {}) if isinstance(others, Mapping) else schema.get("properties", {})
    first = value[0] if value else None
    if not isinstance(first, dict) or not first:
        return f"write it without dashes, in the form `{form(schema)}`"
    name = next(iter(first))
    if isinstance(others, Mapping) and name in fields:  # `- at: boot`: an entry without a name
        return f"remove the dash and give the entry a name: `NAME:`, with `{name}` and the rest indented below it"
    below = f"; what belongs to `{name}` is indented below it" if isinstance(others, Mapping) and fields else ""
    return f"remove the dash before `{name}`{below}"


def _wrapped(text: str, schema: Schema, key: str) -> str:
    """One bare quantity where a map is wanted that could hold it: `rated: 1000 W`."""
    others = schema.get("additionalProperties")
    fields: Mapping[str, Any] = schema.get("properties", {})
    example = f", as in `{flow(schema['examples'][0])}`" if "examples" in schema else ""
    if not fields and isinstance(others, Mapping) and _is_quantity(text, others):
        shown = form(schema, {"*": text})
        return f"write `{key}: {shown}` with what it is stated for in place of N{example}"
    for name, inner in fields.items():
        if isinstance(inner, Mapping) and name in schema.get("required", ()) and _is_quantity(text, inner):
            return f"write `{key}: {form(schema, {name: text})}`{example}"
    return f"write it in the form `{form(schema)}`"


def _is_quantity(text: str, schema: Schema) -> bool:
    kind = flat(schema).get("x-quantity")
    if not kind:
        return False
    try:
        parse(kind, text)
    except QuantityError:
        return False
    return True
