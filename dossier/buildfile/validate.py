"""Plain data against the published schema: jsonschema judges, every quantity is read, every reference noted.

The published schema is the only description of the format. Its own keyword ``x-quantity``, with its bounds, is added
to the library's by the library's own means; ``explain`` puts what the library finds into words.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from jsonschema import Draft202012Validator, FormatChecker, ValidationError
from jsonschema.protocols import Validator
from jsonschema.validators import extend

from dossier.buildfile.explain import Explanation
from dossier.buildfile.model import Basis, Quantity
from dossier.buildfile.names import Path, dotted
from dossier.buildfile.positions import Positions
from dossier.buildfile.quantities import QuantityError, bare_number, expected, parse, parse_tolerance
from dossier.buildfile.schema import Schema, build_schema, flat, types
from dossier.buildfile.tree import REFUSED
from dossier.buildfile.words import flow, in_words
from dossier.diagnostic import Diagnostic
from dossier.frozen import dataclass

_BASES = frozenset(basis.value for basis in Basis)


def read_quantity(value: Any, schema: Schema, path: str) -> Quantity:
    """A quantity from plain text, or from a map with ``value``, ``basis`` and ``tolerance``.

    Args:
        value: what the build file says; a map has a ``value``.
        schema: the part of the schema that declares the quantity.
        path: dotted path, kept with the quantity.

    Raises:
        QuantityError: it cannot be read or lies out of bounds; ``field`` names the part at fault.
    """
    kind: str = schema["x-quantity"]
    if not isinstance(value, dict):
        text = _text(kind, value)
        return Quantity(_within(kind, text, schema), text, path)
    try:
        text = _text(kind, value["value"])
        si = _within(kind, text, schema)
    except QuantityError as bad:
        raise bad.inside("value") from None
    stated = value.get("basis", "datasheet")
    known = isinstance(stated, str) and stated in _BASES  # a wrong word is reported on its own
    basis = Basis(stated) if known else Basis.DATASHEET
    tolerance = None
    if "tolerance" in value:
        try:
            tolerance = _tolerance(kind, value["tolerance"], si, schema)
        except QuantityError as bad:
            raise bad.inside("tolerance") from None
    return Quantity(si, text, path, basis, tolerance)


def _text(kind: str, value: Any) -> str:
    """The text of a quantity; a number is only text where the kind has no unit."""
    if isinstance(value, str):
        return value
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        if kind == "ratio":
            return str(value)
        raise bare_number(kind, str(value))
    raise QuantityError("wrong-type", f"is {in_words(value)}: `{flow(value)}`", expected(kind))


def _within(kind: str, text: str, schema: Schema) -> float:
    si = parse(kind, text)
    if "x-allowed" in schema:
        choices: list[str] = schema["x-allowed"]
        if si not in {parse(kind, choice) for choice in choices}:
            shown = ", ".join(f"`{choice}`" for choice in choices)
            raise QuantityError("out-of-range", f"is `{text}`", f"one of {shown}")
    low, above, high = (schema.get(f"x-{bound}") for bound in ("minimum", "above", "maximum"))
    too_low = (low and si < parse(kind, low)) or (above and si <= parse(kind, above))
    if too_low or (high and si > parse(kind, high)):
        bounds = [f"at least `{low}`" if low else "", f"more than `{above}`" if above else ""]
        bounds += [f"at most `{high}`" if high else ""]
        raise QuantityError("out-of-range", f"is `{text}`", " and ".join(b for b in bounds if b))
    return si


def _tolerance(kind: str, value: Any, si: float, schema: Schema) -> float:
    text = _text(kind, value)
    half = parse_tolerance(kind, text, si)
    if half <= 0:
        raise QuantityError("out-of-range", f"is `{text}`", "a tolerance above zero")
    low, above = schema.get("x-minimum"), schema.get("x-above")
    bound = above or low
    if bound and parse(kind, bound) >= 0 and (si - half < 0 or (above and si - half <= 0)):
        problem = f"is `{text}`, so that the band reaches zero or less"
        raise QuantityError("out-of-range", problem, "a tolerance smaller than the value")
    return half


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found.

    Attributes:
        problems: everything that is wrong.
        quantities: path -> quantity; a quantity that serves as a key stands under ``(*path, "=" + key)``.
        references: path, section referred to, name.
    """

    problems: list[Diagnostic]
    quantities: dict[Path, Quantity]
    references: list[tuple[Path, str, str]]


