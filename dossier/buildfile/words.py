"""Values and kinds of value as they are shown in messages."""

from __future__ import annotations

from typing import Any

NAME_RULE = "small letters, digits and underscores, beginning with a letter, at most 40 characters"

_TYPES = {
    "object": "a map of names and values",
    "array": "a list",
    "string": "text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "`true` or `false`",
    "null": "no value",
}


def json_type(value: Any) -> str:
    """The JSON type of a value."""
    if value is None:
        return "null"
    for kind, name in (
        (bool, "boolean"),
        (int, "integer"),
        (float, "number"),
        (str, "string"),
        (list, "array"),
    ):
        if isinstance(value, kind):
            return name
    return "object"


def type_in_words(names: list[str]) -> str:
    """JSON types in words."""
    return " or ".join(_TYPES[name] for name in names)


def in_words(value: Any) -> str:
    """What a value is, in words."""
    return _TYPES[json_type(value)]


def flow(value: Any, limit: int = 100) -> str:
    """A value on one line as it would be written in the build file, cut when long."""
    text = _flow(value)
    return text if len(text) <= limit else text[: limit - 1] + "…"


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    return str(value).replace("\n", " ")
