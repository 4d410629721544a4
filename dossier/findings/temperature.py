"""A rule on batteries that stand where it is too hot or too cold for them."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.storage import CHEMISTRY_WORDS
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.reference.batteries import LITHIUM, OPERATING

TEMPERATURE = Rule(
    "battery-outside-its-temperatures",
    "A battery stands where it is hotter or colder than its chemistry may be used",
    "hot: it ages in months, lithium can catch fire; cold: it gives next to nothing and may freeze",
    "another place, insulation from the heat or the frost, or a battery that is made for it",
    "lead-acid -40 to 75 °C (SAE J2801 tests at up to 75 °C, not checked against the document); lithium iron phosphate "
    "-20 to 60 °C, titanate -40 to 60 °C: common practice, no source",
    "a lithium iron phosphate battery beside the exhaust at 80 °C of air, or parked at -30 °C",
    danger=Danger.EXPLOSION,
)
RULES = (TEMPERATURE,)


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Every battery at a place that is stated to be too hot or too cold for it."""
    build = subject.build
    for battery in build.batteries.values():
        place = build.locations[battery.at]
        low, high = OPERATING[battery.chemistry]
        known = [t for t in (place.ambient, place.coldest) if t is not None]
        hot, cold = (end(known, key=lambda t: t.si, default=None) for end in (max, min))
        for stated, limit, way in ((hot, high, Way.UP), (cold, low, Way.DOWN)):
            if stated is not None and (stated.si > limit if way is Way.UP else stated.si < limit):
                yield TEMPERATURE.finding(
                    Severity.STOP if way is Way.UP and battery.chemistry in LITHIUM else Severity.CAUTION,
                    sentence(
                        "{battery}: {place} has {degrees}; {chemistry} is used {which} {limit}",
                        battery=battery.title,
                        place=place.title,
                        degrees=Measure("temperature", stated.si, way),
                        chemistry=CHEMISTRY_WORDS[battery.chemistry],
                        which="up to" if way is Way.UP else "down to",
                        limit=Measure("temperature", limit),
                    ),
                    stated.path,
                )
