"""What the time-current figure of each main run shows: the fuse's band, the conductor's limits, loads and faults."""

from __future__ import annotations

from collections.abc import Mapping
from math import log
from typing import Final

from dossier.assessment.conductors.heating import LONGEST_S, cable_of
from dossier.assessment.conductors.schedule import allowed_current
from dossier.assessment.protection.clearing import curve
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.electrical.fuses import bracket_for, final_temperature, withstand_time
from dossier.electrical.heating import ThermalCable, time_constant
from dossier.equipment.installed import Installed
from dossier.reference.conductors import VALID_UP_TO
from dossier.reference.fuses import BLADE_SMALL_LARGEST, BRACKET_FLOOR, SHORTEST, SHORTEST_SOURCE
from dossier.results.protection import CurvePoint, FuseCheck, Points, TimeCurrent
from dossier.results.schedule import ConductorRow

MOST_CURVES: Final = 6
STEPS: Final = 24


def time_currents(
    fit: Installed,
    checks: tuple[FuseCheck, ...],
    rows: Mapping[str, ConductorRow],
    currents: Mapping[str, tuple[ConductorCurrent, ...]],
) -> tuple[TimeCurrent, ...]:
    """One per fused feed, that of its smallest fuse; the largest ratings first."""
    chosen: dict[str, FuseCheck] = {}
    for check in checks:
        if check.cable not in chosen or check.rating < chosen[check.cable].rating:
            chosen[check.cable] = check
    main = sorted(chosen.values(), key=lambda c: -c.rating)[:MOST_CURVES]
    made = (_time_current(fit, c, rows[c.cable], currents[c.cable]) for c in main)
    return tuple(one for one in made if one is not None)


def _time_current(
    fit: Installed, check: FuseCheck, row: ConductorRow, currents: tuple[ConductorCurrent, ...]
) -> TimeCurrent | None:
    conductor = fit.conductors[check.cable]
    thermal = cable_of(conductor, allowed_current(conductor))
    if thermal is None or row.column is None or not row.allowed:
        return None
    fuse = conductor.cable.fuses[check.fuse]
    stated = bool(fuse.opens_within)
    bracket = bracket_for(fuse.style, check.rating)
    longest = curve(fuse.opens_within) if stated else tuple((m * check.rating, t) for m, t in bracket.points)
    style = "blade_large" if fuse.style == "blade" and check.rating > BLADE_SMALL_LARGEST else fuse.style
    shortest: Points = curve(fuse.holds_for)
    if not stated and not shortest:
        shortest = tuple((m * check.rating, t) for m, t in SHORTEST.get(style, ()))
    top = max(check.most, 12.0 * check.rating)
    each = 1 if fuse.shared else row.runs
    return TimeCurrent(
        cable=check.cable,
        title=check.cable_title,
        fuse=check.fuse,
        rating=check.rating,
        opens_within=extended(longest, top),
        holds_for=extended(shortest, top),
        recalled=not stated,
        band_source="points of its data sheet"
        if stated
        else bracket.source.text + (f"; shortest: {SHORTEST_SOURCE.text}" if shortest else ""),
        damage=_damage(thermal, row.column, final_temperature(row.insulation or row.column), top),
        rating_line=_rating_line(thermal, row.column, row.ambient or 30.0, row.allowed, top),
        allowed=row.allowed,
        loads=tuple(CurvePoint(c.rms / each, LONGEST_S if c.goes_on else c.seconds, c.case) for c in currents),
        least=check.least,
        most=check.most,
    )


def extended(points: Points, top: float) -> Points:
    """Points with the part of constant I^2 t beyond the last one, down to 5 ms."""
    if not points:
        return points
    current, time = points[-1]
    beyond = min(current * (time / BRACKET_FLOOR) ** 0.5, top)
    return (*points, (beyond, time * (current / beyond) ** 2)) if beyond > current else points


def _damage(thermal: ThermalCable, start: float, end: float, top: float) -> Points:
    """(k S)^2/I^2 from 5 s down, from a conductor as hot as it may be."""
    whole = withstand_time(thermal.area, 1.0, thermal.material, start, end)
    first = (whole / VALID_UP_TO) ** 0.5
    last = max(top, 2.0 * first)
    currents = [first * (last / first) ** (n / 8) for n in range(9)]
    return tuple((i, whole / i**2) for i in currents)


def _rating_line(thermal: ThermalCable, rating: float, air: float, allowed: float, top: float) -> Points:
    """When a cold conductor reaches the rating of its insulation, by its time constant: t = -tau ln(1 - (Iz/I)^2).

    One lump: within 5 % from 30 s on, up to a third too long below 5 s, where the adiabatic line stands beside it.
    """
    if rating <= air:
        return ()
    tau = time_constant(thermal, rating, air)
    ratio = max(top / allowed, 2.0)
    currents = [allowed * 1.02 * (ratio / 1.02) ** (n / STEPS) for n in range(STEPS + 1)]
    return tuple((i, -tau * log(1.0 - (allowed / i) ** 2)) for i in currents)
