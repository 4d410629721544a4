"""What would pass: the smallest standard size and the fuses that satisfy every question, as a patch to apply.

Every candidate is judged by the same rules as the build itself, with the currents it would carry; the patch is only
offered when the findings of the conductor are gone and nothing else is worse.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from dossier.assessment.conductors.schedule import conductor_row
from dossier.assessment.protection.candidates import Candidate, Candidates, together
from dossier.assessment.protection.coordination import fuse_checks, obtainable
from dossier.assessment.protection.end_protection import ends, selectivities
from dossier.assessment.protection.estimates import (
    VOLTS,
    Shares,
    loop_resistance,
    most_flow,
    redistributed_current,
    shares_of,
    undelivered_demand,
)
from dossier.assessment.protection.prospective import FaultNets, with_conductor
from dossier.assessment.protection.starter import cranking
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.conductors import Conductor, conductor_of
from dossier.equipment.installed import Installed
from dossier.findings import banks as bank_rules
from dossier.findings import conductors as conductor_rules
from dossier.findings import fuses as fuse_rules
from dossier.findings.rule import Examined
from dossier.reader.said import Measure, joined, sentence
from dossier.reader.units import Way
from dossier.reference.fuses import CLASSES
from dossier.results.protection import FuseCheck, Protection, Remedy, Reply
from dossier.results.schedule import ConductorRow

CURABLE: Final = frozenset(
    rule.code
    for rule in (
        conductor_rules.OVERLOADED, conductor_rules.INSULATION, conductor_rules.TABLES_DIFFER,
        conductor_rules.UNKNOWN_AMPACITY, conductor_rules.UNPROTECTED, conductor_rules.SELF_LIMITING,
        conductor_rules.RETURN_SMALL, conductor_rules.PARALLEL, fuse_rules.ABOVE, fuse_rules.BELOW_LOAD,
        fuse_rules.BELOW_OUTPUT, fuse_rules.BREAKING, fuse_rules.BREAKING_UNKNOWN, fuse_rules.FAR,
        fuse_rules.PLACE_UNKNOWN, fuse_rules.SURVIVES_NOT, fuse_rules.HOLDER,
    )
)
# Every candidate is judged with all fuses of the build, since it shifts the fault currents of all. Where very many
# conductors are wrong the search ends after so many judgements, some seconds: the first cures change the rest anyway.
MOST_JUDGED: Final = 3000
JUDGED_PLACES: Final = 100  # with so many locations; with more a judgement costs more, by their third power
NOT_SEARCHED: Final = "not searched for: many conductors are wrong; cure those with a remedy first and check again"
HOTTEST_AIR: Final = 85.0
"""degC of air above which a cable is rerouted, not thickened: the source of heat decides there; common practice, no
source."""
TOLD: Final = {
    fuse_rules.NOT_JUDGED.code: "enter opens_within of its data sheet, by which its opening is judged",
    bank_rules.PRECHARGE.code: "charge the bank through a resistor first: its inrush is more than the fuse is made for",
}
"""What a new fuse asks for by its nature, in the words of the cure that brings it."""
MARGIN: Final = 1.06  # on estimated currents
NEIGHBOUR: Final = 1.02  # on those of cables that stay as they are

Currents = Mapping[str, tuple[ConductorCurrent, ...]]


def remedies(
    subject: Examined, nets: FaultNets, currents: Currents, findings: tuple[Diagnostic, ...]
) -> tuple[Remedy, ...]:
    """One remedy per conductor that has a curable finding of caution or stop."""
    wrong: dict[str, list[Diagnostic]] = {}
    for finding in findings:
        if finding.code in CURABLE and finding.severity >= Severity.CAUTION and finding.path.startswith("cables."):
            wrong.setdefault(finding.path.split(".")[1], []).append(finding)
    made: list[Remedy] = []
    before = _worst(_rules(subject)) if wrong else {}
    judged, most = 0, MOST_JUDGED / max(1.0, len(subject.build.locations) / JUDGED_PLACES) ** 3
    done: set[str] = set()

    def search(cable: str, found: list[Diagnostic]) -> Remedy:
        nonlocal judged
        one = _Search(subject, nets, currents, cable, found, before)
        remedy = one.remedy() if judged < most else one.none(NOT_SEARCHED)
        judged += one.judged
        return remedy

    cables = subject.build.cables
    for id_ in wrong:
        shared = [one for one in together(subject.build, cables[id_]) if one in wrong and one not in done]
        if len(shared) > 1:  # what belongs together at once, if something cures it all
            head = next((one for one in shared if cables[one].role == "feed"), id_)
            remedy = search(head, [f for one in shared for f in wrong[one]])
            if remedy.patch is not None:
                made.append(remedy)
                done.update(shared)
        if id_ not in done:
            made.append(search(id_, wrong[id_]))
            done.add(id_)
    return tuple(made)


def with_remedies(findings: tuple[Diagnostic, ...], found: tuple[Remedy, ...]) -> tuple[Diagnostic, ...]:
    """The findings, those with a remedy naming it with its numbers instead of the rule's general cure."""
    cures = {key: remedy for remedy in found for key in remedy.cures}
    told = []
    for finding in findings:
        remedy = cures.get((finding.code, finding.path))
        if remedy is None:
            told.append(finding)
        elif remedy.patch is None:
            told.append(replace(finding, fix=joined("; ", (finding.fix, remedy.words))))
        else:
            told.append(replace(finding, fix=sentence("would pass: {words}", words=remedy.words)))
    return tuple(told)


