"""Documented defaults: what is assumed when the build file is silent, how well it is known, and why.

The table is ``defaults.json``: id -> what it is in words; low, typical and high in the unit it is printed in; that
unit; its source (document, edition, place in it, how it was seen: under ``sources``); what to mind; ``per_system``.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from dossier.frozen import dataclass
from dossier.reference.band import Band
from dossier.reference.source import Source, Status

# SI (with degC, r/min and dB as the project allows) per printed unit
UNITS: Final[Mapping[str, float]] = MappingProxyType(
    {
        "": 1.0, "%": 0.01, "V": 1.0, "mV": 1e-3, "mV/K": 1e-3, "A": 1.0, "A/s": 1.0, "A/F": 1.0, "µA/F": 1e-6,
        "A/Ah": 1.0 / 3600.0, "F/Ah": 1.0 / 3600.0, "mF/kW": 1e-6, "Ω·Ah": 3600.0, "mΩ·Ah": 3.6, "mΩ·mm²": 1e-9,
        "mΩ": 1e-3, "s": 1.0, "%/month": 0.01 / (30.0 * 86400.0), "°C": 1.0, "K": 1.0, "r/min": 1.0, "dB": 1.0,
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Default:
    """A default and its plausible band.

    Attributes:
        id: stable dotted name, for example ``agm.resistance``.
        quantity: what it is, in words.
        band: low, typical and high in SI.
        unit: the unit it is printed in, a key of ``UNITS``.
        source: where it comes from.
        note: what to mind; may be empty.
        per_system: power of the vehicle's nominal voltage over 12 V that it grows with: 1 for a voltage of the
            vehicle itself, -1 for a current of the same watts, 0 for what belongs to one device.
    """

    id: str
    quantity: str
    band: Band
    unit: str
    source: Source
    note: str = ""
    per_system: int = 0

    @property
    def low(self) -> float:
        """Low end of the band, SI."""
        return self.band.low

    @property
    def typical(self) -> float:
        """The value to assume, SI."""
        return self.band.typical

    @property
    def high(self) -> float:
        """High end of the band, SI."""
        return self.band.high

    @property
    def text(self) -> str:
        """For printing: ``300 mΩ·Ah (150 to 600)``."""
        low, typical, high = (_number(x / UNITS[self.unit]) for x in (self.low, self.typical, self.high))
        unit = f" {self.unit}" if self.unit else ""
        return f"{typical}{unit} ({low} to {high})"


def _number(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 1000.0 else f"{value:.4g}"


def read_defaults(text: str) -> dict[str, Default]:
    """The defaults of a table as text; see the module.

    Raises:
        KeyError: a unit is not one of ``UNITS``, or a source is missing.
        ValueError: the three values of a default do not rise.
    """
    table = json.loads(text)
    sources = {
        name: Source(document, edition, locator, Status[seen.upper()])
        for name, (document, edition, locator, seen) in table["sources"].items()
    }
    return {
        name: Default(name, what, Band(*(value * UNITS[unit] for value in band)), unit, sources[source], *rest)
        for name, (what, band, unit, source, *rest) in table["defaults"].items()
    }


DEFAULTS: Final[Mapping[str, Default]] = MappingProxyType(
    read_defaults(Path(__file__).with_suffix(".json").read_text(encoding="utf-8"))
)
