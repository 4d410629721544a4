"""Which places share a bus in an engine state, and into which other buses its current can pass."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from dossier.buildfile.model import Build, Cable
from dossier.equipment.conductors import InstalledCoupling
from dossier.equipment.installed import Installed, Running
from dossier.frozen import dataclass

Links = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Bus:
    """Places whose positives are joined by cables and closed contacts.

    Attributes:
        place: the location it is called by: of its battery (one that starts the engine first), else of a bank, an
            amplifier, a supply, or the first one.
        locations: all of them, in the order of the build file.
        feeds: ``place`` of every other bus that its current reaches through diodes.
    """

    place: str
    locations: tuple[str, ...]
    feeds: tuple[str, ...] = ()

    def __contains__(self, location: object) -> bool:
        return location in self.locations


def buses(build: Build, fit: Installed, run: Running) -> tuple[Bus, ...]:
    """Every bus with a device on it, in one engine state; a converter joins none."""
    links = [(c.start, c.end) for c in build.cables.values() if c.role == "feed"]
    links += [(j.coupling.start, j.coupling.end) for j in fit.couplings.values() if _is_closed(j, fit, run)]
    found = [Bus(_place(build, group), group) for group in _groups(build.locations, links) if _used(build, run, group)]
    diodes = [(c.start, c.end) for c in build.couplings.values() if c.kind == "diode_isolator"]
    return tuple(Bus(bus.place, bus.locations, tuple(_beyond(bus, found, diodes))) for bus in found)


def path_between(cables: Iterable[Cable], start: str, end: str, role: str) -> tuple[Cable, ...]:
    """Cables of one pole on the shortest way between two locations, by number of cables; () if there is none."""
    usable = [c for c in cables if c.role == role]
    ways: dict[str, tuple[Cable, ...]] = {start: ()}
    frontier = [start]
    while frontier and end not in ways:
        here = frontier.pop(0)
        for cable in usable:
            for a, b in ((cable.start, cable.end), (cable.end, cable.start)):
                if a == here and b not in ways:
                    ways[b] = (*ways[here], cable)
                    frontier.append(b)
    return ways.get(end, ())


def charged_together(found: tuple[Bus, ...], run: Running) -> tuple[tuple[Bus, ...], ...]:
    """Buses as the running supplies see them: one that a supply reaches through a diode belongs to the supply's."""
    charging = {s.at for s in run.supplies if s.running and s.limit.nominal > 0.0}
    links = [(bus.place, there) for bus in found if any(at in bus for at in charging) for there in bus.feeds]
    by_place = {bus.place: bus for bus in found}
    return tuple(tuple(by_place[place] for place in group) for group in _groups(by_place, links))


def _is_closed(joining: InstalledCoupling, fit: Installed, run: Running) -> bool:
    """Whether a contact joins its two sides; a voltage-sensing relay as its thresholds say, in doubt closed.

    With nothing charging it stays closed as long as a rested battery holds it: what is joined then is drawn down
    together, the starter battery too.
    """
    coupling = joining.coupling
    if coupling.kind == "switch":
        return coupling.closed
    if coupling.kind == "ignition_relay":
        return run.engine.state != "stopped"
    if coupling.kind != "voltage_sensing_relay" or joining.closes is None or joining.opens is None:
        return False
    charging = [s.set_point.nominal for s in run.supplies if s.running and s.kind != "dc_dc"]
    if charging:
        return max(charging) >= joining.closes.nominal
    return any(b.open_circuit.nominal > joining.opens.nominal for b in fit.batteries.values())


def _groups(names: Iterable[str], links: Links) -> Iterator[tuple[str, ...]]:
    """Connected names, each group in the order given."""
    rest = list(names)
    while rest:
        reached, frontier = {rest[0]}, [rest[0]]
        while frontier:
            here = frontier.pop()
            for a, b in links:
                there = b if a == here else a if b == here else None
                if there is not None and there not in reached:
                    reached.add(there)
                    frontier.append(there)
        yield tuple(name for name in rest if name in reached)
        rest = [name for name in rest if name not in reached]


def _beyond(bus: Bus, found: list[Bus], diodes: Links) -> Iterator[str]:
    """Every bus that current reaches from one through diodes, over any number of them."""
    of = {location: one.place for one in found for location in one.locations}
    reached, frontier = {bus.place}, [bus.place]
    while frontier:
        here = frontier.pop()
        for a, b in diodes:
            there = of.get(b)
            if of.get(a) == here and there is not None and there not in reached:
                reached.add(there)
                frontier.append(there)
                yield there


def _used(build: Build, run: Running, group: tuple[str, ...]) -> bool:
    at = {run.base.at}.union(_fitted_at(build), (s.input_from for s in run.supplies))
    return bool(at.intersection(group))


def _fitted_at(build: Build) -> Iterator[str]:
    """Where every device is, in the order that a bus is called by."""
    yield from (b.at for b in sorted(build.batteries.values(), key=lambda b: not b.starts_engine))
    yield from (c.at for c in build.capacitor_banks.values())
    yield from (a.at for a in build.amplifiers.values())
    yield from (s.at for s in build.supplies.values())


def _place(build: Build, group: tuple[str, ...]) -> str:
    return next((at for at in _fitted_at(build) if at in group), group[0])
