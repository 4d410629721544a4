"""Resistance of conductors."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from math import exp, log
from typing import Final, Literal

from dossier.reference.band import Band
from dossier.reference.conductors import (
    AWG_NUMBERS,
    FAA_TABLE_11_9,
    GAUGE_HIGH,
    GAUGE_TYPICAL,
    IEC60228_CLASS2,
    IEC60228_CLASS2_ALUMINIUM,
    IEC60228_CLASS5,
    LAY_FACTOR,
    METALS,
    awg_area,
)

Stranding = Literal["flexible", "stranded"]

# A gauge is often written as a rounded area, 21.2 mm2 for 4 AWG; no metric size lies within 2.5 % of one.
_AWG_MATCH: Final = 0.01
_AWG_AREAS: Final = {name: awg_area(name) for name in AWG_NUMBERS}
_FOOT: Final = 0.3048  # m
_OVER_SOLID: Final = {
    awg_area(name) * 1e6: max(GAUGE_HIGH, ohms / (1000.0 * _FOOT) * awg_area(name) / METALS["copper"].rho20)
    for name, ohms in FAA_TABLE_11_9.items()
}


def awg_of(area: float) -> str | None:
    """Designation of the gauge whose area this is, or ``None``.

    Args:
        area: cross-section [m2].

    Returns:
        ``18`` .. ``1``, ``0`` .. ``0000`` if within 1 % of that gauge (ASTM B258).
    """
    for name, value in _AWG_AREAS.items():
        if abs(area / value - 1.0) < _AWG_MATCH:
            return name
    return None


def _between(area_mm2: float, ratios: Mapping[float, float]) -> float:
    """A ratio by size: log-log between sizes, the nearest end's beyond them."""
    sizes = list(ratios)
    if area_mm2 <= sizes[0]:
        return ratios[sizes[0]]
    for s0, s1 in pairwise(sizes):
        if area_mm2 <= s1:
            w = log(area_mm2 / s0) / log(s1 / s0)
            return exp((1.0 - w) * log(ratios[s0]) + w * log(ratios[s1]))
    return ratios[sizes[-1]]


def _limits(table: Mapping[float, float], rho: float) -> dict[float, float]:
    """Published limit over rho/A, by size [mm2]."""
    return {size: limit * 1e-3 * size * 1e-6 / rho for size, limit in table.items()}


def construction(area: float, material: str = "copper", stranding: Stranding = "flexible") -> Band:
    """Resistance of a real conductor over that of a solid bar of its stated area [1].

    A gauge (a true area) has a typical value for flexible cable and a high end that reaches FAA Table 11-9, largest of
    tinned wire. A metric size is nominal: the higher of 1.02 and the IEC 60228 limit over rho/A, log-log between sizes,
    typical and high end. The low end is the solid bar. Copper-clad aluminium and flexible aluminium have no limit of
    their own and take copper's ratio.

    Args:
        area: cross-section [m2].
        material: key of ``METALS``.
        stranding: ``flexible`` (class 5) or ``stranded`` (class 2).

    Raises:
        ValueError: the area is not positive.
        KeyError: unknown material.
    """
    if area <= 0.0:
        raise ValueError(f"a conductor has a positive area, not {area}")
    if awg_of(area) is not None:
        return Band(1.0, GAUGE_TYPICAL, _between(area * 1e6, _OVER_SOLID))
    if stranding == "stranded" and material == "aluminium":
        limits = _limits(IEC60228_CLASS2_ALUMINIUM, METALS["aluminium"].rho20)
    else:
        table = IEC60228_CLASS5 if stranding == "flexible" else IEC60228_CLASS2
        limits = _limits(table, METALS["copper"].rho20)
    most = max(LAY_FACTOR, _between(area * 1e6, limits))
    return Band(1.0, most, most)


def temperature_factor(material: str, temperature: float) -> float:
    """Resistance over its value at 20 degC [1]: 1 + alpha20 (T - 20), IACS 0.00393 /K for copper.

    Args:
        material: key of ``METALS``.
        temperature: of the conductor [degC].
    """
    return 1.0 + METALS[material].alpha20 * (temperature - 20.0)


def resistance(
    area: float, length: float, material: str = "copper", temperature: float = 20.0, stranding: Stranding = "flexible"
) -> Band:
    """Resistance of a conductor [ohm]: high end for voltage drop and the smallest fault, low end for the largest.

    R = f rho20 l / A (1 + alpha20 (T - 20)) with f from ``construction``; a gauge written as a rounded area counts as
    the gauge.

    Args:
        area: stated cross-section [m2].
        length: one way [m].
        material: key of ``METALS``.
        temperature: of the conductor [degC].
        stranding: ``flexible`` or ``stranded``.

    Raises:
        ValueError: area not positive or length not positive.
        KeyError: unknown material.
    """
    gauge = awg_of(area) if area > 0.0 else None
    area = awg_area(gauge) if gauge else area
    factor = construction(area, material, stranding)
    return factor.scaled(temperature_factor(material, temperature) * METALS[material].rho20 * length / area)
