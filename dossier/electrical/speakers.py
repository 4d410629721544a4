"""Loudspeakers: net impedance, voltage and current, loss in the lead."""

from __future__ import annotations

from math import log10, sqrt
from typing import Final, Literal

from dossier.frozen import dataclass

Connection = Literal["series", "parallel"]

COVERED_ABOVE: Final = 50.0
"""Terminals above this must be covered [V rms]; common practice, no source."""


def combined(impedance: float, count: int, connection: Connection) -> float:
    """Impedance of equal parts [ohm]: n Z in series, Z/n in parallel.

    Raises:
        ValueError: no part, an impedance that is not positive, or another word.
    """
    if count < 1 or impedance <= 0.0:
        raise ValueError("there is at least one part and its impedance is positive")
    if connection == "series":
        return impedance * count
    if connection == "parallel":
        return impedance / count
    raise ValueError(f"parts are in series or parallel, not {connection!r}")


def reachable_impedances(coil: float, coils: int, drivers: int) -> dict[float, tuple[tuple[int, int], ...]]:
    """Every load that equal coils and drivers can be wired to [ohm], rising: equal groups in series and parallel.

    With each, how many coils of a driver and how many drivers stand in series then.

    Args:
        coil: impedance of one voice coil [ohm].
        coils: voice coils of one driver, wired alike in all.
        drivers: equal drivers.
    """
    found: dict[float, tuple[tuple[int, int], ...]] = {}
    for a in _in_series(coils):
        for b in _in_series(drivers):
            load = round(coil * (a * a / coils) * (b * b / drivers), 6)
            found[load] = (*found.get(load, ()), (a, b))
    return dict(sorted(found.items()))


def _in_series(count: int) -> list[int]:
    """Of a number of equal parts: how many may stand in series, groups of them side by side."""
    return [s for s in range(1, count + 1) if count % s == 0]


def net_impedance(
    coil: float, coils: int, coils_in: Connection, drivers: int, drivers_in: Connection, amplifiers: int = 1
) -> float:
    """Nominal load that each amplifier sees [ohm].

    Args:
        coil: impedance of one voice coil [ohm].
        coils: voice coils of one driver.
        coils_in: how they are joined.
        drivers: equal drivers.
        drivers_in: how they are joined.
        amplifiers: 1, or 2 for a strapped pair: each sees half the load.
    """
    if amplifiers < 1:
        raise ValueError("at least one amplifier")
    return combined(combined(coil, coils, coils_in), drivers, drivers_in) / amplifiers


def operating_impedance(nominal: float, rise: float = 1.0) -> float:
    """Impedance under power [ohm]: nominal times its rise; 1 is the safe side.

    Args:
        nominal: [ohm].
        rise: factor, not below 0.8 (IEC 60268-5).
    """
    if rise < 0.8:
        raise ValueError(f"an impedance does not fall below 0.8 of rated (IEC 60268-5), as {rise} says")
    return nominal * rise


def terminal_voltage(power: float, impedance: float) -> float:
    """Voltage for a power [V rms]: sqrt(P Z), power in W and impedance in ohm."""
    return sqrt(power * impedance)


def terminal_current(power: float, impedance: float) -> float:
    """Current for a power [A rms]: sqrt(P/Z), power in W and impedance in ohm."""
    return sqrt(power / impedance)


def needs_cover(power: float, impedance: float) -> bool:
    """Whether the terminals can pass 50 V rms."""
    return terminal_voltage(power, impedance) > COVERED_ABOVE


@dataclass(frozen=True, slots=True)
class LeadLoss:
    """What a speaker lead costs: heat [W] and level [dB]."""

    heat: float
    level: float


def lead_loss(power: float, impedance: float, resistance: float) -> LeadLoss:
    """Loss in the lead, at rated current.

    Heat I^2 R with I = sqrt(P/Z) (the high side: the lead itself lowers the current a little); level
    20 log10(1 + R/Z) at a fixed amplifier voltage.

    Args:
        power: into the load [W].
        impedance: of the load [ohm].
        resistance: of the lead, both ways [ohm].
    """
    return LeadLoss(power / impedance * resistance, 20.0 * log10(1.0 + resistance / impedance))
