"""Fuse coordination: what is asked of every fuse, what every end of a feed is exposed to.

And which fuse opens first.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, sqrt
from typing import Final

from dossier.assessment.heating import background, cable_of
from dossier.assessment.prospective import FaultNets, FuseFault, fuse_fault
from dossier.assessment.schedule import ConductorCurrent, allowed_current
from dossier.buildfile.model import Build, Cable, Fuse
from dossier.electrical import transient
from dossier.electrical.fuses import (
    bracket_for,
    clearing_time,
    final_temperature,
    temperature_rerating,
    withstand_time,
)
from dossier.electrical.heating import ThermalCable, adiabatic_temperature, steady_temperature
from dossier.equipment.conductors import Conductor, ambient_of
from dossier.equipment.feeding import most_output
from dossier.equipment.fitted import Fitted
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.reference import placement
from dossier.reference.adiabatic import MELTING, VALID_UP_TO
from dossier.reference.conductors import awg_area
from dossier.reference.fuses import BLADE_SMALL_LARGEST, BREAKING_CAPACITY
from dossier.results.protection import Answer, FuseCheck, Points
from dossier.results.schedule import ConductorRow, FuseRow

CLEARS_S: Final = 5.0
SAME_PLACE: Final = 1e-6  # m
SURE_MULTIPLE: Final = 6.0
"""Multiple of the rating from which every recalled band clears in about a second, which 12 AWG and larger stands when
rated as much as the fuse (shell model, 141 degC at most with twice that time)."""
SURE_AREA: Final = awg_area("12") * 0.998
ASKED_STEPS: Final = (
    1e3,
    2e3,
    3e3,
    5e3,
    6e3,
    8e3,
    10e3,
    15e3,
    20e3,
    25e3,
    30e3,
    40e3,
    50e3,
    65e3,
    80e3,
    100e3,
    150e3,
    200e3,
)
RULES: Final[Mapping[str, tuple[placement.DistanceRule, placement.DistanceRule]]] = {
    "": (placement.GENERAL, placement.SHEATHED),
    "cfr_183_455": (placement.GENERAL, placement.SHEATHED),
    "iso_10133": (placement.ISO10133_GENERAL, placement.ISO10133_GENERAL),
    "iso_13590": (placement.ISO13590_GENERAL, placement.ISO13590_SHEATHED),
    "common_practice": (placement.TRADE, placement.TRADE),
}


def fuse_checks(
    build: Build,
    fit: Fitted,
    nets: FaultNets,
    rows: Mapping[str, ConductorRow],
    currents: Mapping[str, tuple[ConductorCurrent, ...]],
) -> tuple[FuseCheck, ...]:
    """Every fuse of every feed."""
    return tuple(
        fuse_check(build, conductor, nets, rows[conductor.id], row, currents[conductor.id])
        for conductor in fit.conductors.values()
        for row in rows[conductor.id].fuses
    )


def fuse_check(
    build: Build,
    conductor: Conductor,
    nets: FaultNets,
    row: ConductorRow,
    fuse_row: FuseRow,
    currents: tuple[ConductorCurrent, ...],
) -> FuseCheck:
    """One fuse: carries, protects, clears, survives, interrupts, placed, holder."""
    cable, fuse = conductor.cable, conductor.cable.fuses[fuse_row.id]
    fault = fuse_fault(nets, conductor, fuse.near, shared=fuse.shared)
    allowed, best = row.allowed or 0.0, row.allowed_at_best or 0.0
    rule = RULES[build.fuse_distance][1 if cable.sheathed else 0]
    supply = supply_through(build, cable, fuse)
    thermal = cable_of(conductor, allowed_current(conductor))
    before = background(currents) / cable.runs
    clears, survives = _clearing(conductor, fuse, fault, row, thermal, before)
    return FuseCheck(
        cable=cable.id,
        cable_title=cable.title,
        fuse=fuse.id,
        near=fuse.near,
        near_title=build.locations[fuse.near].title,
        style=fuse.style,
        rating=fuse.rating.si,
        distance=fuse.distance.si if fuse.distance else None,
        breaking=fuse.breaking_capacity.si if fuse.breaking_capacity else None,
        needed=fuse_row.needed,
        supply=supply,
        allowed=allowed,
        allowed_at_best=best,
        assumed_insulation=row.insulation_assumed,
        size=row.size,
        most=fault.most,
        likely=fault.likely,
        least=fault.least,
        asked_breaking=asked(fault.most),
        rule=rule.source.short,
        rule_length=rule.length,
        trade_length=placement.TRADE.length,
        carries=_carries(build, fuse, fuse_row, supply),
        protects=_protects(fuse, row),
        clears=clears,
        survives=survives,
        interrupts=_interrupts(fuse, fault),
        placed=_placed(build, fuse, rule),
        holder=_holder(build, fuse, cable),
        thin=_thin(cable, fuse),
        path=f"cables.{cable.id}.fuses.{fuse.id}",
    )


def asked(current: float) -> float:
    """Breaking capacity to look for [A]: the next round number above the prospective current."""
    return next((step for step in ASKED_STEPS if step >= current), ceil(current / 1e5) * 1e5)


def supply_through(build: Build, cable: Cable, fuse: Fuse) -> float:
    """What alternators beyond the fuse send through it [A]: those at the far end, where no battery shares the bus."""
    far = cable.end if cable.start == fuse.near else cable.start
    if any(thing.at == far for things in (build.batteries, build.capacitor_banks) for thing in things.values()):
        return 0.0
    found = sum(most_output(s) for s in build.supplies.values() if s.kind == "alternator" and s.at == far)
    ways = [c for c in build.cables.values() if c.role == "feed" and far in (c.start, c.end)]
    return found / len(ways) / (1 if fuse.shared else cable.runs) if ways else found


def _carries(build: Build, fuse: Fuse, row: FuseRow, supply: float) -> Answer:
    rating = fuse.rating.si
    if rating < row.needed:
        return Answer("no", f"{rating:.0f} A, its load needs {row.needed:.0f} A with the usual margin")
    if rating < supply / max(temperature_rerating(ambient_of(build, fuse.near).nominal), 1e-3) - 0.5:
        left = temperature_rerating(ambient_of(build, fuse.near).nominal)
        return Answer(
            "maybe",
            f"{rating:.0f} A, of which {rating * left:.0f} A are left where it sits; the alternator can "
            f"give {supply:.0f} A",
        )
    return Answer("yes", f"needs {row.needed:.0f} A")


def _protects(fuse: Fuse, row: ConductorRow) -> Answer:
    rating, allowed, best = fuse.rating.si, row.allowed, row.allowed_at_best or 0.0
    if allowed is None:
        unknown = "no published allowable current for this conductor"
        if row.allowed_at_best is not None and best < rating:  # the thinnest of the tables is an upper bound
            verdict = "maybe" if rating <= placement.RATING_LIMIT_FRACTION * best else "no"
            return Answer(verdict, f"{rating:.0f} A, {unknown}, surely no more than {best:.0f} A")
        return Answer("not known", unknown)
    if rating <= allowed:
        return Answer("yes", f"{rating:.0f} A ≤ {allowed:.0f} A")
    if rating <= best:
        return Answer(
            "not known", f"{rating:.0f} A against {allowed:.0f} A on what is assumed, up to {best:.0f} A otherwise"
        )
    if rating <= placement.RATING_LIMIT_FRACTION * best:
        return Answer(
            "maybe", f"{rating:.0f} A is {rating / max(best, 1e-9):.2f} times {best:.0f} A: short circuits only"
        )
    return Answer("no", f"{rating:.0f} A against {best:.0f} A")


def _interrupts(fuse: Fuse, fault: FuseFault) -> Answer:
    if fuse.breaking_capacity is None:
        published = BREAKING_CAPACITY[fuse.style].current
        note = f"; the standard of its style asks for {published / 1000:.0f} kA" if published else ""
        return Answer("not known", f"not stated{note}; look for {asked(fault.most) / 1000:g} kA")
    breaking = fuse.breaking_capacity.si
    if breaking < fault.likely:
        return Answer("no", f"{breaking / 1000:g} kA against {fault.likely / 1000:.1f} kA")
    if breaking < fault.most:
        return Answer(
            "maybe", f"{breaking / 1000:g} kA against {fault.likely / 1000:.1f} to {fault.most / 1000:.1f} kA"
        )
    return Answer("yes", f"{breaking / 1000:g} kA ≥ {fault.most / 1000:.1f} kA")


def _placed(build: Build, fuse: Fuse, rule: placement.DistanceRule) -> Answer:
    if fuse.distance is None:
        return Answer("not known", "distance not recorded")
    d = fuse.distance.si
    words = sentence(
        "{distance}; {source}: {limit}, trade: {trade}",
        distance=Measure("distance", d, Way.UP),
        source=rule.source.short,
        limit=Measure("distance", rule.length, Way.DOWN),
        trade=Measure("distance", placement.TRADE.length, Way.DOWN),
    )
    if d <= rule.length + SAME_PLACE:
        return Answer("yes", words)
    if not build.fuse_distance and d <= placement.TRADE.length + SAME_PLACE:
        return Answer("maybe", words)
    return Answer("no", words)


def _holder(build: Build, fuse: Fuse, cable: Cable) -> Answer:
    if fuse.holder_rating is not None and fuse.holder_rating.si < fuse.rating.si:
        return Answer("no", f"holder for {fuse.holder_rating.si:.0f} A with a fuse of {fuse.rating.si:.0f} A")
    highest = max(
        (v.si for s in build.supplies.values() for v in s.charging_voltage.values()), default=build.vehicle.system.si
    )
    if fuse.rated_voltage is not None and fuse.rated_voltage.si < highest:
        return Answer("no", f"made for {fuse.rated_voltage.si:.0f} V, the bus reaches {highest:.1f} V")
    if fuse.style == "breaker" and fuse.rated_voltage is None:
        return Answer("not known", "a breaker has a voltage rating of its own; it is not stated")
    return Answer("yes", "")


def _thin(cable: Cable, fuse: Fuse) -> bool:
    """Whether the conductor may burn in the second that a fuse of this style may take at six times its rating."""
    quick = fuse.style == "blade" and fuse.rating.si <= BLADE_SMALL_LARGEST
    return cable.size is not None and cable.size.si < SURE_AREA and not quick


def _clearing(
    conductor: Conductor, fuse: Fuse, fault: FuseFault, row: ConductorRow, thermal: ThermalCable | None, before: float
) -> tuple[Answer, Answer]:
    """Whether it clears within 5 s, and whether the conductor survives until it does: two verdicts."""
    if fault.least is None:
        nothing = Answer(
            "not asked", "no battery feeds a fault through it; alternators and converters limit themselves"
        )
        return nothing, nothing
    multiple = fault.least / fuse.rating.si
    if not fuse.opens_within:
        recalled = clearing_time(fault.least, fuse.rating.si, bracket_for(fuse.style, fuse.rating.si).points)
        about = "never" if recalled is None else f"about {in_seconds(recalled)}"
        words = (
            f"no data-sheet points; smallest fault {fault.least:.0f} A is {multiple:.1f} times the rating "
            f"(recalled limits: {about})"
        )
        return Answer("not judged", words), Answer("not judged", words)
    points = curve(fuse.opens_within)
    slowest = clearing_time(fault.least, 1.0, points)
    if slowest is None:
        words = f"the smallest fault, {fault.least:.0f} A, lies below the points of the data sheet"
        return Answer("no", words), Answer("not judged", words)
    clears = Answer(
        "yes" if slowest <= CLEARS_S else "no",
        f"{fault.least:.0f} A clears within {in_seconds(slowest)} by the data sheet",
    )
    if thermal is None or row.column is None:
        return clears, Answer("not judged", "no model of this conductor")
    hottest, final = 0.0, final_temperature(row.insulation or row.column)
    for current in (fault.least, sqrt(fault.least * fault.most), fault.most):
        time = clearing_time(current, 1.0, points)
        assert time is not None  # falls with the current
        hottest = max(hottest, _hottest(thermal, row, current, time, before))
    words = sentence(
        "{hottest} at most against {limit}",
        hottest=Measure("temperature", hottest, Way.UP),
        limit=Measure("temperature", final, Way.DOWN),
    )
    return clears, Answer("yes" if hottest <= final else "no", words)


def _hottest(thermal: ThermalCable, row: ConductorRow, current: float, time: float, before: float) -> float:
    """Conductor temperature when the fuse has cleared [degC], from the warmest start: adiabatic up to 5 s."""
    rating, air = row.column or 0.0, row.ambient or 30.0
    start, final = max(rating, air), final_temperature(row.insulation or rating)
    if time <= VALID_UP_TO:
        stands = withstand_time(thermal.area, current, thermal.material, start, final)
        if stands >= time:
            return min(adiabatic_temperature(thermal.area, thermal.material, start, current**2 * time), final)
        return adiabatic_temperature(thermal.area, thermal.material, start, current**2 * time)
    bound = adiabatic_temperature(thermal.area, thermal.material, start, current**2 * time)
    if bound >= MELTING[thermal.material] and steady_temperature(thermal, current, air) > MELTING[thermal.material]:
        return min(bound, 2000.0)
    return max(transient.run(thermal, [(time, current)], air, transient.uniform(start)).peak, start)


def in_seconds(time: float) -> str:
    """Two significant figures, never in powers of ten."""
    return (
        f"{time:.2g} s" if time < 99.5 else f"{time / 60.0:.0f} min" if time >= 599.5 else f"{round(time, -1):.0f} s"
    )


def curve(points: tuple[tuple[object, object], ...]) -> Points:
    """Data-sheet points as (A, s)."""
    return tuple((float(a.si), float(t.si)) for a, t in points)  # type: ignore[attr-defined]
