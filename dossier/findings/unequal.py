"""A rule on batteries that are joined though they stand at different voltages."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import combinations

from dossier.diagnostic import Diagnostic
from dossier.equipment.feeding import joined
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import load_a

UNEQUAL = BY_CODE["batteries-stand-apart"]
OLD = BY_CODE["old-beside-new-battery"]

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
        yield UNEQUAL.caution(
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
        yield OLD.caution(
            f"{old.title} in service since {old.in_service}, {new.title} since {new.in_service}: {days / 365.25:.1f} "
            "years apart",
            f"batteries.{old.id}.in_service",
        )
