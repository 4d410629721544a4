"""A rule on batteries that are joined though they stand at different voltages."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import combinations

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.feeding import joined
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reader.promised import load_a

UNEQUAL = Rule(
    "batteries-stand-apart",
    "Two batteries on one bus rest at voltages far apart",
    "the higher one drives a current through the other for hours: it overcharges, or hides a dead cell",
    "batteries of one kind and age, the right number of cells, or a converter between; test the one that stands low",
    "current: Ohm's law over both resistances; how far apart is far: common practice, no source",
    "an old battery at 10.6 V (a dead cell) beside one at 12.7 V: 300 A at first through 7 milliohm",
    danger=Danger.FAILURE,
)
OLD = Rule(
    "old-beside-new-battery",
    "An old battery stands beside a new one on one bus",
    "the old one takes charge it no longer keeps and draws the new one down to its own age within months",
    "replace all of them together, or a DC-DC converter between",
    "more than a year apart: common practice, no source",
    "`in_service: 2021-04-01` beside `in_service: 2026-03-01`, both AGM on one cable",
    danger=Danger.WEAR,
)
RULES = (UNEQUAL, OLD)

APART_DAYS = 365

FAR_APART_V = 1.5  # of a 12 V system: more than a full battery differs from an empty one of its kind


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Every pair that stands apart, over cables and couplings that may close."""
    build = subject.build
    far = FAR_APART_V * build.vehicle.over_12_v
    for one, other in combinations(subject.fit.batteries.values(), 2):
        yield from _aged(subject, one.id, other.id)
        apart = one.open_circuit.nominal - other.open_circuit.nominal
        if abs(apart) < far or other.at not in joined(build, one.at):
            continue
        high, low = (one, other) if apart > 0.0 else (other, one)
        ohms = one.pulse.nominal + other.pulse.nominal
        yield UNEQUAL.finding(
            Severity.CAUTION,
            f"{high.title} rests at {high.open_circuit.nominal:.1f} V, {low.title} at {low.open_circuit.nominal:.1f} "
            f"V: up to {load_a(abs(apart) / ohms)} A from one to the other at first",
            f"batteries.{low.id}",
        )


def _aged(subject: Examined, one: str, other: str) -> Iterator[Diagnostic]:
    """A pair on one bus whose ages are stated and far apart."""
    build = subject.build
    old, new = sorted((build.batteries[one], build.batteries[other]), key=lambda b: b.in_service)
    if not old.in_service or new.at not in joined(build, old.at):
        return
    days = (date.fromisoformat(new.in_service) - date.fromisoformat(old.in_service)).days
    if days > APART_DAYS:
        yield OLD.finding(
            Severity.CAUTION,
            f"{old.title} in service since {old.in_service}, {new.title} since {new.in_service}: {days / 365.25:.1f} "
            "years apart",
            f"batteries.{old.id}.in_service",
        )
