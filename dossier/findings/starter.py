"""Rules on the way to the starter: fuses that open, cables that get hot or leave it too little voltage."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import Danger, Examined, Rule
from dossier.findings.storage import STARTS_V
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.results.protection import Reply

FUSE = Rule(
    "fuse-opens-while-cranking",
    "The starter's current passes a fuse that does not carry it",
    "the fuse opens while the engine is started, and what hangs behind it is dead",
    "the starter on a lead of its own, which needs no fuse, or a fuse whose data sheet holds that current for 10 s",
    "currents by the resistances of the ways; points of the data sheet; 1.1 times its rating a fuse holds (ISO 8820-3 "
    "and -5, not checked against the document); 33 CFR 183.455 and 46 CFR 111.15-25 except cranking conductors",
    "a starter behind the 125 A link of the alternator: 400 A open it in seconds",
    danger=Danger.IMPOSSIBLE,
)
CABLE = Rule(
    "starter-cable-too-thin",
    "A cable on the way to the starter is too thin for its current",
    "the engine turns slowly or not at all, or the insulation of the cable ages with every long try",
    "a larger size or a shorter way, both conductors",
    "SAE J537 ends its test at 7.2 V; adiabatic heating by 10 s of the cold engine's current (common practice, no "
    "source) against the rating of the insulation",
    "16 mm² of 5 m and a return like it lose 2.4 V at 200 A",
    danger=Danger.FAILURE,
)
RULES = (FUSE, CABLE)


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
            yield CABLE.finding(
                Severity.CAUTION,
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
        yield CABLE.finding(
            Severity.CAUTION,
            f"{least:.1f} V are left at the starter; the way there takes {found.way * 1e3:.1f} mΩ, "
            f"{found.warm * found.way:.1f} V at {found.warm:.0f} A",
            f"cables.{max(found.cables, key=lambda c: c.drop).cable}" if found.cables else "vehicle",
        )
