"""Rules on fuses: the load, the conductor, the fault, the place, the holder."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.electrical.fuses import next_rating
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import allowed_a, down, fault_ka, load_a, up
from dossier.reader.said import sentence
from dossier.results.protection import FuseCheck, Reply

ABOVE = BY_CODE["fuse-above-ampacity"]
BELOW_LOAD = BY_CODE["fuse-below-load"]
BELOW_OUTPUT = BY_CODE["alternator-fuse-below-output"]
BREAKING = BY_CODE["breaking-capacity-below-fault"]
BREAKING_UNKNOWN = BY_CODE["breaking-capacity-not-stated"]
FAR = BY_CODE["fuse-far-from-source"]
PLACE_UNKNOWN = BY_CODE["fuse-distance-unknown"]
SURVIVES_NOT = BY_CODE["conductor-burns-before-fuse"]
SLOW = BY_CODE["fuse-slow-in-smallest-fault"]
NOT_JUDGED = BY_CODE["clearing-not-judged"]
HOLDER = BY_CODE["fuse-holder-exceeded"]
HOLDER_UNKNOWN = BY_CODE["breaker-voltage-not-stated"]
SELECTIVE_NOT = BY_CODE["main-opens-before-branch"]

SURE_MULTIPLE = 6.0  # from here every usual band opens in about a second; see assessment.clearing


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything wrong with fuses."""
    for check in subject.protection.fuses:
        yield from of_fuse(check)
    for pair in subject.protection.selectivity:
        if pair.answer.verdict == Reply.NO:
            yield SELECTIVE_NOT.caution(f"{pair.main} and {pair.branch}: {pair.answer.words}", "cables")


def of_fuse(check: FuseCheck) -> Iterator[Diagnostic]:
    """Everything wrong with one fuse."""
    who, path = f"{check.cable_title}, fuse {check.fuse}", check.path
    yield from _rating(check, who)
    interrupts = check.interrupts
    if interrupts.verdict in (Reply.NO, Reply.MAYBE):
        low = check.likely <= (check.breaking or 0.0) < check.most
        yield BREAKING.finding(
            Severity.STOP if interrupts.verdict == Reply.NO else Severity.CAUTION,
            f"{who}: can interrupt {interrupts.words} at {check.near_title}"
            + (", with every resistance at its low end" if low else ""),
            f"{path}.breaking_capacity",
            fix=check.asked_words,
        )
    elif interrupts.verdict == Reply.NOT_KNOWN:
        yield BREAKING_UNKNOWN.caution(
            f"{who}: {fault_ka(check.likely)} kA or more can flow at {check.near_title}; breaking capacity "
            f"{interrupts.words}",
            path,
        )
    if check.placed.verdict == Reply.NOT_KNOWN:
        yield PLACE_UNKNOWN.caution(f"{who}: its distance from {check.near_title} is not recorded", path)
    elif check.placed.verdict != Reply.YES:
        yield FAR.finding(
            Severity.STOP if check.placed.verdict == Reply.NO else Severity.CAUTION,
            sentence("{who}: {words}", who=who, words=check.placed.words),
            f"{path}.distance",
        )
    yield from _clearing(check, who)
    if check.holder.verdict == Reply.NO:
        yield HOLDER.stop(
            f"{who}: {check.holder.words}",
            path,
            fix=f"a holder made for {check.rating:.0f} A or more, and a fuse made for more than the voltage of its bus "
            "(32 V in a 12 V system)",
        )
    elif check.holder.verdict == Reply.NOT_KNOWN:
        yield HOLDER_UNKNOWN.caution(f"{who}: {check.holder.words}", path)


def _rating(check: FuseCheck, who: str) -> Iterator[Diagnostic]:
    path = f"{check.path}.rating"
    if check.protects.verdict != Reply.YES and check.allowed > 0.0:
        assumed = " (insulation not stated, the safe side is assumed)" if check.assumed_insulation else ""
        yield ABOVE.finding(
            Severity.STOP if check.protects.verdict == Reply.NO else Severity.CAUTION,
            sentence(
                "{who}: {rating:.0f} A, but one run of {size} may carry {allowed} A{assumed}; from {low} to "
                "{high} A no fuse opens in time",
                who=who,
                rating=check.rating,
                size=check.size,
                allowed=allowed_a(check.allowed),
                assumed=assumed,
                low=down(1.1 * check.allowed),
                high=up(2.5 * check.rating),
            ),
            path,
        )
    elif check.protects.verdict != Reply.YES:
        severity = Severity.STOP if check.protects.verdict == Reply.NO else Severity.CAUTION
        yield ABOVE.finding(severity, sentence("{who}: {words}", who=who, words=check.protects.words), path)
    if check.carries.verdict == Reply.NO:
        larger = next_rating(check.needed, check.style)
        fits = larger is not None and larger <= check.allowed
        yield BELOW_LOAD.caution(
            f"{who}: {check.carries.words}",
            path,
            fix=f"a fuse of {larger:.0f} A, which the conductor allows"
            if fits
            else f"a larger conductor and a fuse of {load_a(check.needed)} A or more",
        )
    if check.passes.verdict != Reply.YES:
        yield BELOW_OUTPUT.caution(f"{who}: {check.passes.words}", path)


def _clearing(check: FuseCheck, who: str) -> Iterator[Diagnostic]:
    if check.survives.verdict == Reply.NO:
        words = sentence("{who}: the conductor reaches {words}", who=who, words=check.survives.words)
        yield SURVIVES_NOT.stop(words, check.path)
    if check.clears.verdict == Reply.NO:
        yield SLOW.note(f"{who}: {check.clears.words}", check.path)
    weak = check.least is not None and check.least < SURE_MULTIPLE * check.rating
    weak = weak or check.thin
    judged = Reply.NOT_JUDGED not in (check.clears.verdict, check.survives.verdict)
    if not judged and (weak or check.protects.verdict != Reply.YES):
        thin = "; thinner than 12 AWG behind a slow fuse even a bolted fault may burn it" if check.thin else ""
        yield NOT_JUDGED.caution(f"{who}: {check.clears.words}{thin}", check.path)
