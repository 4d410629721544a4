"""Rules on what shares a place: joined, with no conductor and no fuse recorded between."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic
from dossier.findings.rule import BY_CODE, Examined
from dossier.frozen import dataclass
from dossier.reader.promised import fault_ka

JOINED = BY_CODE["source-joined-without-cable"]


@dataclass(frozen=True, slots=True)
class Joint:
    """Sources and what they feed at one location: titles, and the path of the first source."""

    path: str
    location: str
    sources: tuple[str, ...]
    fed: tuple[str, ...]


def joints(build: Build) -> tuple[Joint, ...]:
    """Every place that a source shares with amplifiers or either side of a converter.

    The vehicle's own load and an alternator at a battery are wired by the factory: that cable is not of this record.
    """
    stores = [(f"batteries.{b.id}", b.title, b.at) for b in build.batteries.values()]
    stores += [(f"capacitor_banks.{c.id}", c.title, c.at) for c in build.capacitor_banks.values()]
    fed = [(a.title, a.at) for a in build.amplifiers.values()]
    fed += [
        (s.title, at) for s in build.supplies.values() if s.kind == "dc_dc" for at in (s.input_from, s.at)
    ]
    fed += [(s.title, s.at) for s in build.supplies.values() if s.kind == "charger"]
    made = []
    for at in dict.fromkeys(at for _, _, at in stores):
        loads = tuple(dict.fromkeys(title for title, place in fed if place == at))
        here = [(path, title) for path, title, place in stores if place == at]
        if loads:
            made.append(Joint(here[0][0], at, tuple(title for _, title in here), loads))
    return tuple(made)


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Every joint of that kind, with the largest fault current at its place, then what only a contact joins."""
    faults = {place.location: place.most for place in subject.protection.places}
    for joint in joints(subject.build):
        most = faults.get(joint.location)
        fault = "" if most is None else f"; a fault there is fed by up to {fault_ka(most)} kA"
        yield JOINED.caution(
            f"{', '.join(joint.sources)} and {', '.join(joint.fed)}, both at "
            f"{subject.build.locations[joint.location].title}, are joined without a recorded cable or fuse{fault}",
            f"{joint.path}.at",
        )
    yield from _over_a_contact(subject.build)


def _over_a_contact(build: Build) -> Iterator[Diagnostic]:
    """A source and something else with nothing but a relay, switch or isolator between: its cables are not recorded."""
    stores = {b.at: b.title for b in build.batteries.values()} | {c.at: c.title for c in build.capacitor_banks.values()}
    devices = {a.at: a.title for a in build.amplifiers.values()} | stores
    for coupling in build.couplings.values():
        for source, other in ((coupling.start, coupling.end), (coupling.end, coupling.start)):
            if source in stores and other in devices:
                yield JOINED.caution(
                    f"{stores[source]} and {devices[other]} are joined by {coupling.title} alone, without a recorded "
                    "cable or fuse",
                    f"couplings.{coupling.id}",
                    fix="a location for each side of it, and the cables from there with their fuses",
                )
                break
