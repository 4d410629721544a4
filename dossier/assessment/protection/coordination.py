"""Fuse coordination: what is asked of every fuse, what every end of a feed is exposed to.

And which fuse opens first.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil
from typing import Final

import numpy as np

from dossier.assessment.conductors.heating import background, cable_of
from dossier.assessment.conductors.schedule import allowed_current
from dossier.assessment.protection.clearing import clearing, thin
from dossier.assessment.protection.cranking import table_for
from dossier.assessment.protection.prospective import FaultNet, FaultNets, FuseFault, fuse_fault
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.buildfile.model import Build, Cable, Fuse
from dossier.electrical.fuses import breaking_class, temperature_rerating
from dossier.equipment.conductors import Conductor, ambient_of
from dossier.equipment.feeding import most_output
from dossier.equipment.installed import Installed
from dossier.reader.promised import allowed_a, down, fault_ka, high_v, load_a, up
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.reference import placement
from dossier.reference.fuses import BREAKING_CAPACITY, CLASSES
from dossier.results.protection import Answer, FuseCheck, Reply
from dossier.results.schedule import ConductorRow, FuseRow

SAME_PLACE: Final = 1e-6  # m
SURE, LEAK = 1e9, 1e-6  # S from a place with a battery or bank, which takes all that comes, and from any other
BY_TABLE: Final = "but ABYC E-11 Table V-A asks for"
RULES: Final[Mapping[str, tuple[placement.DistanceRule, placement.DistanceRule]]] = {
    "": (placement.GENERAL, placement.SHEATHED),
    "cfr_183_455": (placement.GENERAL, placement.SHEATHED),
    "iso_10133": (placement.ISO10133_GENERAL, placement.ISO10133_GENERAL),
    "iso_13590": (placement.ISO13590_GENERAL, placement.ISO13590_SHEATHED),
    "common_practice": (placement.TRADE, placement.TRADE),
}


def fuse_checks(
    build: Build,
    fit: Installed,
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
    supply, table = supply_through(build, nets.likely, cable, fuse), table_for(build, fuse.near)
    thermal = cable_of(conductor, allowed_current(conductor), faulted=True)
    before = background(currents) / cable.runs
    duty = max(fault.most, table or 0.0)
    clears, survives = clearing(conductor, fuse, fault, row, thermal, before)
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
        asked_breaking=asked(duty, fuse.rating.si),
        asked_words=obtainable(duty, fuse.rating.si, nets.highest),
        rule=rule.source.short,
        rule_length=rule.length,
        trade_length=placement.TRADE.length,
        carries=_carries(build, fuse, fuse_row, supply),
        passes=_passes(build, fuse, supply),
        protects=_protects(fuse, row),
        clears=clears,
        survives=survives,
        interrupts=_interrupts(fuse, fault, table, asked(duty, fuse.rating.si)),
        placed=_placed(build, fuse, rule),
        holder=_holder(build, fuse, cable),
        thin=thin(cable, fuse),
        table_breaking=table,
        path=f"cables.{cable.id}.fuses.{fuse.id}",
    )


def asked(current: float, rating: float | None = None) -> float:
    """Breaking capacity to look for [A]: that of the least class that reaches it, else the next 5 kA above."""
    found = breaking_class(current, rating)
    return found.current if found else ceil(current / 5e3) * 5e3


def obtainable(current: float, rating: float, emf: float) -> str:
    """Which class of fuse breaks a current [A], or how the current comes below one that exists.

    The resistance is that which brings E/R below the last class, with the highest voltage of any source [V].
    """
    found = breaking_class(current, rating)
    if found:
        return f"{found.current / 1000:g} kA or more: {found.name} ({found.source.text})"
    most = CLASSES[-1].current
    more = emf * (1.0 / most - 1.0 / current) if current > most else 0.0
    if more <= 0.0:
        return f"no standard class has {rating:g} A with {up(current / 1000)} kA: a larger or a smaller rating"
    return (
        f"no standard class of fuse surely breaks {up(current / 1000)} kA; bring it below {most / 1000:g} kA: "
        f"{ceil(more * 1e5) / 1e2:g} mΩ more between sources and fuse, or batteries divided, each behind a fuse of its "
        "own"
    )


def supply_through(build: Build, net: FaultNet, cable: Cable, fuse: Fuse) -> float:
    """The most of what alternators give that a fuse passes on its way to batteries and banks [A], at either end alike.

    Nothing where a battery sits beside the alternator. Ways side by side share it by their conductances, couplings
    closed; of alternators that send it both ways the larger sum counts, since one may stand still.
    """
    stores = {thing.at for things in (build.batteries, build.capacitor_banks) for thing in things.values()}
    away = [s for s in build.supplies.values() if s.kind == "alternator" and s.at not in stores]
    if not away:
        return 0.0
    matrix = np.diag([SURE if id_ in stores else LEAK for id_ in net.nodes])
    for _, *ends, ohms in (e for e in net.edges.values() if e[1] % 2 == 0):  # between the positives of two places
        a, b = (node // 2 for node in ends)
        matrix[[a, b], [a, b]] += 1.0 / ohms
        matrix[[a, b], [b, a]] -= 1.0 / ohms
    _, start, end, ohms = net.edge(f"cables.{cable.id}")
    volts = np.linalg.solve(matrix, np.eye(len(matrix))[:, [net.nodes[s.at] // 2 for s in away]])
    ways = [most_output(s) * float(v[start // 2] - v[end // 2]) / ohms for s, v in zip(away, volts.T, strict=True)]
    most = max(sum(max(way * side, 0.0) for way in ways) for side in (1.0, -1.0))
    return round(most / (1 if fuse.shared else cable.runs), 3)


def _carries(build: Build, fuse: Fuse, row: FuseRow, supply: float) -> Answer:
    if fuse.rating.si < row.needed:
        return Answer(Reply.NO, f"{fuse.rating.si:g} A; the load needs {load_a(row.needed)} A with the usual margin")
    passes = _passes(build, fuse, supply)
    return passes if passes.verdict is not Reply.YES else Answer(Reply.YES, f"needs {load_a(row.needed)} A")


def _passes(build: Build, fuse: Fuse, supply: float) -> Answer:
    """Whether a fuse lasts under all that alternators send through it."""
    left = fuse.rating.si * temperature_rerating(ambient_of(build, fuse.near).nominal)
    words = f"{fuse.rating.si:.0f} A, of which {down(left)} A are left where it sits; the alternator can give "
    return Answer(Reply.MAYBE if left < supply - 0.5 else Reply.YES, f"{words}{load_a(supply)} A")


def _protects(fuse: Fuse, row: ConductorRow) -> Answer:
    rating, allowed, best = fuse.rating.si, row.allowed, row.allowed_at_best or 0.0
    if allowed is None:
        unknown = "no published allowable current for this conductor"
        if row.allowed_at_best is not None and best < rating:  # the thinnest of the tables is an upper bound
            verdict = Reply.MAYBE if rating <= placement.RATING_LIMIT_FRACTION * best else Reply.NO
            return Answer(verdict, f"{rating:.0f} A, {unknown}, surely no more than {allowed_a(best)} A")
        return Answer(Reply.NOT_KNOWN, unknown)
    if rating <= allowed:
        return Answer(Reply.YES, f"{rating:.0f} A ≤ {allowed_a(allowed)} A")
    if rating <= best:
        return Answer(
            Reply.NOT_KNOWN,
            f"{rating:.0f} A against {allowed_a(allowed)} A on what is assumed, up to {allowed_a(best)} A otherwise",
        )
    if rating <= placement.RATING_LIMIT_FRACTION * best:
        return Answer(
            Reply.MAYBE, f"{rating:.0f} A is {rating / max(best, 1e-9):.2f} times {allowed_a(best)} A: "
            "short circuits only"
        )
    return Answer(Reply.NO, f"{rating:.0f} A against {allowed_a(best)} A")


def _interrupts(fuse: Fuse, fault: FuseFault, table: float | None, look: float) -> Answer:
    if fuse.breaking_capacity is None:
        published = BREAKING_CAPACITY[fuse.style].current
        note = f"; the standard of its style asks for {published / 1000:.0f} kA" if published else ""
        return Answer(Reply.NOT_KNOWN, f"not stated{note}; {look / 1000:g} kA is needed")
    breaking = fuse.breaking_capacity.si
    if breaking < fault.most:  # known and exceeded where it is judged, at the upper end: a stop
        words = f"{breaking / 1000:g} kA; {fault_ka(fault.likely)} to {fault_ka(fault.most)} kA can flow"
        return Answer(Reply.NO, words)
    if table is not None and breaking < table:
        words = f"{breaking / 1000:g} kA; {fault_ka(fault.most)} kA can flow"
        return Answer(Reply.MAYBE, f"{words}, {BY_TABLE} {table / 1000:g} kA")
    return Answer(Reply.YES, f"{breaking / 1000:g} kA ≥ {fault_ka(fault.most)} kA")


def _placed(build: Build, fuse: Fuse, rule: placement.DistanceRule) -> Answer:
    if fuse.distance is None:
        return Answer(Reply.NOT_KNOWN, "distance not recorded")
    d = fuse.distance.si
    words = sentence(
        "{distance}; {source}: {limit}, trade: {trade}",
        distance=Measure("distance", d, Way.UP),
        source=rule.source.short,
        limit=Measure("distance", rule.length, Way.DOWN),
        trade=Measure("distance", placement.TRADE.length, Way.DOWN),
    )
    if d <= rule.length + SAME_PLACE:
        return Answer(Reply.YES, words)
    if not build.fuse_distance and d <= placement.TRADE.length + SAME_PLACE:
        return Answer(Reply.MAYBE, words)
    return Answer(Reply.NO, words)


def _holder(build: Build, fuse: Fuse, cable: Cable) -> Answer:
    if fuse.holder_rating is not None and fuse.holder_rating.si < fuse.rating.si:
        return Answer(Reply.NO, f"holder for {fuse.holder_rating.si:.0f} A with a fuse of {fuse.rating.si:.0f} A")
    highest = max(
        (v.si for s in build.supplies.values() for v in s.charging_voltage.values()), default=build.vehicle.system.si
    )
    if fuse.rated_voltage is not None and fuse.rated_voltage.si < highest:
        words = f"fuse made for {fuse.rated_voltage.si:.0f} V, the bus reaches {high_v(highest)} V"
        return Answer(Reply.NO, words)
    if fuse.style == "breaker" and fuse.rated_voltage is None:
        return Answer(Reply.NOT_KNOWN, "a breaker has a voltage rating of its own; it is not stated")
    return Answer(Reply.YES, "")
