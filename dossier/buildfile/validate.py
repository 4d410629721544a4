"""Walks plain data along the schema: collects every problem, reads every quantity, notes every reference.

The published schema is the only description of the format; this walker obeys the keywords listed in
``schema`` and a test compares its verdict with an independent JSON Schema implementation.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from dossier.buildfile.measure import read_quantity
from dossier.buildfile.model import Quantity
from dossier.buildfile.names import Path, called, dotted, listed, nearest
from dossier.buildfile.positions import Positions
from dossier.buildfile.quantities import QuantityError
from dossier.buildfile.schema import Schema, build_schema, flat
from dossier.buildfile.source import error
from dossier.buildfile.tree import REFUSED
from dossier.buildfile.words import NAME_RULE, flow, in_words, json_type, type_in_words
from dossier.diagnostic import Diagnostic, Place

_compiled = lru_cache(maxsize=256)(re.compile)


@dataclass(slots=True)
class Checked:
    """What a walk found.

    Attributes:
        problems: everything that is wrong, in the order found.
        quantities: path -> quantity; a map with quantities as keys has them under ``(*path, "=" + key)``.
        references: path, section referred to, name.
    """

    problems: list[Diagnostic] = field(default_factory=list)
    quantities: dict[Path, Quantity] = field(default_factory=dict)
    references: list[tuple[Path, str, str]] = field(default_factory=list)


def validate(data: Any, positions: Positions) -> Checked:
    """Check a whole tree against the schema."""
    walker = _Walker(positions)
    walker.check(data, build_schema(), ())
    return walker.result


class _Walker:
    def __init__(self, positions: Positions) -> None:
        self.positions = positions
        self.result = Checked()

    def report(self, code: str, headline: str, where: Place, path: Path, expected: str = "", fix: str = "") -> None:
        found = error(code, headline, where, path=dotted(path), expected=expected, fix=fix)
        self.result.problems.append(found)

    def check(self, value: Any, schema: Schema, path: Path) -> None:
        """Check one value against its part of the schema."""
        if value is REFUSED:
            return
        schema = flat(schema)
        kind = schema.get("x-quantity", "")
        words = schema.get("x-words", ())
        if kind and not (isinstance(value, dict) and "value" not in value and len(schema["properties"]) > 3):
            if not (words and value in words):
                self.quantity(value, schema, path)
        elif not self.right_type(value, schema, path):
            return
        elif isinstance(value, str):
            self.text(value, schema, path)
        elif isinstance(value, (int, float)):
            self.number(value, schema, path)
        elif isinstance(value, list):
            self.items(value, schema, path)
        if isinstance(value, dict):
            self.mapping(value, schema, path)

    def right_type(self, value: Any, schema: Schema, path: Path) -> bool:
        wanted = schema.get("type", [])
        wanted = [wanted] if isinstance(wanted, str) else wanted
        is_a = json_type(value)
        if not wanted or is_a in wanted or (is_a == "integer" and "number" in wanted):
            return True
        if is_a == "number" and "integer" in wanted and value.is_integer():
            return True
        where, name = self.positions.value(path), called(path)
        shown = type_in_words(wanted)
        if value is None:
            fix = "write the value, or delete the line; `null` is for the changes of an option"
            self.report("wrong-type", f"{name} is `null`", where, path, shown, fix)
        elif "string" in wanted and is_a in ("integer", "number", "boolean"):
            written = where.text[where.column - 1 : where.column - 1 + where.width]
            headline = f"{name} is text, but unquoted `{written}` is read as {type_in_words([is_a])}"
            self.report("quote-it", headline, where, path, shown, f'quote it: "{written}"')
        else:
            headline = f"{name} is {type_in_words([is_a])}: `{flow(value)}`" if path else f"the file is {in_words(value)}"
            self.report("wrong-type", headline, where, path, shown, self.type_fix(value, wanted, schema))
        return False

    def type_fix(self, value: Any, wanted: list[str], schema: Schema) -> str:
        if wanted == ["boolean"] and isinstance(value, str):
            yes = value.casefold() in ("yes", "y", "on", "true", "1")
            no = value.casefold() in ("no", "n", "off", "false", "0")
            return f"write `{'true' if yes else 'false'}`, without quotes" if yes or no else ""
        if wanted == ["integer"] and isinstance(value, str) and re.fullmatch("[0-9]{1,9}", value):
            return f"write `{int(value)}`, without quotes"
        example = schema.get("examples", [None])[0]
        return f"for example `{flow(example)}`" if example is not None else ""

    def quantity(self, value: Any, schema: Schema, path: Path) -> None:
        try:
            self.result.quantities[path] = read_quantity(value, schema, dotted(path))
        except QuantityError as bad:
            inner: Path = path
            if isinstance(value, dict) and bad.field in value:
                inner = (*path, bad.field)
            expected = bad.expected
            if words := schema.get("x-words"):
                expected = f"{listed(words)}, or {expected}"
            fix = bad.fix
            if words and isinstance(value, str) and (close := nearest(value, words)):
                fix = f"write `{close}` if that is meant"
            self.report(bad.code, f"{called(path)} {bad.problem}", self.positions.value(inner), inner, expected, fix)

    def text(self, value: str, schema: Schema, path: Path) -> None:
        where, name = self.positions.value(path), called(path)
        if section := schema.get("x-refers-to"):
            self.result.references.append((path, section, value))
            return
        if "enum" in schema:
            if value not in schema["enum"]:
                close = nearest(value, schema["enum"])
                fix = f"write `{close}` if that is meant" if close else ""
                self.report("unknown-word", f"{name} is `{value}`", where, path, f"one of {listed(schema['enum'])}", fix)
            return
        if "const" in schema and value != schema["const"]:
            self.report("unknown-word", f"{name} is `{value}`", where, path, f"`{schema['const']}`")
            return
        if self.positions.plain(path):
            headline = f"{name} is text, but unquoted `{value}` has another meaning to some readers of YAML"
            self.report("quote-it", headline, where, path, "text", f'quote it: "{value}"')
        elif len(value) < schema.get("minLength", 0) or not value.strip():
            self.report("empty-text", f"{name} is an empty text", where, path, "text", "write it, or delete the line")
        elif len(value) > schema.get("maxLength", len(value)):
            limit = schema["maxLength"]
            self.report("text-too-long", f"{name} has {len(value)} characters", where, path, f"at most {limit}")
        elif schema.get("format") == "date":
            self.date(value, schema, path)
        elif "pattern" in schema and not _compiled(schema["pattern"]).search(value):
            self.report("bad-text", f"{name} has more than one line", where, path, "one line of text")

    def date(self, value: str, schema: Schema, path: Path) -> None:
        try:
            good = bool(_compiled(schema["pattern"]).search(value) and datetime.date.fromisoformat(value))
        except ValueError:
            good = False
        if not good:
            expected = "a day of the calendar as year-month-day, for example `2026-10-03`"
            headline = f"{called(path)} is not a date: `{value}`"
            self.report("bad-date", headline, self.positions.value(path), path, expected)

    def number(self, value: float, schema: Schema, path: Path) -> None:
        where, name = self.positions.value(path), called(path)
        if "const" in schema and value != schema["const"]:
            only = schema["const"]
            headline = f"{name} is {value}, which this version does not read"
            self.report("unsupported-format", headline, where, path, f"`{only}`", f"write `{path[-1]}: {only}`")
        low, high = schema.get("minimum", value), schema.get("maximum", value)
        if not low <= value <= high:
            self.report("out-of-range", f"{name} is {value}", where, path, f"a whole number from {low} to {high}")

    def items(self, value: list[Any], schema: Schema, path: Path) -> None:
        where, name, count = self.positions.key(path), called(path), len(value)
        low, high = schema.get("minItems", 0), schema.get("maxItems", count)
        if not low <= count <= high:
            code = "too-few" if count < low else "too-many"
            expected = f"exactly {low}" if low == high else f"from {low} to {high}" if "maxItems" in schema else f"at least {low}"
            self.report(code, f"{name} lists {count}", where, path, f"{expected} entries")
        for index, item in enumerate(value):
            if schema.get("uniqueItems") and item in value[:index]:
                at = self.positions.value((*path, index))
                self.report("listed-twice", f"{name} lists `{flow(item)}` twice", at, (*path, index), fix="delete one")
            self.check(item, schema["items"], (*path, index))

    def mapping(self, value: Mapping[str, Any], schema: Schema, path: Path) -> None:
        properties: Mapping[str, Any] = schema.get("properties", {})
        others = schema.get("additionalProperties", True)
        self.counted(value, schema, path)
        self.demands(value, schema, path, properties)
        for key, item in value.items():
            inner = (*path, key)
            if key in properties:
                if properties[key] is False:
                    self.misplaced(inner, schema)
                elif not ("x-quantity" in schema and key in ("value", "tolerance")):  # the quantity has read them
                    self.check(item, properties[key], inner)
            elif others is False:
                self.unknown(inner, list(properties))
            elif others is not True:
                if self.name(key, schema.get("propertyNames", {}), inner):
                    self.check(item, others, inner)

    def counted(self, value: Mapping[str, Any], schema: Schema, path: Path) -> None:
        low, high = schema.get("minProperties", 0), schema.get("maxProperties", len(value))
        if low <= len(value) <= high:
            return
        code = "too-few" if len(value) < low else "too-many"
        expected = f"at least {low}" if len(value) < low else f"at most {high}"
        fix = f"for example `{flow(schema['examples'][0])}`" if code == "too-few" and "examples" in schema else ""
        self.report(code, f"{called(path)} has {len(value)} entries", self.positions.key(path), path, expected, fix)

    def demands(
        self, value: Mapping[str, Any], schema: Schema, path: Path, fields: Mapping[str, Any], because: str = ""
    ) -> None:
        """Everything that one field asks of the others; ``because`` explains a demand that is conditional."""
        because = schema.get("x-expected", because)
        for key in schema.get("required", ()):
            if key not in value:
                self.missing((key,), path, fields, because)
        for key, needed in schema.get("dependentRequired", {}).items():
            for other in needed:
                if key in value and other not in value:
                    self.missing((other,), path, fields, f"`{key}` and `{other}` go together")
        if "anyOf" in schema and not any(holds(value, choice) for choice in schema["anyOf"]):
            choices = [key for choice in schema["anyOf"] for key in choice["required"]]
            self.missing(tuple(choices), path, fields, because)
        rules = [schema] if "if" in schema else []
        for rule in (*rules, *schema.get("allOf", ())):
            branch = rule.get("then" if holds(value, rule["if"]) else "else", {})
            self.demands(value, branch, path, fields)
            self.branch(value, branch, path)

    def branch(self, value: Mapping[str, Any], branch: Schema, path: Path) -> None:
        for key, asked in branch.get("properties", {}).items():
            if key in value and not holds(value, {"properties": {key: asked}}):
                if asked is False:
                    self.misplaced((*path, key), branch)
                elif isinstance(value[key], str):
                    where, expected = self.positions.value((*path, key)), f"`{asked['const']}`"
                    headline = f"{called((*path, key))} is `{value[key]}`"
                    because = branch.get("x-expected", "")
                    self.report("does-not-apply", headline, where, (*path, key), f"{expected}: {because}")
        names = branch.get("propertyNames", {}).get("enum", value)
        for key in value:
            if key not in names:
                self.misplaced((*path, key), branch)

    def misplaced(self, path: Path, schema: Schema) -> None:
        headline = f"`{path[-1]}` does not belong in {called(path[:-1])}"
        because = schema.get("x-expected", "")
        self.report("does-not-apply", headline, self.positions.key(path), path, because, "delete it")

    def missing(self, keys: tuple[str, ...], path: Path, fields: Mapping[str, Any], because: str) -> None:
        schemas = {key: flat(fields[key]) for key in keys if key in fields}
        headline = f"{called(path)} has no {' and no '.join(f'`{key}`' for key in keys)}"
        said = "; ".join(f"`{key}`: {schema['description']}" for key, schema in schemas.items())
        fix = " or ".join(f"`{key}: {flow(schema['examples'][0])}`" for key, schema in schemas.items())
        expected = f"{because}. {said}" if because else said
        self.report("missing-key", headline, self.positions.key(path), path, expected, f"add for example {fix}")

    def unknown(self, path: Path, known: list[str]) -> None:
        close = nearest(str(path[-1]), known)
        fix = f"write `{close}` if that is meant" if close else ""
        headline = f"`{path[-1]}` is not a field of {called(path[:-1])}"
        self.report("unknown-key", headline, self.positions.key(path), path, f"one of {listed(known)}", fix)

    def name(self, key: str, schema: Schema, path: Path) -> bool:
        """Check the name of an entry: an id, or a quantity that serves as a key."""
        schema = flat(schema)
        where = self.positions.key(path)
        if "x-quantity" in schema:
            try:
                keyed = (*path[:-1], f"={key}")
                self.result.quantities[keyed] = read_quantity(key, schema, dotted(path))
            except QuantityError as bad:
                self.report(bad.code, f"a key of {called(path[:-1])} {bad.problem}", where, path, bad.expected, bad.fix)
                return False
        elif self.positions.key_plain(path):
            headline = f"unquoted `{key}` has another meaning to some readers of YAML"
            self.report("quote-it", headline, where, path, NAME_RULE, f'quote it, "{key}", or choose another name')
        elif "pattern" in schema and not _compiled(schema["pattern"]).search(key):
            tidy = re.sub("[^a-z0-9]+", "_", key.casefold()).strip("_")[:40]
            fix = f"write `{tidy}`" if _compiled(schema["pattern"]).search(tidy) else ""
            self.report("bad-name", f"`{key[:60]}` cannot be a name", where, path, NAME_RULE, fix)
        return True


def holds(value: Mapping[str, Any], schema: Schema) -> bool:
    """Whether a map fulfils a condition made of ``required`` and of simple demands on its fields."""
    if any(key not in value for key in schema.get("required", ())):
        return False
    for key, asked in schema.get("properties", {}).items():
        if key not in value:
            continue
        item = value[key]
        if asked is False or ("const" in asked and item != asked["const"]) or item not in asked.get("enum", [item]):
            return False
        if asked.get("type") == "integer" and json_type(item) != "integer":
            return False
        if "minimum" in asked and item < asked["minimum"]:
            return False
    return True
