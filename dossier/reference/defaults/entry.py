"""One documented default: what is assumed when the build file is silent, how well it is known, and why."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from dossier.frozen import dataclass
from dossier.reference.band import Band
from dossier.reference.source import Source

# SI (with degC, r/min and dB as the project allows) per printed unit
UNITS: Final[Mapping[str, float]] = MappingProxyType(
    {
        "": 1.0,
        "%": 0.01,
        "V": 1.0,
        "mV": 1e-3,
        "A": 1.0,
        "A/s": 1.0,
        "A/F": 1.0,
        "A/Ah": 1.0 / 3600.0,
        "Ω·Ah": 3600.0,
        "mΩ·Ah": 3.6,
        "mΩ·mm²": 1e-9,
        "mΩ": 1e-3,
        "F/Ah": 1.0 / 3600.0,
        "mF/kW": 1e-6,
        "µA/F": 1e-6,
        "s": 1.0,
        "mV/K": 1e-3,
        "%/month": 0.01 / (30.0 * 86400.0),
        "°C": 1.0,
        "K": 1.0,
        "r/min": 1.0,
        "dB": 1.0,
    }
)


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


def default(
    identifier: str,
    quantity: str,
    values: tuple[float, float, float],
    unit: str,
    source: Source,
    note: str = "",
    *,
    per_system: int = 0,
) -> Default:
    """A default from low, typical and high in its printed unit.

    Raises:
        KeyError: the unit is not one of ``UNITS``.
        ValueError: the three values do not rise.
    """
    per_unit = UNITS[unit]
    band = Band(*(v * per_unit for v in values))
    return Default(identifier, quantity, band, unit, source, note, per_system)
