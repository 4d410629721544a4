"""Allowable current of a conductor: the published base and every factor on it."""

from __future__ import annotations

from itertools import pairwise
from math import exp, log, pi, prod, sqrt
from typing import Final

from dossier.electrical.conductors import temperature_factor
from dossier.electrical.refusal import InsulationOutsideTableError, SizeOutsideTableError
from dossier.frozen import dataclass
from dossier.reference.ampacity import (
    AMBIENT_FORMULA_SOURCE,
    BUNDLING_MARINE,
    BUNDLING_MARINE_SOURCE,
    BUNDLING_NEC,
    BUNDLING_NEC_SOURCE,
    BUNDLING_TOUCHING_SOURCE,
    CCA_SOURCE,
    ISO10133_60,
    NOTE1_AMBIENT,
    NOTE1_FACTORS,
    NOTE1_SOURCE,
    TABLE5,
    TABLE5_AMBIENT,
    TABLE5_COLUMNS,
    TABLE5_SOURCE,
)
from dossier.reference.conductors import METALS, awg_area
from dossier.reference.source import Source

_AREAS: Final = tuple(awg_area(name) for name in TABLE5)
_ROWS: Final = tuple(TABLE5.values())
_SAME_SIZE: Final = 0.002  # a gauge written in mm2 with three figures is still that gauge


@dataclass(frozen=True, slots=True)
class Factor:
    """One factor on an allowable current."""

    name: str  # ``ambient``, ``bundling`` or ``material``
    value: float  # 0..1
    source: Source  # of the factor


ALONE: Final = Factor("bundling", 1.0, BUNDLING_NEC_SOURCE)
"""A conductor by itself, or a feed beside its own return: the published base covers it."""


@dataclass(frozen=True, slots=True)
class Allowable:
    """Allowable current of one conductor."""

    base: float  # published current for copper, 30 degC, alone [A]
    column: float  # insulation column that was used [degC]
    base_source: Source  # of ``base``
    factors: tuple[Factor, ...]  # every factor, also those that are 1
    allowed: float  # base times all factors [A]


def insulation_column(insulation: float) -> float:
    """The published column for an insulation rating [degC]: itself, else the next lower.

    Raises:
        InsulationOutsideTableError: below the lowest column, 60 degC.
    """
    fitting = [c for c in TABLE5_COLUMNS if c <= insulation]
    if not fitting:
        raise InsulationOutsideTableError(
            f"insulation rated {insulation:g} degC is below the lowest published column, {TABLE5_COLUMNS[0]:g} degC"
        )
    return fitting[-1]


def base_ampacity(area: float, insulation: float) -> float:
    """Published current of a single stranded copper conductor at 30 degC [A].

    33 CFR 183.425 Table 5; between its rows log-log on area, above 4/0 the 4/0 row, between its columns the lower.

    Args:
        area: cross-section [m2].
        insulation: temperature rating [degC].

    Raises:
        SizeOutsideTableError: thinner than 18 AWG.
        InsulationOutsideTableError: below 60 degC.
    """
    column = TABLE5_COLUMNS.index(insulation_column(insulation))
    currents = [row[column] for row in _ROWS]
    for row_area, current in zip(_AREAS, currents, strict=True):
        if abs(area / row_area - 1.0) < _SAME_SIZE:
            return current
    if area < _AREAS[0]:
        raise SizeOutsideTableError(f"{area * 1e6:.3g} mm2 is thinner than the smallest published size, 18 AWG")
    if area > _AREAS[-1]:
        return currents[-1]
    upper = next(i for i, row_area in enumerate(_AREAS) if area < row_area)
    a0, a1, i0, i1 = _AREAS[upper - 1], _AREAS[upper], currents[upper - 1], currents[upper]
    return exp(log(i0) + log(i1 / i0) * log(area / a0) / log(a1 / a0))


def ambient_factor(insulation: float, ambient: float) -> Factor:
    """Factor for the air around the conductor.

    sqrt((Ti - Ta)/(Ti - 30)), the law behind the NEC ladder; from 50 degC up never above the published
    factor of 33 CFR 183.425 note 1; never above 1; zero when the air is as hot as the insulation may be.

    Args:
        insulation: temperature rating [degC]; its column is used.
        ambient: [degC].
    """
    column = insulation_column(insulation)
    if ambient <= TABLE5_AMBIENT:
        return Factor("ambient", 1.0, TABLE5_SOURCE)
    if ambient >= column:
        return Factor("ambient", 0.0, AMBIENT_FORMULA_SOURCE)
    formula = sqrt((column - ambient) / (column - TABLE5_AMBIENT))
    published = NOTE1_FACTORS[column]
    if ambient >= NOTE1_AMBIENT and published < formula:
        return Factor("ambient", published, NOTE1_SOURCE)
    return Factor("ambient", formula, AMBIENT_FORMULA_SOURCE)