def validate(data: Any, positions: Positions, schema: Schema | None = None) -> Checked:
    """Check a whole tree against a schema, by default that of the build file."""
    schema = build_schema() if schema is None else schema
    reading = _Reading()
    reading.look(data, schema, ())
    errors = list(_Judge(schema, format_checker=_DATES).iter_errors(data))
    unquoted = [path for path in reading.texts if positions.plain(path)]
    names = [path for path in reading.names if positions.key_plain(path)]
    explanation = Explanation(data, schema, errors, positions)
    explanation.explain(unquoted, names)
    return Checked(explanation.complaints.problems, reading.quantities, reading.references)


def _holds_quantity(value: Any, schema: Schema) -> bool:
    """Whether a value is meant as a quantity, and no word in place of one."""
    if isinstance(value, dict):
        return "value" in value and "object" in types(schema)
    return not (isinstance(value, str) and value in schema.get("x-words", ()))


def _quantity(_: Validator, __: str, value: Any, schema: Schema) -> Iterator[ValidationError]:
    """The keyword ``x-quantity``: a number with a unit of this kind, within its bounds."""
    if _holds_quantity(value, schema):
        try:
            read_quantity(value, schema, "")
        except QuantityError as bad:
            yield ValidationError(bad.problem, cause=bad)


def _constant(validator: Any, only: Any, value: Any, schema: Schema) -> Iterator[ValidationError]:
    """The keyword ``const``, for which the library takes ``1.0`` as ``1``: a format is named, not measured."""
    if isinstance(value, float):
        yield ValidationError("is no whole number")
    else:
        yield from Draft202012Validator.VALIDATORS["const"](validator, only, value, schema)


def _reference(validator: Any, _: str, value: Any, schema: Schema) -> Iterator[ValidationError]:
    """The keyword ``$ref``, with the bounds that stand beside it at hand where it leads to."""
    yield from validator.descend(value, flat(schema))


_Judge: Final = extend(Draft202012Validator, {"x-quantity": _quantity, "const": _constant, "$ref": _reference})  # type: ignore[no-untyped-call]  # of the library
_DATES: Final = FormatChecker(("date",))


class _Reading:
    """What the values of a tree are, as far as each is right in itself."""

    def __init__(self) -> None:
        self.quantities: dict[Path, Quantity] = {}
        self.references: list[tuple[Path, str, str]] = []
        self.texts: list[Path] = []  # free texts
        self.names: list[Path] = []  # entries with a name of their own

    def look(self, value: Any, schema: Schema, path: Path) -> None:
        """Read one value by its part of the schema, and what is inside."""
        schema = flat(schema)
        if value is REFUSED:
            return
        if "x-quantity" in schema and (not isinstance(value, dict) or "object" in types(schema)):
            self.quantity(value, schema, path, path)
        elif isinstance(value, str) and "enum" not in schema and "string" in types(schema):
            self.texts.append(path)
            if section := schema.get("x-refers-to"):
                self.references.append((path, section, value))
        if isinstance(value, dict) and "object" in types(schema):
            self.entries(value, schema, path)
        elif isinstance(value, list) and "array" in types(schema):
            for index, item in enumerate(value):
                self.look(item, schema["items"], (*path, index))

    def entries(self, value: dict[str, Any], schema: Schema, path: Path) -> None:
        fields, others = schema.get("properties", {}), schema.get("additionalProperties")
        parts = ("value", "tolerance") if "x-quantity" in schema else ()
        for key, item in value.items():
            inner = fields.get(key, others)
            if isinstance(inner, dict) and key not in parts:
                self.look(item, inner, (*path, key))
            if key not in fields and isinstance(others, dict):
                name = flat(schema.get("propertyNames", {}))
                if "x-quantity" in name:
                    self.quantity(key, name, (*path, f"={key}"), (*path, key))
                elif name:
                    self.names.append((*path, key))

    def quantity(self, value: Any, schema: Schema, path: Path, stands_at: Path) -> None:
        if _holds_quantity(value, schema):
            try:
                self.quantities[path] = read_quantity(value, schema, dotted(stands_at))
            except QuantityError:
                return  # the judge says so
