"""All rules together, in the order of the document."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.findings import (
    alternators,
    amplifiers,
    banks,
    bridged,
    conductors,
    contradictions,
    fuses,
    leads,
    readings,
    record,
    silent,
    sources,
    speakers,
    start_stop,
    starter,
    storage,
    temperature,
    unequal,
    unrecorded,
    voltage,
    voltage_controlled,
)
from dossier.findings.rule import BY_CODE, Danger, Examined, Rule
from dossier.reader.said import joined
from dossier.results.recorded import Recorded

FAMILIES = (
    conductors, fuses, unrecorded, bridged, leads, sources, temperature, unequal, voltage_controlled, banks,
    alternators, silent, storage, starter, start_stop, amplifiers, speakers, voltage, contradictions, readings, record,
)
RULES: tuple[Rule, ...] = tuple(BY_CODE.values())
ALIKE = frozenset(rule.code for rule in RULES if rule.danger in (Danger.FAILURE, Danger.WEAR, Danger.NOTICE))
MANY = 3  # notes of one rule that are told in one


def every_finding(subject: Examined) -> tuple[Diagnostic, ...]:
    """Everything that is wrong, worst first, each with its line of the build file."""
    found = _gathered([finding for family in FAMILIES for finding in family.findings(subject)])
    placed = [replace(f, where=_place(subject.build.places, f.path)) for f in found]
    return tuple(sorted((*placed, *subject.logs_left_out), key=lambda f: -f.severity))


def after_readings(build: Build, recorded: Recorded, found: Sequence[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The findings with those on readings anew, once bands are known and what the readings say together."""
    codes = readings.CODES
    told = (replace(one, where=_place(build.places, one.path)) for one in readings.of_readings(recorded))
    return tuple(sorted((*(f for f in found if f.code not in codes), *told), key=lambda f: -f.severity))


def _gathered(found: Sequence[Diagnostic]) -> list[Diagnostic]:
    """Many notes of one rule as one note; what may stop or caution, and what is open in the record, stands alone."""
    counts = Counter(f.code for f in found if f.severity is Severity.NOTE and f.code in ALIKE)
    made: dict[str, Diagnostic] = {}
    for number, one in enumerate(found):
        many = one.severity is Severity.NOTE and counts[one.code] >= MANY
        key = one.code if many else f"{number}"
        first = made.get(key)
        made[key] = one if first is None else replace(first, headline=joined("; ", [first.headline, one.headline]))
    return list(made.values())


def _place(places: Mapping[str, Place], path: str) -> Place | None:
    """Position of a path, or of the nearest thing above it that the build file has."""
    while path:
        if path in places:
            return places[path]
        path = path.rpartition(".")[0]
    return None
