"""The record sections with their judgements, put together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dossier.assessment.proof.handover import due, settings
from dossier.assessment.proof.measurements import beside, joints, proofs, readings
from dossier.assessment.proof.sound import sound
from dossier.buildfile.model import Build
from dossier.electrical.speakers import COVERED_ABOVE
from dossier.reader.said import sentence
from dossier.reference.batteries import LEAD_ACID, LITHIUM
from dossier.reference.checklist import NAMES, OWN_GROUP, POINTS
from dossier.results.options import Feed
from dossier.results.overview import AmplifierRow, EnergySource
from dossier.results.recorded import CheckRow, Recorded
from dossier.results.ripple import RippleReading
from dossier.results.sag import LoadCaseResult
from dossier.results.schedule import ConductorRow


def checklist(
    build: Build, sources: Sequence[EnergySource], amplifiers: Sequence[AmplifierRow]
) -> tuple[CheckRow, ...]:
    """Every point that applies, then the user's own."""
    chemistries = {one.chemistry for one in build.batteries.values()}
    holds = {
        "": True,
        "sources": len(sources) > 1,
        "bank": bool(build.capacitor_banks),
        "lithium": not chemistries.isdisjoint(LITHIUM),
        "lead": not chemistries.isdisjoint(LEAD_ACID),
        "coupling": bool(build.couplings),
        "hot_terminals": any(one.terminal_v > COVERED_ABOVE for one in amplifiers),
        "body_return": any(one.chassis for one in build.cables.values()),
    }
    number = f"{len(sources)} energy source{'s' if len(sources) != 1 else ''}"
    ticks = build.kept.checklist
    rows = [
        _row(build, point.id, point.group, sentence(point.words, sources=number))
        for point in POINTS
        if holds[point.when] or point.id in ticks
    ]
    rows += [_row(build, name, OWN_GROUP[0], tick.item) for name, tick in ticks.items() if name not in NAMES]
    return tuple(rows)


def _row(build: Build, name: str, group: str, words: str) -> CheckRow:
    tick = build.kept.checklist.get(name)
    if tick is None:
        return CheckRow(name, group, words, "", "", "", "")
    person = build.kept.people.get(tick.by)
    return CheckRow(name, group, tick.item or words, tick.state, person.name if person else "", tick.date, tick.note)


def recorded(
    build: Build,
    cases: Sequence[LoadCaseResult],
    schedule: Sequence[ConductorRow],
    amplifiers: Sequence[AmplifierRow],
    sources: Sequence[EnergySource],
    fed: Mapping[str, Feed],
    ripples: tuple[RippleReading, ...],
) -> Recorded:
    """Measurements, settings, checklist and maintenance of a build, set beside what was computed.

    ``fed`` says by sound run whether the system could feed its target, ``ripples`` what alternating volts told.
    """
    rows, runs = readings(build, cases), sound(build, cases, fed)
    return Recorded(
        readings=rows,
        joints=joints(build, schedule),
        proofs=proofs(build),
        sound=runs,
        beside=beside(build, rows, runs),
        settings=settings(build, amplifiers),
        checklist=checklist(build, sources, amplifiers),
        due=due(build),
        ripples=ripples,
    )