class _Search:
    """The search for one conductor."""

    def __init__(
        self,
        subject: Examined,
        nets: FaultNets,
        currents: Currents,
        cable: str,
        found: list[Diagnostic],
        before: Mapping[tuple[str, str], Severity],
    ) -> None:
        self.subject, self.nets, self.currents = subject, nets, currents
        self.build, self.cable = subject.build, subject.build.cables[cable]
        self.found = found
        self.row = next(row for row in subject.schedule if row.id == cable)
        self.codes = {(f.code, f.path) for f in found}
        self.cures = tuple(sorted(self.codes))
        self.judged = 0  # fuses, over all candidates
        self.before = before
        self.told: set[str] = set()  # what the last candidate asks for besides

    def remedy(self) -> Remedy:
        """The first candidate that passes, or none."""
        air = self.row.ambient or 0.0
        if air > HOTTEST_AIR:
            words = "none by more copper in {air} air: reroute it, or shield it, so that it lies in {most} or less"
            return self.none(
                sentence(
                    words, air=Measure("temperature", air, Way.UP), most=Measure("temperature", HOTTEST_AIR, Way.DOWN)
                )
            )
        if self.cable.size is not None and not self.cable.chassis:
            codes = frozenset(code for code, _ in self.codes)
            ways = Candidates(
                self.build, self.row, self.cable, self.subject.protection, codes, self.nets, self._carried
            )
            for candidate in ways:
                drop = self._passes(candidate)
                if drop is not None:
                    patch = {"cables": candidate.patch}
                    words = joined("; ", (candidate.words, *(TOLD[code] for code in sorted(self.told))))
                    return Remedy(self.cable.id, self.cable.title, self.cures, words, patch, self.row.drop, drop)
            if ways.beyond and min(ways.beyond) > CLASSES[-1].current:
                least = min(ways.beyond)
                return self.none(f"none as it stands: {obtainable(least, self.row.allowed or 0.0, self.nets.highest)}")
        return self.none(
            "none: shorten, split or relocate; no standard size and fuse satisfies every question as the rest stands"
        )

    def none(self, words: str) -> Remedy:
        """No remedy, and why."""
        return Remedy(self.cable.id, self.cable.title, self.cures, words, None, self.row.drop, None)

    def _carried(self, conductor: Conductor) -> tuple[ConductorCurrent, ...]:
        """Estimated currents of the changed conductor: the divider of its loop, or what starved amplifiers ask for."""
        old = self.subject.fit.conductors[conductor.id].resistance
        new = conductor.resistance
        before = self.currents[conductor.id]
        factor = 1.0
        if abs(new / old - 1.0) > 1e-9:
            rest = loop_resistance(self.nets, conductor.id)
            largest = max((c.rms for c in before), default=0.0)
            factor = max(1.0, (rest + old) / (rest + new)) * (1.0 + largest * abs(old - new) / VOLTS)
            if largest > 0.0:  # no more than everything that is drawn, or everything that charges
                factor = min(factor, max(most_flow(self.subject) / largest, 1.0))
            factor *= MARGIN
        changed = self._shares(with_conductor(self.nets, conductor))
        return _grown(before, factor, self._undelivered(changed)[conductor.id])

    def _shares(self, nets: FaultNets) -> Shares:
        return shares_of(nets, (a.at for a in self.subject.fit.amplifiers.values()))

    def _undelivered(self, shares: Shares) -> dict[str, dict[str, float]]:
        return undelivered_demand(self.build, self.subject.fit, self.subject.load_cases, shares)

    def _passes(self, candidate: Candidate) -> float | None:
        """Drop of the candidate at its peak current [V], None if it does not pass."""
        build = replace(self.build, cables={**self.build.cables, **{c.id: c for c in candidate.cables}})
        fit, currents, nets = self.subject.fit, self.currents, self.nets
        rows = {r.id: r for r in self.subject.schedule}
        for cable in candidate.cables:
            conductor = conductor_of(build, cable)
            fit = replace(fit, conductors={**fit.conductors, conductor.id: conductor})
            currents = {**currents, conductor.id: self._carried(conductor)}
            nets = with_conductor(nets, conductor)
            row = conductor_row(build, conductor, currents[conductor.id])
            if row.allowed is None or conductor_rules.carried(row) > row.allowed:
                return None
            rows[row.id] = row
        if not self._clears(build, fit, nets, rows, currents):
            return None
        more = self._neighbours({c.id for c in candidate.cables}, nets)
        if more:  # what the others then carry may be too much for them
            currents = {**currents, **more}
            rows |= {id_: conductor_row(build, fit.conductors[id_], found) for id_, found in more.items()}
            if not self._clears(build, fit, nets, rows, currents):
                return None
        return rows[self.cable.id].drop

    def _neighbours(self, changed: set[str], nets: FaultNets) -> dict[str, tuple[ConductorCurrent, ...]]:
        """Estimated currents of the cables that carry more once some have changed."""
        more = {}
        shares = self._shares(nets)
        grown, undelivered = redistributed_current(self._shares(self.nets), shares), self._undelivered(shares)
        for id_, before in self.currents.items():
            least = undelivered[id_]
            if id_ in changed or (id_ not in grown and all(c.rms >= least.get(c.case, 0.0) for c in before)):
                continue
            more[id_] = _grown(before, grown.get(id_, 1.0) * NEIGHBOUR, least)
        return more

    def _clears(
        self, build: Build, fit: Installed, nets: FaultNets, rows: Mapping[str, ConductorRow], currents: Currents
    ) -> bool:
        """Whether the findings are gone and nothing else is worse."""
        self.judged += sum(len(row.fuses) for row in rows.values())
        judged = Protection(fuses=fuse_checks(build, fit, nets, rows, currents), ends=ends(build, fit, rows))
        schedule = tuple(rows[r.id] for r in self.subject.schedule)
        after = _worst(_rules(replace(self.subject, build=build, fit=fit, schedule=schedule, protection=judged)))
        if any(key in after for key in self.codes):
            return False
        new = {k for k, s in after.items() if s >= Severity.CAUTION and s > self.before.get(k, Severity.OK)}
        self.told = {code for code, _ in new}
        return self.told <= set(TOLD) and not self._opens(build, fit, nets, judged.fuses)

    def _opens(self, build: Build, fit: Installed, nets: FaultNets, fuses: tuple[FuseCheck, ...]) -> bool:
        """Whether a fuse would open before its branch, or while the engine is started, that does not now."""
        before = self.subject.protection
        was = {(p.main, p.branch) for p in before.selectivity if p.answer.verdict is Reply.NO}
        now = {(p.main, p.branch) for p in selectivities(build, fuses, nets.least) if p.answer.verdict is Reply.NO}
        cranked = cranking(build, fit, nets)
        held = {f.path for f in before.cranking.fuses if f.carries.verdict is not Reply.YES} if before.cranking else {}
        return bool(now - was) or any(
            f.carries.verdict is not Reply.YES and f.path not in held for f in (cranked.fuses if cranked else ())
        )


def _grown(
    before: tuple[ConductorCurrent, ...], factor: float, least: Mapping[str, float]
) -> tuple[ConductorCurrent, ...]:
    """Currents times a factor, and at least what is asked in a load case."""
    return tuple(
        replace(
            c,
            mean=c.mean * factor,
            rms=max(c.rms * factor, MARGIN * least.get(c.case, 0.0)),
            peak=max(c.peak * factor, MARGIN * least.get(c.case, 0.0)),
        )
        for c in before
    )


def _rules(subject: Examined) -> list[Diagnostic]:
    of_fuses = (f for c in subject.protection.fuses for f in fuse_rules.of_fuse(c))
    return [*conductor_rules.findings(subject), *bank_rules.findings(subject), *of_fuses]


def _worst(findings: list[Diagnostic]) -> dict[tuple[str, str], Severity]:
    """Code and path -> worst severity: both ends of a conductor may have the same finding."""
    worst: dict[tuple[str, str], Severity] = {}
    for finding in findings:
        key = (finding.code, finding.path)
        worst[key] = max(finding.severity, worst.get(key, Severity.OK))
    return worst
