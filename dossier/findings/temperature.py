"""A rule on batteries that stand where it is too hot or too cold for them."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.storage import CHEMISTRY_WORDS
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.reference.batteries import LITHIUM, OPERATING

TEMPERATURE = BY_CODE["battery-outside-its-temperatures"]


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
