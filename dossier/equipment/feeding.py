"""What can feed what: which locations share a bus, and which sources reach an end of a cable past its fuses."""

from __future__ import annotations

from collections.abc import Iterable

from dossier.buildfile.model import Build, Supply
from dossier.frozen import dataclass

UNLIMITED, SMALLEST_A = 1e9, 1e-6  # A, stand for no limit, and for nothing


@dataclass(frozen=True, slots=True)
class Feeder:
    """A source at a location: ``limit`` is the most it gives [A], None if nothing in it limits a fault current.

    ``through`` is the rating of the fuses that let it reach a place [A], None where there is none in between.
    """

    path: str
    title: str
    at: str
    limit: float | None
    through: float | None = None


def most_output(supply: Supply) -> float:
    """The most that an alternator, converter or charger is stated to give [A]."""
    points = [amperes.si for _, amperes in supply.output_at_shaft]
    return max(points + ([supply.rated_current.si] if supply.rated_current else []), default=0.0)


def feeders(build: Build) -> tuple[Feeder, ...]:
    """Every source of the build that can feed a fault in a positive conductor."""
    found = [Feeder(f"batteries.{b.id}", b.title, b.at, None) for b in build.batteries.values()]
    found += [Feeder(f"capacitor_banks.{c.id}", c.title, c.at, None) for c in build.capacitor_banks.values()]
    found += [Feeder(f"supplies.{s.id}", s.title, s.at, most_output(s)) for s in build.supplies.values()]
    return tuple(found)


def joined(build: Build, location: str) -> set[str]:
    """Locations on the same bus as one: over feed cables and couplings, not through a converter."""
    beside: dict[str, set[str]] = {}
    edges = [(c.start, c.end) for c in build.cables.values() if c.role == "feed"]
    for a, b in edges + [(c.start, c.end) for c in build.couplings.values()]:
        beside.setdefault(a, set()).add(b)
        beside.setdefault(b, set()).add(a)
    reached, frontier = {location}, [location]
    while frontier:
        new = beside.get(frontier.pop(), set()) - reached
        reached |= new
        frontier += new
    return reached


def reaching(build: Build, cable: str, end: str) -> tuple[Feeder, ...]:
    """Sources that can feed a fault in a cable from one of its ends, each over the path with the largest fuses.

    A coupling counts as closed: it may be when the fault comes. What the fuses of a path let through together is the
    smallest of them.
    """
    unlimited = float("inf")
    widest = {end: unlimited}  # location -> the largest current that the fuses towards the end let through for long
    frontier = [end]
    ways: dict[str, list[tuple[str, float]]] = {}
    for here, there, lets in _ways(build, cable):
        ways.setdefault(here, []).append((there, lets))
    while frontier:
        here = frontier.pop()
        for there, lets in ways.get(here, ()):
            through = min(widest[here], lets)
            if through > widest.get(there, 0.0):
                widest[there] = through
                frontier.append(there)
    return tuple(
        Feeder(f.path, f.title, f.at, f.limit, None if widest[f.at] == unlimited else widest[f.at])
        for f in feeders(build)
        if f.at in widest
    )


def let_through(build: Build, cable: str, end: str, *, limited: bool) -> float:
    """What sources together can send for long into one end of a cable [A], over every way there is at once.

    The largest flow from the sources through the fuses of the ways, and so the smallest sum of fuses that parts them
    (Ford and Fulkerson 1956); infinite where some way has neither a fuse nor a source that limits itself. ``limited``:
    with the sources that limit themselves.
    """
    room: dict[tuple[str, str], float] = {}
    for feeder in feeders(build):
        if feeder.limit is not None and not limited:
            continue
        room["", feeder.at] = room.get(("", feeder.at), 0.0) + (UNLIMITED if feeder.limit is None else feeder.limit)
    for here, there, lets in _ways(build, cable):  # from there to here: the way a fault draws
        room[there, here] = room.get((there, here), 0.0) + min(lets, UNLIMITED)
    flow = 0.0
    while flow < UNLIMITED:
        way = _augmenting(room, "", end)
        if not way:
            return flow
        more = min(room[step] for step in way)
        for a, b in way:
            room[a, b] -= more
            room[b, a] = room.get((b, a), 0.0) + more
        flow += more
    return float("inf")


def _augmenting(room: dict[tuple[str, str], float], start: str, end: str) -> list[tuple[str, str]]:
    """The shortest way with room left, as its steps; empty if there is none."""
    reached: dict[str, str] = {start: start}
    frontier = [start]
    after: dict[str, list[str]] = {}
    for (a, b), left in room.items():
        if left > SMALLEST_A:
            after.setdefault(a, []).append(b)
    while frontier and end not in reached:
        following = []
        for here in frontier:
            for b in after.get(here, ()):
                if b not in reached:
                    reached[b] = here
                    following.append(b)
        frontier = following
    if end not in reached:
        return []
    way, here = [], end
    while here != start:
        way.append((reached[here], here))
        here = reached[here]
    return way


def _ways(build: Build, without: str) -> Iterable[tuple[str, str, float]]:
    """Every way between two locations but one cable, from both sides, and the fuses it lets through [A]."""
    for other in build.cables.values():
        if other.id != without and other.role == "feed":
            fuses = (f.rating.si * (1 if f.shared else other.runs) for f in other.fuses.values())
            lets = min(fuses, default=float("inf"))
            yield other.start, other.end, lets
            yield other.end, other.start, lets
    for c in build.couplings.values():
        yield c.end, c.start, float("inf")
        if c.kind != "diode_isolator":
            yield c.start, c.end, float("inf")
