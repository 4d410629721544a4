"""A rule on batteries that are joined though they stand at different voltages."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.feeding import joined
from dossier.findings.rule import Rule, Subject

UNEQUAL = Rule(
    "batteries-stand-apart",
    "Two batteries on one bus rest at voltages far apart",
    "the higher one drives a current through the other for hours: it overcharges, or hides a dead cell",
    "batteries of one kind and age, the right number of cells, or a converter between; test the one that stands low",
    "current: Ohm's law over both resistances; how far apart is far: common practice, no source",
    "an old battery at 10.6 V (a dead cell) beside one at 12.7 V: 300 A at first through 7 milliohm",
)
RULES = (UNEQUAL,)

FAR_APART_V = 1.5  # of a 12 V system: more than a full battery differs from an empty one of its kind


def findings(subject: Subject) -> Iterator[Diagnostic]:
    """Every pair that stands apart, over cables and couplings that may close."""
    build = subject.build
    far = FAR_APART_V * build.vehicle.over_12_v
    for one, other in combinations(subject.fit.batteries.values(), 2):
        apart = one.open_circuit.nominal - other.open_circuit.nominal
        if abs(apart) < far or other.at not in joined(build, one.at):
            continue
        high, low = (one, other) if apart > 0.0 else (other, one)
        ohms = one.pulse.nominal + other.pulse.nominal
        yield UNEQUAL.finding(
            Severity.CAUTION,
            f"{high.title} rests at {high.open_circuit.nominal:.1f} V, {low.title} at {low.open_circuit.nominal:.1f} "
            f"V: up to {abs(apart) / ohms:.0f} A from one to the other at first",
            f"batteries.{low.id}",
        )
