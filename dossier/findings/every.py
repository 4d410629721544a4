"""All rules together, in the order of the document."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from dossier.diagnostic import Diagnostic, Place
from dossier.findings import (
    alternators,
    amplifiers,
    banks,
    bridged,
    conductors,
    contradictions,
    fuses,
    leads,
    record,
    silent,
    sources,
    speakers,
    start_stop,
    storage,
    temperature,
    unequal,
    unrecorded,
    voltage,
    voltage_controlled,
)
from dossier.findings.rule import Rule, Subject

FAMILIES = (
    conductors,
    fuses,
    unrecorded,
    bridged,
    leads,
    sources,
    temperature,
    unequal,
    voltage_controlled,
    banks,
    alternators,
    silent,
    storage,
    start_stop,
    amplifiers,
    speakers,
    voltage,
    contradictions,
    record,
)
RULES: tuple[Rule, ...] = tuple(rule for family in FAMILIES for rule in family.RULES)


def every_finding(subject: Subject) -> tuple[Diagnostic, ...]:
    """Everything that is wrong, worst first, each with its line of the build file."""
    found = [finding for family in FAMILIES for finding in family.findings(subject)]
    placed = [replace(f, where=_place(subject.build.places, f.path)) for f in found]
    return tuple(sorted((*placed, *subject.logs_left_out), key=lambda f: -f.severity))


def _place(places: Mapping[str, Place], path: str) -> Place | None:
    """Position of a path, or of the nearest thing above it that the build file has."""
    while path:
        if path in places:
            return places[path]
        path = path.rpartition(".")[0]
    return None
