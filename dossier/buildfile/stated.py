"""A number as the build file states it, and what it rests on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from enum import Enum
from typing import Final

from dossier.buildfile.units import NUMBER
from dossier.frozen import dataclass
from dossier.reader.said import Said, sized
from dossier.reader.units import Kind, Units

_NUMBER: Final = re.compile(NUMBER)
_SIZES: Final = ("mm2", "mm²")
_WRITTEN: Final[Mapping[str, tuple[Kind, Units]]] = {  # unit -> what it measures, and whose unit it is
    **dict.fromkeys(("m", "cm", "mm"), ("length", Units.METRIC)),
    **dict.fromkeys(("ft", "in"), ("length", Units.US)),
    **dict.fromkeys(("degC", "°C"), ("temperature", Units.METRIC)),
    **dict.fromkeys(("degF", "°F"), ("temperature", Units.US)),
    **dict.fromkeys(("kg", "g"), ("mass", Units.METRIC)),
    "lb": ("mass", Units.US),
    "Nm": ("tightening", Units.METRIC),
    "lbf_ft": ("tightening", Units.US),
    "km": ("driven", Units.METRIC),
    "mi": ("driven", Units.US),
}


class Basis(Enum):
    """What a stated value rests on."""

    MEASURED = "measured"
    DATASHEET = "datasheet"
    ESTIMATED = "estimated"
    FITTED = "fitted"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number the build file states."""

    si: float  # value in the units of ``dossier.buildfile.model``
    text: str  # as written, for example ``1/0 AWG``
    path: str  # dotted path in the build file
    basis: Basis = Basis.DATASHEET  # what it rests on; a plain value is a data-sheet value
    tolerance: float | None = None  # half width of its band in the same unit, if stated

    def read_by(self, units: Units) -> Quantity:
        """The same with its text in the units of a reader; what is stated in them is left as it is written."""
        return replace(self, text=self.said().read_by(units))

    def said(self) -> Said:
        """What is stated, as it is written, with its reading in other units."""
        found = _NUMBER.match(self.text)
        unit = self.text[found.end() :].strip() if found else ""
        if unit in _SIZES or self.text.endswith("AWG"):
            return sized(self.si, self.text)
        if unit not in _WRITTEN:
            return Said(self.text)
        kind, whose = _WRITTEN[unit]
        readings = {other.value: other.words(kind, self.si) for other in Units if other is not whose}
        return Said(self.text, **readings)


Curve = tuple[tuple[Quantity, Quantity], ...]  # by rising first quantity
