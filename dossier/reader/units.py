"""Metric or US units: the one place that decides how a length, size, temperature, mass, force or torque is printed.

Volts, amperes, ohms, watts and seconds are the same for both. Everything is SI until it gets here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import Enum
from typing import Final, Literal

from dossier.frozen import dataclass
from dossier.reader.gauges import FOOT, GRAVITY, INCH, MILE, POUND, SOLD, gauge_area

Kind = Literal[
    "run",  # of a cable
    "distance",  # of a fuse from its source, and whatever is short
    "fine",  # a change of a belt
    "length",  # in words: whichever of run and distance fits
    "tightening",  # of a joint, in words: in whichever unit fits
    "temperature",
    "rise",  # a difference of temperatures
    "mass",
    "force",
    "torque",
    "small torque",
    "driven",  # by the vehicle
    "gas",  # per hour or in a space
]


class Way(Enum):
    """Which way a number is rounded: what must not be exceeded goes down, what is asked for or happens goes up."""

    NEAREST = "nearest"
    DOWN = "down"
    UP = "up"


@dataclass(frozen=True, slots=True)
class Scale:
    """A printed unit: ``size`` of one [SI], decimals, and the reading of 0 [SI] (temperature scales)."""

    sign: str
    size: float
    places: int
    zero: float = 0.0


_CUBIC_FOOT: Final = FOOT**3
_SCALES: Final[Mapping[Kind, tuple[Scale, Scale]]] = {
    "run": (Scale("m", 1.0, 2), Scale("ft", FOOT, 1)),
    "distance": (Scale("mm", 1e-3, 0), Scale("in", INCH, 1)),
    "fine": (Scale("mm", 1e-3, 1), Scale("in", INCH, 2)),
    "temperature": (Scale("°C", 1.0, 0), Scale("°F", 5.0 / 9.0, 0, 32.0)),
    "rise": (Scale("K", 1.0, 0), Scale("°F", 5.0 / 9.0, 0)),
    "mass": (Scale("kg", 1.0, 1), Scale("lb", POUND, 1)),
    "force": (Scale("kN", 1e3, 1), Scale("lbf", POUND * GRAVITY, 0)),
    "torque": (Scale("N·m", 1.0, 0), Scale("lbf·ft", POUND * GRAVITY * FOOT, 0)),
    "small torque": (Scale("N·m", 1.0, 1), Scale("lbf·in", POUND * GRAVITY * INCH, 0)),
    "driven": (Scale("km", 1e3, 0), Scale("mi", MILE, 0)),
    "gas": (Scale("L", 1e-3, 0), Scale("ft³", _CUBIC_FOOT, 1)),
}
# In words there is a small and a large unit, and a value [SI] from which the large one is used: metric, US.
_FITTING: Final[Mapping[Kind, tuple[Kind, Kind, tuple[float, float]]]] = {
    "length": ("distance", "run", (1.0, 3.0 * FOOT)),
    "tightening": ("small torque", "torque", (20.0, 20.0 * POUND * GRAVITY * FOOT)),
}
_SLACK: Final = 1e-6  # of the last decimal: 7 in are not 6.9 in because of the sixteenth digit
SAME_SIZE: Final = 0.01  # sizes closer than this are one size in two notations: catalogues round to three figures


class Units(Enum):
    """The units of a reader."""

    METRIC = "metric"
    US = "us"

    def scale(self, kind: Kind) -> Scale:
        """The printed unit of a kind; a length and a tightening in words have two, so they have none here."""
        return _SCALES[kind][self is Units.US]

    def sign(self, kind: Kind) -> str:
        """The sign of the unit, for the head of a column."""
        return self.scale(kind).sign

    def number(self, kind: Kind, si: float, way: Way = Way.NEAREST, places: int | None = None) -> str:
        """The reading without its unit.

        Args:
            kind: what is printed.
            si: its value [SI; degC].
            way: to which side it is rounded.
            places: decimals, where the usual ones of the kind do not do.
        """
        scale = self.scale(kind)
        decimals = scale.places if places is None else places
        value = _rounded(si / scale.size + scale.zero, decimals, way)
        if kind == "driven":
            return f"{value:,.{decimals}f}".replace(",", "," if self is Units.US else "\u202f")
        return f"{value:.{decimals}f}"

    def words(self, kind: Kind, si: float, way: Way = Way.NEAREST, places: int | None = None) -> str:
        """The reading with its unit; a length or a tightening in whichever unit fits, without idle decimals."""
        if kind not in _FITTING:
            return f"{self.number(kind, si, way, places)} {self.sign(kind)}"
        small, large, edge = _FITTING[kind]
        fitting = small if abs(si) < edge[self is Units.US] else large
        shown = self.number(fitting, si, way, places)
        shown = shown.rstrip("0").rstrip(".") if "." in shown else shown
        return f"{shown} {self.sign(fitting)}"

    def size(self, area: float, stated: str) -> str:
        """A conductor that is there: the reader's notation first, the size as stated always.

        An area between two gauges is shown as more than the thinner one: ``>4 AWG (25 mm²)``.

        Args:
            area: of one run [m2].
            stated: as the build file states it, ``25 mm2`` or ``1/0 AWG``.
        """
        gauge = stated.endswith("AWG")
        if self is Units.METRIC:
            return f"{_square(area)} ({stated})" if gauge else _signed(stated)
        if gauge:
            return stated
        same = next((name for name, number in SOLD.items() if abs(area / gauge_area(number) - 1) <= SAME_SIZE), "")
        if same:
            return f"{same} AWG ({_signed(stated)})"
        below = [name for name, number in SOLD.items() if gauge_area(number) < area]
        return f">{below[-1]} AWG ({_signed(stated)})" if below else f"<24 AWG ({_signed(stated)})"

    def size_to_buy(self, area: float, stated: str) -> str:
        """A conductor that is asked for: the next size of the reader's notation that is not smaller, or as stated."""
        gauge = stated.endswith("AWG")
        if self is Units.METRIC:
            more = next((one for one in METRIC_SIZES if one * 1e-6 >= area * (1 - SAME_SIZE)), None)
            return _signed(stated) if not gauge else f"{more:g} mm² or {stated}" if more else self.size(area, stated)
        if gauge:
            return stated
        next_up = (name for name, number in SOLD.items() if gauge_area(number) >= area * (1 - SAME_SIZE))
        name = next(next_up, "")
        return f"{name} AWG or {_signed(stated)}" if name else self.size(area, stated)


# mm2, nominal cross-sections of IEC 60228, Table 3 (READ second-hand, see dossier.reference.conductors).
METRIC_SIZES: Final = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0)


def _rounded(value: float, places: int, way: Way) -> float:
    if not math.isfinite(value) or way is Way.NEAREST:
        return value
    step = 10.0**places
    scaled = value * step
    return (math.floor(scaled + _SLACK) if way is Way.DOWN else math.ceil(scaled - _SLACK)) / step


def _square(area: float) -> str:
    return f"{area * 1e6:.3g} mm²"


def _signed(stated: str) -> str:
    return stated.replace("mm2", "mm²")
