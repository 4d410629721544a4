"""A number with its band and what it rests on: the unit of everything on this floor."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from dossier.buildfile.model import Basis, Quantity
from dossier.frozen import dataclass
from dossier.reference.band import Band
from dossier.reference.defaults import DEFAULTS

ASSUMED = "assumed"
_SCALE = {Basis.MEASURED: 1 / 3, Basis.FITTED: 1 / 3, Basis.DATASHEET: 1.0, Basis.ESTIMATED: 2.0}


@dataclass(frozen=True, slots=True)
class Value:
    """One input of the computation.

    Attributes:
        path: dotted path in the build file, also where the build file is silent; the key of its random draw.
        device: the device it belongs to, in words.
        quantity: what it is, in words.
        unit: SI unit of the three numbers.
        nominal, low, high: value used and its plausible band (about 5 to 95 %).
        basis: measured, datasheet, estimated, fitted or assumed.
        source: where an assumed value or its band comes from.
    """

    path: str
    device: str
    quantity: str
    unit: str
    nominal: float
    low: float
    high: float
    basis: str
    source: str = ""

    def scaled(self, factor: float) -> Value:
        """The same input times a positive factor; its random draw stays the same."""
        return self.mapped(lambda x: x * factor)

    def mapped(self, law: Callable[[float], float], *, quantity: str = "", unit: str = "") -> Value:
        """A value that follows from this one by a monotone law; its random draw stays the same."""
        edges = sorted((law(self.low), law(self.high)))
        return Value(
            self.path,
            self.device,
            quantity or self.quantity,
            unit or self.unit,
            law(self.nominal),
            edges[0],
            edges[1],
            self.basis,
            self.source,
        )


@dataclass(frozen=True, slots=True)
class Subject:
    """A device of the build file, asked for its numbers one by one.

    ``over_12_v`` is that of the vehicle's system where the device has defaults that follow it.
    """

    path: str
    words: str
    over_12_v: float = 1.0

    def stated(self, q: Quantity, quantity: str, unit: str, *, spread: float, absolute: bool = False) -> Value:
        """What the build file states, with its tolerance or the usual one for its basis.

        Args:
            q: the quantity as read.
            quantity: what it is, in words.
            unit: SI unit.
            spread: usual half width for a data-sheet value, relative to it, or in ``unit`` if ``absolute``.
                A measured or fitted value gets a third of it, an estimated one twice. These widths are
                judgement (assumption, no source).
            absolute: whether ``spread`` is in ``unit``.
        """
        half = q.tolerance
        if half is None:
            half = spread * _SCALE[q.basis] * (1.0 if absolute else abs(q.si))
        low, high = q.si - half, q.si + half
        if q.si >= 0.0:  # a resistance or a power does not change its sign within its tolerance
            low = max(low, 0.05 * q.si)
        return Value(q.path, self.words, quantity, unit, q.si, low, high, q.basis.value)

    def assumed(self, key: str, quantity: str, unit: str, default: str, *, scale: float = 1.0) -> Value:
        """What the build file is silent about, from the documented defaults.

        Args:
            key: the field that could have stated it.
            quantity: what it is, in words.
            unit: SI unit of the result.
            default: id of the entry in ``dossier.reference.defaults``.
            scale: positive factor from the entry to the value, for example 1 / capacity.
        """
        entry = DEFAULTS[default]
        scale *= self.over_12_v**entry.per_system
        return Value(
            f"{self.path}.{key}",
            self.words,
            quantity,
            unit,
            entry.typical * scale,
            entry.low * scale,
            entry.high * scale,
            ASSUMED,
            entry.source.text,
        )

    def pick(
        self,
        q: Quantity | None,
        key: str,
        quantity: str,
        unit: str,
        default: str,
        *,
        spread: float,
        absolute: bool = False,
        scale: float = 1.0,
    ) -> Value:
        """The stated value, or the assumed one if there is none; arguments as in the two methods above."""
        if q is not None:
            return self.stated(q, quantity, unit, spread=spread, absolute=absolute)
        return self.assumed(key, quantity, unit, default, scale=scale)

    def from_band(self, key: str, quantity: str, unit: str, band: Band, source: str) -> Value:
        """An assumed value whose band a documented estimate gives."""
        path = f"{self.path}.{key}"
        return Value(path, self.words, quantity, unit, band.typical, band.low, band.high, ASSUMED, source)

    def fixed(self, number: float, key: str, quantity: str, unit: str, source: str) -> Value:
        """An assumed value without a band."""
        path = f"{self.path}.{key}"
        return Value(path, self.words, quantity, unit, number, number, number, ASSUMED, source)


def values_in(thing: Any) -> Iterator[Value]:
    """Every Value inside a tree of frozen dataclasses, mappings and tuples, in the order of its fields."""
    if isinstance(thing, Value):
        yield thing
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from values_in(getattr(thing, field.name))
    elif isinstance(thing, Mapping):
        for item in thing.values():
            yield from values_in(item)
    elif isinstance(thing, (tuple, list)):
        for item in thing:
            yield from values_in(item)
