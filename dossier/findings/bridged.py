"""Rules on what is laid past a contact or around a converter, so that it does nothing."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.buses import buses, path_between
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reader.said import joined, sentence

BRIDGED = Rule(
    "contact-bridged",
    "Feed cables join both sides of a relay, switch or isolator",
    "it separates nothing: what it should cut off stays live, and the battery it should keep is drawn down",
    "let each cable end at the device's own side: a location for its input, one for its output, and no cable between",
    "Kirchhoff: a path of cables beside a contact stays closed when the contact opens",
    "a relay from `relay_in` to `relay_out`, and a feed cable from `relay_in` to `relay_out` beside it",
    danger=Danger.FIRE,
)
RING = Rule(
    "converter-in-a-ring",
    "The output of a DC-DC converter is joined to its own input",
    "it takes from the bus what it gives to it, less its losses, and charges nothing higher than the alternator would",
    "a relay that is open while the converter runs, or one of the two alone",
    "Kirchhoff: input and output on one bus over cables and closed contacts",
    "a DC-DC converter from front to rear, and an ignition relay from front to rear that closes with the engine",
    danger=Danger.FAILURE,
)
RULES = (BRIDGED, RING)


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Every bridged contact, then every converter that feeds itself, with the first engine state in which it does."""
    build = subject.build
    for coupling in build.couplings.values():
        way = path_between(build.cables.values(), coupling.start, coupling.end, "feed")
        if way:
            names = joined(", ", [cable.title for cable in way])
            yield BRIDGED.finding(
                Severity.STOP,
                sentence("{title}: {names} joins both its sides, open or closed", title=coupling.title, names=names),
                f"couplings.{coupling.id}",
            )
    told = set[str]()
    for state, run in subject.running.items():
        for bus in buses(build, subject.fit, run):
            for supply in run.supplies:
                rings = supply.kind == "dc_dc" and supply.running and supply.at in bus and supply.input_from in bus
                if rings and supply.id not in told:
                    told.add(supply.id)
                    yield RING.finding(
                        Severity.CAUTION,
                        f"{supply.title}: input and output are on one bus, engine {_STATES.get(state, state)}",
                        f"supplies.{supply.id}",
                    )


_STATES = {"stopped": "stopped", "auto_stop": "stopped by start-stop", "idle": "idle", "cruise": "cruise"}
