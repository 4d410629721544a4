"""What can feed a conductor: which sources reach which end, and through which fuses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dossier.buildfile.model import Build

LIMITED_KINDS = ("alternator", "dc_dc", "charger")  # they limit their own current


@dataclass(frozen=True, slots=True)
class Feeder:
    """A source at a location: ``limit`` is the most it gives [A], None if nothing in it limits a fault current."""

    path: str
    title: str
    at: str
    limit: float | None


def feeders(build: Build) -> tuple[Feeder, ...]:
    """Every source of the build that can feed a fault in a positive conductor."""
    found = [Feeder(f"batteries.{b.id}", b.title, b.at, None) for b in build.batteries.values()]
    found += [Feeder(f"capacitor_banks.{c.id}", c.title, c.at, None) for c in build.capacitor_banks.values()]
    for s in build.supplies.values():
        points = [amperes.si for _, amperes in s.output_at_shaft]
        most = max(points + ([s.rated_current.si] if s.rated_current else []), default=0.0)
        found.append(Feeder(f"supplies.{s.id}", s.title, s.at, most))
    return tuple(found)


def reaching(build: Build, cable: str, end: str, most: float) -> Iterator[Feeder]:
    """Sources that can feed a fault in a cable from one of its ends, past every fuse that would protect it.

    A fuse protects if it lets through no more than ``most`` [A], all runs of its cable together. A coupling
    counts as closed: it may be when the fault comes.
    """
    reached = {end}
    frontier = [end]
    while frontier:
        here = frontier.pop()
        for there in _neighbours(build, here, cable, most):
            if there not in reached:
                reached.add(there)
                frontier.append(there)
    for feeder in feeders(build):
        if feeder.at in reached:
            yield feeder


def _neighbours(build: Build, here: str, without: str, most: float) -> Iterator[str]:
    for other in build.cables.values():
        if other.id == without or other.role != "feed" or here not in (other.start, other.end):
            continue
        there = other.end if other.start == here else other.start
        lets_through = [f.rating.si * (1 if f.shared else other.runs) for f in other.fuses.values()]
        if lets_through and min(lets_through) <= most:
            continue
        yield there
    for c in build.couplings.values():
        if c.end == here:
            yield c.start
        if c.start == here and c.kind != "diode_isolator":
            yield c.end
