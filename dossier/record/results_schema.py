"""The JSON Schema of results.json, made from the result classes: run this module to print it.

``schemas/results.schema.json`` is what this prints; a test holds the two together.
"""

from __future__ import annotations

import dataclasses
import inspect
import json
import re
import types
from collections.abc import Mapping
from enum import Enum, StrEnum
from typing import Any, Union, get_args, get_origin, get_type_hints

import numpy as np

from dossier.diagnostic import Diagnostic, Severity
from dossier.record.results_json import FORMAT, left_out
from dossier.results.overview import Results
from dossier.results.units import keys_of

Schema = dict[str, Any]
_ATTRIBUTE = re.compile(r"^    (\w[\w, ]*): (.*)$")

_ABOUT = (
    "Everything computed for one build file. Units stand in the names: _v volts, _a amperes, _w watts, _ohm ohms, "
    "_f farads, _as ampere seconds, _j joules, _s seconds, _d days, _hz hertz, _rpm revolutions per minute, _m metres, "
    "_mm2 square millimetres, _m3_per_h cubic metres per hour, _kg kilograms, _n newtons, _n_m newton metres, "
    "_g times standard gravity, _degc degrees Celsius, _db decibels; _a_s is a list of pairs, each amperes and then "
    "seconds. Numbers carry six significant digits; null is what is not known, or what a collapse leaves without a "
    "value."
)
_HEAD: Schema = {
    "format": {"description": "Version of this file format; a change that breaks readers raises it.", "const": FORMAT},
    "build": {"description": "Name of the build file the results belong to.", "type": "string"},
    "program": {"description": "Name and version of the program that computed them.", "type": "string"},
}
_DIAGNOSTIC: Schema = {
    "description": "One complaint.",
    "type": "object",
    "properties": {
        "code": {"description": "Stable kebab-case code.", "type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$"},
        "title": {"description": "The rule that is broken, in a few words.", "type": "string"},
        "severity": {"$ref": "#/$defs/Severity"},
        "headline": {"description": "The sentence, with its numbers.", "type": "string"},
        "path": {"description": "Dotted path in the build file; may be empty.", "type": "string"},
        "line": {"description": "Line of the build file.", "type": ["integer", "null"]},
        "consequence": {"description": "What follows if nothing is done.", "type": "string"},
        "fix": {"description": "What would cure it.", "type": "string"},
        "source": {"description": "Published source, or common practice.", "type": "string"},
    },
}


def results_schema() -> Schema:
    """The schema; every field of every result class is there, and nothing else is allowed."""
    definitions: Schema = {}
    body = _object(Results, definitions)
    body["properties"] = {**_HEAD, **body["properties"]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Results",
        **_closed(body),
        "description": _ABOUT,
        "$defs": dict(sorted(definitions.items())),
    }


def _closed(schema: Schema) -> Schema:
    return {**schema, "required": list(schema["properties"]), "additionalProperties": False}


def _object(kind: type[Any], definitions: Schema) -> Schema:
    """Schema of a result class; those it refers to are added to ``definitions``."""
    hints = get_type_hints(kind)
    said = _attributes(kind)
    traces: frozenset[str] = left_out(kind)  # type: ignore[arg-type]  # a class is hashable
    properties = {}
    for name, key in keys_of(kind).items():  # type: ignore[arg-type]
        if name not in traces:
            about = {"description": said[name]} if name in said else {}
            properties[key] = {**about, **_schema(hints[name], definitions)}
    summary = " ".join((inspect.getdoc(kind) or "").split("\n\n")[0].split())
    return {"description": summary, "type": "object", "properties": properties}


def _is_union(hint: Any) -> bool:
    return get_origin(hint) in (Union, types.UnionType)


def _schema(hint: Any, definitions: Schema) -> Schema:
    """Schema of one type."""
    plain = {str: "string", bool: "boolean", int: "integer", float: "number", type(None): "null"}
    if hint in plain:
        # A number that is not finite is written as null.
        return {"type": ["number", "null"] if hint is float else plain[hint]}
    if hint is Any:
        return {}
    if _is_union(hint):
        return _either([_schema(part, definitions) for part in get_args(hint)])
    origin, inner = get_origin(hint), get_args(hint)
    if origin is np.ndarray:
        return {"type": "array", "items": {"type": ["number", "null"]}}
    if origin is tuple:
        if len(inner) == 2 and inner[1] is Ellipsis:
            return {"type": "array", "items": _schema(inner[0], definitions)}
        parts = [_schema(part, definitions) for part in inner]
        return {"type": "array", "prefixItems": parts, "minItems": len(parts), "maxItems": len(parts)}
    if isinstance(origin, type) and issubclass(origin, (Mapping, dict)):
        return {"type": "object", "additionalProperties": _schema(inner[1], definitions)}
    if not isinstance(hint, type):
        raise TypeError(f"no schema for {hint}")
    if hint.__name__ not in definitions:
        definitions[hint.__name__] = {}  # a class may hold itself
        definitions[hint.__name__] = _defined(hint, definitions)
    return {"$ref": f"#/$defs/{hint.__name__}"}


def _defined(kind: type[Any], definitions: Schema) -> Schema:
    if kind is Diagnostic:
        definitions.setdefault("Severity", _defined(Severity, definitions))
        return _closed(_DIAGNOSTIC)
    if issubclass(kind, Enum):
        words = [_word(one) for one in kind]
        return {"description": (inspect.getdoc(kind) or "").split("\n")[0], "enum": words}
    if dataclasses.is_dataclass(kind):
        return _closed(_object(kind, definitions))
    raise TypeError(f"no schema for {kind}")


def _word(one: Enum) -> str:
    """How results.json writes a member: a text that is an enum as itself, any other by its name."""
    if isinstance(one, Severity):
        return one.word
    return one.value if isinstance(one, StrEnum) else one.name.lower()


def _either(parts: list[Schema]) -> Schema:
    """Any of several; plain types together in one list."""
    if all(set(part) == {"type"} for part in parts):
        named: list[str] = []
        for part in parts:
            named += part["type"] if isinstance(part["type"], list) else [part["type"]]
        return {"type": list(dict.fromkeys(named))}
    return {"anyOf": parts}


def _attributes(kind: type[Any]) -> dict[str, str]:
    """What the docstring says of each attribute."""
    lines = (inspect.getdoc(kind) or "").splitlines()
    said: dict[str, str] = {}
    name = ""
    for line in lines[lines.index("Attributes:") + 1 :] if "Attributes:" in lines else []:
        if found := _ATTRIBUTE.match(line):
            name = found[1]
            said |= dict.fromkeys((one.strip() for one in name.split(",")), found[2])
        elif name and line.startswith("        "):
            said |= {one.strip(): f"{said[one.strip()]} {line.strip()}" for one in name.split(",")}
    return {one: f"{text[:1].upper()}{text[1:]}" for one, text in said.items()}


def printed() -> str:
    """The schema as it stands in the file."""
    return json.dumps(results_schema(), ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    import sys

    sys.stdout.write(printed())
