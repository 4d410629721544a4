"""Rules on what is laid past a contact or around a converter, so that it does nothing."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic
from dossier.equipment.buses import buses, path_between
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.said import joined, sentence

BRIDGED = BY_CODE["contact-bridged"]
RING = BY_CODE["converter-in-a-ring"]


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Every bridged contact, then every converter that feeds itself, with the first engine state in which it does."""
    build = subject.build
    for coupling in build.couplings.values():
        way = path_between(build.cables.values(), coupling.start, coupling.end, "feed")
        if way:
            names = joined(", ", [cable.title for cable in way])
            yield BRIDGED.stop(
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
                    yield RING.caution(
                        f"{supply.title}: input and output are on one bus, engine {_STATES.get(state, state)}",
                        f"supplies.{supply.id}",
                    )


_STATES = {"stopped": "stopped", "auto_stop": "stopped by start-stop", "idle": "idle", "cruise": "cruise"}
