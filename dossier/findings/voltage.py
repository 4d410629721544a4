"""Rules on the voltage that the load cases leave."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from dossier.buildfile.model import Limit
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.buses import path_between
from dossier.equipment.feeding import joined
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import limit_v, low_v, up
from dossier.results.sag import LoadCaseResult, OutcomeKind

BELOW_LIMIT = BY_CODE["voltage-below-limit"]
SHUTDOWN = BY_CODE["amplifier-shuts-down"]
COLLAPSE = BY_CODE["voltage-collapses"]
TRIPPED = BY_CODE["battery-management-opens"]
VEHICLE_LOW = BY_CODE["vehicle-voltage-below-limit"]
DROP = BY_CODE["voltage-drop-above-limit"]
NOT_JUDGED = BY_CODE["voltage-not-judged"]

_WORDS = {"mean": "mean", "minimum_100ms": "100 ms minimum", "trough": "trough"}
_BY_KIND = {
    OutcomeKind.BELOW_LIMIT: (BELOW_LIMIT, Severity.CAUTION),
    OutcomeKind.SHUTDOWN_CYCLES: (SHUTDOWN, Severity.CAUTION),
    OutcomeKind.BATTERY_TRIPPED: (TRIPPED, Severity.CAUTION),
    OutcomeKind.FALLS_BELOW_LOWEST: (COLLAPSE, Severity.STOP),
    OutcomeKind.NO_OPERATING_POINT: (COLLAPSE, Severity.STOP),
}


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything the load cases show."""
    if subject.build.amplifier_limit == Limit(None, None, None):
        yield NOT_JUDGED.note(
            "No limit is stated for the voltage at the amplifiers: what the load cases leave is not judged",
            "load_cases",
        )
    for case in subject.load_cases:
        yield from _drop(subject, case)
        told: set[str] = set()
        for amplifier in sorted(case.amplifiers, key=lambda a: a.mean_minimum.volts or 0.0):
            if amplifier.outcome.kind not in _BY_KIND:
                continue
            rule, severity = _BY_KIND[amplifier.outcome.kind]
            if amplifier.outcome.is_collapse:  # also where a protection then switched off
                rule, severity = COLLAPSE, Severity.STOP
            if rule.code in told:  # equal amplifiers say the same: the worst of them is enough
                continue
            told.add(rule.code)
            yield rule.finding(
                severity, f"{case.title}: {amplifier.title} {amplifier.outcome.sentence}", f"load_cases.{case.id}"
            )
        for location in case.locations:
            for check in location.limits:
                if check.volts is None or check.holds:  # a collapse is said of the amplifier
                    continue
                yield VEHICLE_LOW.caution(
                    f"{case.title}: {location.title} falls to {low_v(check.volts)} V ({_WORDS[check.statistic]}), "
                    f"limit {limit_v(check.limit)} V",
                    f"load_cases.{case.id}",
                )


def _drop(subject: Examined, case: LoadCaseResult) -> Iterator[Diagnostic]:
    """The largest loss from the store that stands highest to an amplifier that cables join to it."""
    build, limit = subject.build, subject.build.voltage_drop
    if limit is None:
        return
    stores = [(b.at, b.title) for b in build.batteries.values()]
    stores += [(c.at, c.title) for c in build.capacitor_banks.values()]
    places = {place.id: place.mean for place in case.locations}
    lost = []
    for one in case.amplifiers:
        at = build.amplifiers[one.id].at
        wired = [s for s in stores if s[0] == at or path_between(build.cables.values(), s[0], at, "feed")]
        for place, title in wired or [s for s in stores if at in joined(build, s[0])]:
            if place in places and not np.isnan(one.mean).all():
                lost.append((float(np.nanmax(places[place] - one.mean)), title, one.title))
    if lost and max(lost)[0] > limit.si:
        drop, store_title, title = max(lost)
        yield DROP.caution(
            f"{case.title}: {up(drop, 2)} V are lost from {store_title} to {title}, limit {limit_v(limit.si)} V",
            "limits.voltage_drop",
        )
