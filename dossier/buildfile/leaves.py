"""Checks of single values against the schema: types, texts, words, dates, whole numbers."""

from __future__ import annotations

import datetime
import re
from functools import lru_cache
from typing import Any

from dossier.buildfile.complaints import Complaints, suggestion
from dossier.buildfile.dates import date_cure
from dossier.buildfile.names import Path, called, listed
from dossier.buildfile.schema import Schema
from dossier.buildfile.shapes import shape_cure
from dossier.buildfile.spelling import space_missing, spaceless
from dossier.buildfile.words import NAME_RULE, flow, in_words, json_type, type_in_words


@lru_cache(maxsize=256)
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def is_type(value: Any, wanted: list[str]) -> bool:
    """Whether a value has one of the JSON types; 2.0 is an integer (JSON Schema 2020-12, core 4.2.3)."""
    is_a = json_type(value)
    whole = is_a == "number" and "integer" in wanted and value.is_integer()
    return is_a in wanted or whole or (is_a == "integer" and "number" in wanted)


def types(schema: Schema) -> list[str]:
    """The JSON types a schema allows; empty for any."""
    wanted = schema.get("type", [])
    return [wanted] if isinstance(wanted, str) else list(wanted)


def check_type(value: Any, schema: Schema, path: Path, complaints: Complaints) -> bool:
    """Complain about a value of the wrong type."""
    wanted = types(schema)
    if not wanted or is_type(value, wanted):
        return True
    shown, is_a = type_in_words(wanted), json_type(value)
    if not path:
        complaints.add(
            "wrong-type", f"the file is {in_words(value)}", complaints.positions.value(path), path, shown
        )
    elif "object" in wanted and isinstance(value, str) and (word := spaceless(value)):
        headline, cure = space_missing(*word)
        where = complaints.positions.value(path)
        complaints.add("space-after-colon", headline, where, path, "a name, a colon, a space, a value", cure)
    elif schema.get("format") == "date" and is_a == "integer":
        _check_date(str(value), schema, path, complaints)
    elif "string" in wanted and is_a in ("integer", "number", "boolean"):
        where = complaints.positions.value(path)
        written = where.text[where.column - 1 : where.column - 1 + where.width]
        what = f"is text, but unquoted `{written}` is read as {in_words(value)}"
        complaints.at_value("quote-it", path, what, shown, f'quote it: "{written}"')
    else:
        where = complaints.positions.value(path)
        dashes = where.text[where.column - 1 : where.column] == "-"
        fix = shape_cure(value, wanted, schema, str(path[-1]), dashes=dashes)
        what = f"is {in_words(value)}: `{flow(value)}`"
        complaints.at_value("wrong-type", path, what, shown, fix)
    return False


def check_text(value: str, schema: Schema, path: Path, complaints: Complaints) -> None:
    """Complain about a text that is no word of a list, no date, ambiguous, empty, too long."""
    if "enum" in schema:
        if value not in schema["enum"]:
            fix = suggestion(value, schema["enum"], schema)
            complaints.at_value(
                "unknown-word", path, f"is `{value}`", f"one of {listed(schema['enum'])}", fix
            )
    elif complaints.positions.plain(path):
        what = f"is text, but unquoted `{value}` has another meaning to some readers of YAML"
        complaints.at_value("quote-it", path, what, "text", f'quote it: "{value}"')
    elif len(value) < schema.get("minLength", 0) or not value.strip():
        complaints.at_value("empty-text", path, "is an empty text", "text", "write it, or delete the line")
    elif len(value) > schema.get("maxLength", len(value)):
        limit = schema["maxLength"]
        complaints.at_value("text-too-long", path, f"has {len(value)} characters", f"at most {limit}")
    elif schema.get("format") == "date":
        _check_date(value, schema, path, complaints)
    elif (
        "pattern" in schema and "x-refers-to" not in schema and not _compiled(schema["pattern"]).search(value)
    ):
        _complain_of_pattern(value, schema, path, complaints)


def _complain_of_pattern(value: str, schema: Schema, path: Path, complaints: Complaints) -> None:
    if "\n" in value:
        complaints.at_value("bad-text", path, "has more than one line", "one line of text")
        return
    examples = " or ".join(f"`{one}`" for one in schema.get("examples", ())[:2])
    expected = schema.get("x-expected", f"a text like {examples}" if examples else schema["title"])
    complaints.at_value("bad-text", path, f"is `{value[:80]}`, which cannot be read as that", expected)


def _check_date(value: str, schema: Schema, path: Path, complaints: Complaints) -> None:
    try:
        good = bool(_compiled(schema["pattern"]).search(value) and datetime.date.fromisoformat(value))
    except ValueError:
        good = False
    if not good:
        expected = "a day of the calendar as year-month-day, for example `2026-10-03`"
        complaints.at_value("bad-date", path, f"is not a date: `{value}`", expected, date_cure(value))


def check_number(value: float, schema: Schema, path: Path, complaints: Complaints) -> None:
    """Complain about a number out of its bounds, or about a format this version does not read."""
    if "const" in schema and (value != schema["const"] or isinstance(value, float)):
        only = schema["const"]
        what = f"is {value}, which this version of dossier does not read"
        cure = f"write `{path[-1]}: {only}` and check again: what that format does not know is then named line by line"
        if value > only:
            cure = f"install a newer dossier; or {cure}"
        complaints.at_value("unsupported-format", path, what, f"`{only}`", cure)
    low, high = schema.get("minimum", value), schema.get("maximum", value)
    if not low <= value <= high:
        complaints.at_value("out-of-range", path, f"is {value}", f"a whole number from {low} to {high}")


def check_name(key: str, schema: Schema, path: Path, complaints: Complaints) -> None:
    """Complain about the name of an entry."""
    where = complaints.positions.key(path)
    if not _compiled(schema["pattern"]).search(key):
        tidy = re.sub("[^a-z0-9]+", "_", key.casefold()).strip("_")[:40]
        fix = f"write `{tidy}`" if _compiled(schema["pattern"]).search(tidy) else ""
        complaints.add(
            "bad-name", f"`{key[:60]}` in {called(path[:-1])} cannot be a name", where, path, NAME_RULE, fix
        )
    elif complaints.positions.key_plain(path):
        headline = f"unquoted `{key}` has another meaning to some readers of YAML"
        complaints.add(
            "quote-it", headline, where, path, NAME_RULE, f'quote it, "{key}", or choose another name'
        )
