"""Units of results: the type of a field says what its number is in, and results.json writes it into the key.

``resistance: Ohms`` stands there as ``resistance_ohm``; a field whose key is another name says so with ``Key``.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, get_args, get_type_hints


class Unit(str):
    """What the key of a field ends in."""


class Key(str):
    """The whole key of a field, where it is not its own name and unit."""


Volts = Annotated[float, Unit("v")]
Amperes = Annotated[float, Unit("a")]
AmpereSeconds = Annotated[float, Unit("as")]
Watts = Annotated[float, Unit("w")]
Joules = Annotated[float, Unit("j")]
Ohms = Annotated[float, Unit("ohm")]
Farads = Annotated[float, Unit("f")]
Hertz = Annotated[float, Unit("hz")]
Decibels = Annotated[float, Unit("db")]
Seconds = Annotated[float, Unit("s")]
Metres = Annotated[float, Unit("m")]
Kilograms = Annotated[float, Unit("kg")]
Newtons = Annotated[float, Unit("n")]
NewtonMetres = Annotated[float, Unit("n_m")]
Celsius = Annotated[float, Unit("degc")]
Rpm = Annotated[float, Unit("rpm")]


@cache
def keys_of(kind: type[Any]) -> Mapping[str, str]:
    """Field of a result class -> its key in results.json."""
    hints = get_type_hints(kind, include_extras=True)
    return {name: _key(name, hint) for name, hint in hints.items()}


def _key(name: str, hint: Any) -> str:
    said = next(_said(hint), None)
    return said if isinstance(said, Key) else f"{name}_{said}" if said else name


def _said(hint: Any) -> Any:
    """Units and keys anywhere in a type."""
    yield from (one for one in getattr(hint, "__metadata__", ()) if isinstance(one, (Unit, Key)))
    for inner in get_args(hint):
        if not isinstance(inner, type) or get_args(inner):
            yield from _said(inner)
