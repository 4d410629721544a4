"""Rules on the way to the starter: fuses that open, cables that get hot or leave it too little voltage."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import BY_CODE, Examined
from dossier.findings.storage import STARTS_V
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.results.protection import Reply

FUSE = BY_CODE["fuse-opens-while-cranking"]
CABLE = BY_CODE["starter-cable-too-thin"]


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything about the way of the starter's current."""
    found = subject.protection.cranking
    if found is None:
        return
    for fuse in found.fuses:
        if fuse.carries.verdict in (Reply.NO, Reply.MAYBE):
            severity = Severity.STOP if fuse.carries.verdict is Reply.NO else Severity.CAUTION
            yield FUSE.finding(severity, f"{fuse.title}: {fuse.carries.words}", f"{fuse.path}.rating")
    for cable in found.cables:
        if cable.hottest is not None and cable.insulation is not None and cable.hottest > cable.insulation:
            yield CABLE.caution(
                sentence(
                    "{cable}: {amperes:.0f} A of the starter for 10 s heat it to {hottest}, its insulation is made for "
                    "{rating}",
                    cable=cable.title,
                    amperes=cable.amperes,
                    hottest=Measure("temperature", min(cable.hottest, 9999.0), Way.UP),
                    rating=Measure("temperature", cable.insulation, Way.DOWN),
                ),
                f"cables.{cable.cable}",
            )
    starts = STARTS_V * subject.build.vehicle.over_12_v
    rows = [r for r in subject.storage.reserve if r.at_starter is not None and (r.cranking or 0.0) >= starts]
    least = min([found.at_starter, *(r.at_starter or 0.0 for r in rows)])
    if least < starts and found.way > 0.0:
        yield CABLE.caution(
            f"{least:.1f} V are left at the starter; the way there takes {found.way * 1e3:.1f} mΩ, "
            f"{found.warm * found.way:.1f} V at {found.warm:.0f} A",
            f"cables.{max(found.cables, key=lambda c: c.drop).cable}" if found.cables else "vehicle",
        )
