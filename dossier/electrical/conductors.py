"""Resistance of conductors."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from math import exp, log
from typing import Final, Literal

from dossier.reference.conductors import (
    AWG_NUMBERS,
    IEC60228_CLASS2,
    IEC60228_CLASS2_ALUMINIUM,
    IEC60228_CLASS5,
    LAY_FACTOR,
    METALS,
    awg_area,
)

Stranding = Literal["flexible", "stranded"]

# An area within 0.2 % of a gauge was written as that gauge; metric sizes are nominal, gauges are true areas.
_AWG_MATCH: Final = 0.002
_AWG_AREAS: Final = {name: awg_area(name) for name in AWG_NUMBERS}


def awg_of(area: float) -> str | None:
    """Designation of the gauge whose area this is, or ``None``.

    Args:
        area: cross-section [m2].

    Returns:
        ``18`` .. ``1``, ``0`` .. ``0000`` if within 0.2 % of that gauge (ASTM B258).
    """
    for name, value in _AWG_AREAS.items():
        if abs(area / value - 1.0) < _AWG_MATCH:
            return name
    return None


def _limit_over_ideal(area_mm2: float, table: Mapping[float, float], rho: float) -> float:
    """Published limit over rho/A: log-log between sizes, the nearest end's ratio beyond the table."""
    sizes = list(table)
    ratios = [table[s] * 1e-3 * s * 1e-6 / rho for s in sizes]
    if area_mm2 <= sizes[0]:
        return ratios[0]
    for (s0, r0), (s1, r1) in pairwise(zip(sizes, ratios, strict=True)):
        if area_mm2 <= s1:
            w = log(area_mm2 / s0) / log(s1 / s0)
            return exp((1.0 - w) * log(r0) + w * log(r1))
    return ratios[-1]


def construction_factor(area: float, material: str = "copper", stranding: Stranding = "flexible") -> float:
    """Resistance of a real conductor over that of a solid bar of its stated area [1].

    A gauge (a true area) takes the lay factor 1.02, which reproduces NEC chapter 9 Table 8. A metric size is
    nominal: the higher of 1.02 and the IEC 60228 limit over rho/A, log-log between sizes. Copper-clad
        aluminium
    and flexible aluminium have no limit of their own there and take copper's ratio.

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
        return LAY_FACTOR
    if stranding == "stranded" and material == "aluminium":
        ratio = _limit_over_ideal(area * 1e6, IEC60228_CLASS2_ALUMINIUM, METALS["aluminium"].rho20)
    else:
        table = IEC60228_CLASS5 if stranding == "flexible" else IEC60228_CLASS2
        ratio = _limit_over_ideal(area * 1e6, table, METALS["copper"].rho20)
    return max(LAY_FACTOR, ratio)


def temperature_factor(material: str, temperature: float) -> float:
    """Resistance over its value at 20 degC [1]: 1 + alpha20 (T - 20), IACS 0.00393 /K for copper.

    Args:
        material: key of ``METALS``.
        temperature: of the conductor [degC].
    """
    return 1.0 + METALS[material].alpha20 * (temperature - 20.0)


def resistance(
    area: float,
    length: float,
    material: str = "copper",
    temperature: float = 20.0,
    stranding: Stranding = "flexible",
) -> float:
    """Resistance of a conductor, on the high (safe for sag) side [ohm].

    R = f rho20 l / A (1 + alpha20 (T - 20)) with f from ``construction_factor``.

    Args:
        area: stated cross-section [m2].
        length: one way [m].
        material: key of ``METALS``.
        temperature: of the conductor [degC].
        stranding: ``flexible`` or ``stranded``.

    Raises:
        ValueError: area not positive or length negative.
        KeyError: unknown material.
    """
    if length < 0.0:
        raise ValueError(f"a length is not negative, as {length} is")
    factor = construction_factor(area, material, stranding) * temperature_factor(material, temperature)
    return factor * METALS[material].rho20 * length / area


def lowest_resistance(
    area: float, length: float, material: str = "copper", temperature: float = 20.0
) -> float:
    """Resistance of a solid bar of the stated area [ohm]: the low side, for breaking capacity.

    R = rho20 l / A (1 + alpha20 (T - 20)).

    Args:
        area: stated cross-section [m2].
        length: one way [m].
        material: key of ``METALS``.
        temperature: of the conductor [degC].
    """
    if area <= 0.0 or length < 0.0:
        raise ValueError("a conductor has a positive area and no negative length")
    return METALS[material].rho20 * length / area * temperature_factor(material, temperature)
