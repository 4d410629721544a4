"""Walks plain data along the schema: collects every problem, reads every quantity, notes every reference.

The published schema is the only description of the format; this walker obeys the keywords listed in
``schema``, and a test compares its verdict with an independent JSON Schema implementation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dossier.buildfile.complaints import Complaints, suggestion
from dossier.buildfile.conditions import check_demands
from dossier.buildfile.forms import form
from dossier.buildfile.leaves import check_name, check_number, check_text, check_type, types
from dossier.buildfile.measure import read_quantity
from dossier.buildfile.model import Quantity
from dossier.buildfile.names import Path, called, dotted, listed
from dossier.buildfile.positions import Positions
from dossier.buildfile.quantities import QuantityError
from dossier.buildfile.schema import Schema, build_schema, flat
from dossier.buildfile.tree import REFUSED
from dossier.buildfile.words import flow
from dossier.diagnostic import Diagnostic


@dataclass(frozen=True, slots=True)
class Checked:
    """What a walk found.

    Attributes:
        problems: everything that is wrong, in the order found.
        quantities: path -> quantity; a quantity that serves as a key stands under ``(*path, "=" + key)``.
        references: path, section referred to, name.
    """

    problems: list[Diagnostic]
    quantities: dict[Path, Quantity]
    references: list[tuple[Path, str, str]]


def validate(data: Any, positions: Positions, schema: Schema | None = None) -> Checked:
    """Check a whole tree against a schema, by default that of the build file."""
    walker = _Walker(positions)
    walker.check(data, build_schema() if schema is None else schema, ())
    return Checked(walker.complaints.problems, walker.quantities, walker.references)


class _Walker:
    def __init__(self, positions: Positions) -> None:
        self.positions = positions
        self.complaints = Complaints(positions)
        self.quantities: dict[Path, Quantity] = {}
        self.references: list[tuple[Path, str, str]] = []

    def check(self, value: Any, schema: Schema, path: Path) -> None:
        """Check one value against its part of the schema."""
        if value is REFUSED:
            return
        schema = flat(schema)
        is_map = isinstance(value, dict)
        if "x-quantity" in schema and (not is_map or "object" in types(schema)):
            if not is_map or "value" in value:
                self.quantity(value, schema, path)
        elif not check_type(value, schema, path, self.complaints):
            return
        elif isinstance(value, str):
            check_text(value, schema, path, self.complaints)
            if section := schema.get("x-refers-to"):
                self.references.append((path, section, value))
        elif isinstance(value, (int, float)):
            check_number(value, schema, path, self.complaints)
        elif isinstance(value, list):
            self.items(value, schema, path)
        if is_map:
            self.mapping(value, schema, path)

    def quantity(self, value: Any, schema: Schema, path: Path) -> None:
        words = schema.get("x-words", ())
        if isinstance(value, str) and value in words:
            return
        try:
            self.quantities[path] = read_quantity(value, schema, dotted(path))
        except QuantityError as bad:
            inner: Path = (*path, bad.field) if bad.field else path
            expected = f"{listed(words)}, or {bad.expected}" if words else bad.expected
            if words and bad.code == "not-a-quantity":
                what = f"is neither one of the words known here nor a quantity: `{value}`"
                fix = suggestion(value, words, schema)
                self.complaints.at_value("unknown-word", path, what, expected, fix)
            else:
                self.complaints.at_value(bad.code, inner, bad.problem, expected, bad.fix)

    def items(self, value: list[Any], schema: Schema, path: Path) -> None:
        count = len(value)
        low, high = schema.get("minItems", 0), schema.get("maxItems", count)
        if not low <= count <= high:
            code, limit = ("too-few", f"at least {low}") if count < low else ("too-many", f"at most {high}")
            expected = f"exactly {low} entries" if low == high else f"{limit} entries"
            self.complaints.at_key(code, path, f"lists {count}", expected)
        for index, item in enumerate(value):
            inner = (*path, index)
            if schema.get("uniqueItems") and item in value[:index]:
                headline = f"{called(path)} lists `{flow(item)}` twice"
                where = self.positions.value(inner)
                self.complaints.add("listed-twice", headline, where, inner, "every entry once", "delete one")
            self.check(item, schema["items"], inner)

    def mapping(self, value: Mapping[str, Any], schema: Schema, path: Path) -> None:
        fields: Mapping[str, Any] = schema.get("properties", {})
        others = schema.get("additionalProperties", True)
        self.counted(value, schema, path)
        check_demands(value, schema, path, self.complaints)
        for key, item in value.items():
            inner = (*path, key)
            if key in fields:
                if fields[key] is False:
                    self.complaints.misplaced(inner, schema.get("x-expected", ""))
                elif not ("x-quantity" in schema and key in ("value", "tolerance")):  # read with the quantity
                    self.check(item, fields[key], inner)
            elif others is False:
                self.complaints.unknown(inner, schema)
            elif others is not True and not (item is REFUSED and "," in key):  # a decimal comma, and said so
                self.name(key, schema.get("propertyNames", {}), inner)
                self.check(item, others, inner)

    def counted(self, value: Mapping[str, Any], schema: Schema, path: Path) -> None:
        low, high = schema.get("minProperties", 0), schema.get("maxProperties", len(value))
        if len(value) < low:
            what = "is empty" if not value else "has too few entries"
            fix = f"write it in the form `{form(schema)}`"
            self.complaints.at_key("too-few", path, what, f"at least {low}", fix)
        elif len(value) > high:
            self.complaints.at_key("too-many", path, f"has {len(value)} entries", f"at most {high}")

    def name(self, key: str, schema: Schema, path: Path) -> None:
        """Check the name of an entry: an id, or a quantity that serves as a key."""
        schema = flat(schema)
        if "x-quantity" not in schema:
            if schema:
                check_name(key, schema, path, self.complaints)
            return
        try:
            self.quantities[(*path[:-1], f"={key}")] = read_quantity(key, schema, dotted(path))
        except QuantityError as bad:
            headline = f"a key of {called(path[:-1])} {bad.problem}"
            where = self.positions.key(path)
            self.complaints.add(bad.code, headline, where, path, bad.expected, bad.fix)