def _ladder(steps: tuple[tuple[int | None, float], ...], conductors: int) -> float:
    return next(value for most, value in steps if most is None or conductors <= most)


def bundling_factor(conductors: int) -> Factor:
    """Factor for loaded conductors lying together: the lower of the NEC and the marine ladder.

    One feed beside its own return (two) takes 1: the base value already covers it.

    Args:
        conductors: loaded conductors in the bundle, this one included.

    Raises:
        ValueError: fewer than one.
    """
    if conductors < 1:
        raise ValueError(f"a bundle holds at least one conductor, not {conductors}")
    nec, marine = _ladder(BUNDLING_NEC, conductors), _ladder(BUNDLING_MARINE, conductors)
    if marine <= nec:
        return Factor("bundling", marine, BUNDLING_MARINE_SOURCE)
    return Factor("bundling", nec, BUNDLING_NEC_SOURCE)


def touching_factor(conductors: int) -> Factor:
    """Factor for loaded runs that touch in free air: 0.905, 0.807, 0.754 for two, three, four.

    Heat leaves a tight bundle over its perimeter, (pi + n) d for n up to six equal cables and (pi + 6) d for seven,
    against n pi d of as many alone; the current goes with the root. Above seven also no more than the NEC ladder.

    Args:
        conductors: that touch, this one included.
    """
    n = min(conductors, 7)
    value = sqrt((pi + min(n, 6)) / (n * pi)) if n > 1 else 1.0
    return Factor("bundling", min(value, _ladder(BUNDLING_NEC, conductors)), BUNDLING_TOUCHING_SOURCE)


def cautious_60(area: float) -> float | None:
    """What ISO 10133 allows a copper conductor with 60 degC insulation at 30 degC [A]; None outside its sizes.

    Not checked against the document: good for a caution where it is below 33 CFR 183.425.
    """
    sizes = list(ISO10133_60)
    mm2 = area * 1e6
    if not sizes[0] * 0.99 <= mm2 <= sizes[-1]:
        return None
    for s0, s1 in pairwise(sizes):
        if mm2 <= s1:
            i0, i1 = ISO10133_60[s0], ISO10133_60[s1]
            return exp(log(i0) + log(i1 / i0) * max(log(mm2 / s0), 0.0) / log(s1 / s0))
    return ISO10133_60[sizes[-1]]


def material_factor(material: str, insulation: float) -> Factor:
    """Factor for a conductor that is not copper: sqrt(R_Cu/R) at the insulation's temperature.

    Equal loss at equal temperature; 0.790 and 0.800 for copper-clad aluminium of 10 and 15 %.

    Args:
        material: key of ``METALS``.
        insulation: temperature rating [degC]; its column is used.
    """
    if material == "copper":
        return Factor("material", 1.0, TABLE5_SOURCE)
    hot = insulation_column(insulation)
    copper = METALS["copper"].rho20 * temperature_factor("copper", hot)
    other = METALS[material].rho20 * temperature_factor(material, hot)
    return Factor("material", sqrt(copper / other), CCA_SOURCE)


def allowable(
    area: float, insulation: float, ambient: float = 30.0, bundle: Factor = ALONE, material: str = "copper"
) -> Allowable:
    """Allowable current of one conductor with every factor [A].

    Args:
        area: cross-section [m2].
        insulation: temperature rating [degC].
        ambient: air around it [degC].
        bundle: ``bundling_factor`` or ``touching_factor``.
        material: key of ``METALS``.

    Raises:
        SizeOutsideTableError: thinner than 18 AWG.
        InsulationOutsideTableError: rated below 60 degC.
    """
    base = base_ampacity(area, insulation)
    factors = (
        ambient_factor(insulation, ambient),
        bundle,
        material_factor(material, insulation),
    )
    allowed = base * prod(f.value for f in factors)
    return Allowable(base, insulation_column(insulation), TABLE5_SOURCE, factors, allowed)
