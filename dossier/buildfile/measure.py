"""One stated quantity: its value within the bounds of the schema, its basis and its tolerance."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Basis, Quantity
from dossier.buildfile.quantities import QuantityError, bare_number, expected, parse, parse_tolerance
from dossier.buildfile.schema import Schema
from dossier.buildfile.words import flow, in_words

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
