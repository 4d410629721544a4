"""Fuses: the rating a load needs, how long they take, and what a conductor withstands meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import exp, log, sqrt
from typing import Final

from dossier.electrical.refusal import OutsideKnownError
from dossier.reference.band import Band
from dossier.reference.conductors import BETA, FINAL_THERMOPLASTIC, FINAL_THERMOSET, METALS, THERMOPLASTIC_UP_TO
from dossier.reference.defaults import DEFAULTS
from dossier.reference.fuses import (
    ABYC_BREAKING,
    BLADE_SMALL_LARGEST,
    BRACKET_FLOOR,
    BRACKETS,
    CLASSES,
    COLD_SHARE,
    CONTINUOUS_FRACTION,
    RATINGS,
    TEMPERATURE_REFERENCE,
    TEMPERATURE_SLOPE,
    BreakingClass,
    TimeBracket,
)

_DROPS: Final = {
    "blade": "blade",
    "strip": "bolt",
    "bolt_in": "bolt",
    "cartridge": "cartridge",
    "breaker": "breaker",
}


def temperature_rerating(ambient: float) -> float:
    """What is left of a rating in warm air [1]: 1 - 0.005 max(0, Ta - 25), never below 0; [degC]."""
    return max(0.0, 1.0 - TEMPERATURE_SLOPE * max(0.0, ambient - TEMPERATURE_REFERENCE))


def minimum_rating(current: float, ambient: float = 25.0) -> float:
    """Smallest rating that carries a load for long [A]: I/(0.75 (1 - 0.005 max(0, Ta - 25))).

    Args:
        current: rms, over minutes [A].
        ambient: of the fuse [degC].

    Raises:
        OutsideKnownError: so hot that no rating is left.
    """
    left = temperature_rerating(ambient)
    if left <= 0.0:
        raise OutsideKnownError(f"at {ambient:g} degC nothing is left of a fuse's rating")
    return current / (CONTINUOUS_FRACTION * left)


def next_rating(current: float, style: str) -> float | None:
    """Smallest made rating at or above a current [A], or ``None`` above the largest.

    Args:
        current: [A].
        style: key of ``RATINGS``.
    """
    return next((rating for rating in RATINGS[style] if rating >= current * (1.0 - 1e-9)), None)


def table_breaking(cranking: float) -> tuple[float, float]:
    """Least breaking capacity of the main and of a branch device [A] by ABYC E-11 Table V-A, read second-hand.

    Args:
        cranking: cold-cranking current of every battery connected [A]; the last row, above 1100 A, has no end.
    """
    return next((main, branch) for most, main, branch in ABYC_BREAKING if most is None or cranking <= most)


def breaking_class(current: float, rating: float | None = None) -> BreakingClass | None:
    """The least class of fuse that breaks a current [A], of a rating if one is given; None above every class."""
    return next(
        (c for c in CLASSES if c.current >= current and (rating is None or c.smallest <= rating <= c.largest)), None
    )


def fuse_resistance(style: str, rating: float, hot: bool = True) -> Band:
    """Resistance of the fuse itself, without its holder [ohm]: drop at rated current over the rating.

    Args:
        style: blade | strip | bolt_in | cartridge | breaker.
        rating: [A].
        hot: at rated current (the high side, for sag); else cold, 0.7 of it (for fault current).
    """
    drop = DEFAULTS[f"fuse.{_DROPS[style]}_drop"].band
    return drop.scaled((1.0 if hot else COLD_SHARE) / rating)


def bracket_for(style: str, rating: float) -> TimeBracket:
    """Upper clearing-time bracket; blade fuses rated above 40 A count as the slower type."""
    return BRACKETS["blade_large" if style == "blade" and rating > BLADE_SMALL_LARGEST else style]


def clearing_time(current: float, rating: float, points: Sequence[tuple[float, float]]) -> float | None:
    """Longest clearing time [s], or ``None`` where clearing cannot be assumed.

    Log-log between the points; above the last I^2 t stays as there, but not below 5 ms; below the first ``None``.

    Args:
        current: [A].
        rating: [A].
        points: (current / rating, longest time [s]); from a data sheet, or ``bracket_for(...).points``.

    Raises:
        ValueError: no points, or times that do not fall.
    """
    rising = sorted(points)
    if not rising or any(t1 > t0 or m1 <= m0 for (m0, t0), (m1, t1) in pairwise(rising)):
        raise ValueError("a time-current curve has points whose time falls as the current rises")
    multiple = current / rating
    if multiple < rising[0][0]:
        return None
    last_multiple, last_time = rising[-1]
    if multiple >= last_multiple:
        return max(BRACKET_FLOOR, last_time * (last_multiple / multiple) ** 2)
    for (m0, t0), (m1, t1) in pairwise(rising):
        if multiple <= m1:
            return t0 * exp(log(t1 / t0) * log(multiple / m0) / log(m1 / m0))
    return None


def final_temperature(rating: float) -> float:
    """What insulation of a rating [degC] stands for the seconds of a fault [degC]: 160, above 125 degC of rating 250.

    BS 7671 Table 43.1, thermoplastic and thermoset; up to 125 degC the lower one, since a marking rarely says which.
    """
    return FINAL_THERMOPLASTIC if rating <= THERMOPLASTIC_UP_TO else FINAL_THERMOSET


def adiabatic_k(material: str, start: float, end: float = FINAL_THERMOPLASTIC) -> float:
    """Factor k of the adiabatic equation [A s^0.5/m2].

    k = sqrt(Qc (beta + 20)/rho20 ln((beta + Tf)/(beta + Ti))), IEC 60364-5-54 Annex A. Published values count
    mm2: divide by 1e6.

    Args:
        material: key of ``METALS``.
        start: conductor temperature before the fault [degC].
        end: that the insulation stands for seconds [degC]: 160 thermoplastic, 250 thermoset.

    Raises:
        ValueError: the end is not above the start.
    """
    if end <= start:
        raise ValueError(f"a fault ends hotter than it starts: {end:g} degC is not above {start:g} degC")
    metal, beta = METALS[material], BETA[material]
    return sqrt(metal.heat * (beta + 20.0) / metal.rho20 * log((beta + end) / (beta + start)))


def withstand_time(area: float, current: float, material: str, start: float, end: float = FINAL_THERMOPLASTIC) -> float:
    """How long a conductor stands a fault [s]: (k S/I)^2; used up to 5 s, safe beyond; not at all if it starts too hot.

    Args:
        area: [m2].
        current: [A].
        material: key of ``METALS``.
        start: conductor temperature before the fault [degC].
        end: as ``adiabatic_k``.
    """
    return (adiabatic_k(material, start, end) * area / current) ** 2 if end > start else 0.0
