"""Rules on the voltage that the load cases leave."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from dossier.buildfile.model import Limit
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.buses import path_between
from dossier.equipment.feeding import joined
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reader.promised import limit_v, low_v, up
from dossier.results.sag import LoadCaseResult, OutcomeKind

BELOW_LIMIT = Rule(
    "voltage-below-limit",
    "An amplifier's voltage falls below the accepted limit",
    "output is lost, lamps flicker, and control units may log faults",
    "ask less of the amplifiers, thicken the copper, or add a source close to them; the options compare "
    "what each is worth",
    "limit stated in the build file",
    "limit 12.0 V; a note of 20 s pulls the amplifier to 11.4 V after 6 s",
    danger=Danger.FAILURE,
)
SHUTDOWN = Rule(
    "amplifier-shuts-down",
    "An amplifier shuts down and restarts",
    "the sound stops and returns in cycles; each restart is a blow to battery and speakers",
    "see voltage-below-limit",
    "low-voltage shut-down of the amplifier, stated or assumed",
    "it switches off below 9.5 V, restarts at 11 V a second later, and does so five times in the note",
    danger=Danger.FAILURE,
)
COLLAPSE = Rule(
    "voltage-collapses",
    "The source cannot deliver what is asked",
    "there is no steady voltage: the amplifier stops, and the vehicle's own electronics may reset",
    "less power, less resistance, or more source",
    "P ≤ E²/4R for a constant-power load behind a resistance",
    "5.4 kW are asked; behind 8 milliohm a battery of 12.6 V can deliver 5.0 kW at most",
    danger=Danger.IMPOSSIBLE,
)
TRIPPED = Rule(
    "battery-management-opens",
    "A lithium battery's management opens under load",
    "its whole share of the current is gone at once; while charging, opening is a load dump",
    "a battery with higher limits, or less demand on it",
    "limits of its management, stated or assumed",
    "a management of 100 A for 3 s, and 180 A in the note: after 3 s the battery is gone",
    danger=Danger.FAILURE,
)
VEHICLE_LOW = Rule(
    "vehicle-voltage-below-limit",
    "The vehicle's own supply falls below the accepted limit",
    "control units may reset or log faults; steering and braking assistance may complain",
    "see voltage-below-limit",
    "limit stated in the build file",
    "the vehicle's own electronics see 11.2 V, their limit is 11.5 V",
    danger=Danger.FAILURE,
)
DROP = Rule(
    "voltage-drop-above-limit",
    "More voltage is lost on the way to an amplifier than was agreed",
    "the source may hold and the amplifier still starves; what is lost heats cables and joints",
    "a larger feed and return, better joints, or a source closer to the amplifier",
    "limit stated in the build file",
    "`limits: {voltage_drop: 0.5 V}`; from battery to amplifier 0.9 V are lost in the note",
    danger=Danger.FAILURE,
)
NOT_JUDGED = Rule(
    "voltage-not-judged",
    "No lowest voltage is stated for the amplifiers",
    "the dossier states what the voltage falls to, and not whether that is good enough",
    "limits: {amplifier: {mean: …}} with what the amplifiers' papers ask for, or what was agreed with the customer",
    "common practice, no source: what is good enough is agreed before the work",
    "limits: {amplifier: {mean: 12.0 V}, vehicle: {mean: 11.5 V}}",
    danger=Danger.RECORD,
)
RULES = (BELOW_LIMIT, SHUTDOWN, COLLAPSE, TRIPPED, VEHICLE_LOW, DROP, NOT_JUDGED)

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
        yield NOT_JUDGED.finding(
            Severity.NOTE,
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
                yield VEHICLE_LOW.finding(
                    Severity.CAUTION,
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
        yield DROP.finding(
            Severity.CAUTION,
            f"{case.title}: {up(drop, 2)} V are lost from {store_title} to {title}, limit {limit_v(limit.si)} V",
            "limits.voltage_drop",
        )
