"""Rules on fuses: the load, the conductor, the fault, the place, the holder."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.electrical.fuses import next_rating
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reader.promised import allowed_a, down, fault_ka, load_a, up
from dossier.reader.said import sentence
from dossier.results.protection import FuseCheck, Reply

ABOVE = Rule(
    "fuse-above-ampacity",
    "A fuse is rated above what its conductor may carry",
    "a fuse does not open below about 1.35 times its rating: in the overload between 1.1 and 2.5 times, for "
    "minutes, the "
    "cable burns first; a bolted fault is not the danger",
    "a smaller fuse, or a larger conductor",
    "BS 7671 433.1.1 (rating not above allowable current); 33 CFR 183.455 (150 % is for short circuits only)",
    "`rating: 200 A` on a cable that may carry 150 A: at 250 A nothing opens for minutes; 150 A, or the next "
    "larger cable",
    danger=Danger.FIRE,
)
BELOW_LOAD = Rule(
    "fuse-below-load",
    "A fuse is rated too low for its load",
    "it ages and opens in the middle of use, and invites the wrong replacement",
    "a fuse that carries the lasting load at 75 % of its rating when warm, if the conductor allows it",
    "75 % at 25 °C, 0.5 %/K above (fuse guides, read second-hand); BS 7671 433.1.1",
    "music of 80 A lasting behind an 80 A fuse: it ages and opens on a warm day; 110 A, if the cable may carry that",
    danger=Danger.FAILURE,
)
BELOW_OUTPUT = Rule(
    "alternator-fuse-below-output",
    "An alternator can blow its own fuse",
    "the fuse opens while the alternator charges: a load dump, up to 35 V suppressed and 79 to 101 V not "
    "(ISO 16750-2, not checked against the document), into every control unit",
    "a conductor and a fuse for the whole output",
    "33 CFR 183.460 (not checked against the document)",
    "a 250 A alternator behind a 200 A link fuse: it opens at full charge, and the load dump goes into the vehicle",
    danger=Danger.FAILURE,
)
BREAKING = Rule(
    "breaking-capacity-below-fault",
    "A fuse cannot interrupt the fault current where it sits",
    "it arcs on, bursts and sets fire to its holder instead of opening",
    "a fuse with the breaking capacity asked for on its data sheet",
    "BS 7671 434.5.1 (read second-hand); fault current by superposition, IEC 61660-1 (scope read); "
    "ABYC E-11 Table V-A by the cold-cranking current connected (read second-hand)",
    "a strip fuse that breaks 2 kA beside a battery that can feed 6 kA into a short: `breaking_capacity: 10 kA` "
    "or more",
    danger=Danger.FIRE,
)
BREAKING_UNKNOWN = Rule(
    "breaking-capacity-not-stated",
    "The breaking capacity of a fuse is not stated",
    "it is not known whether it interrupts a fault or bursts",
    "find the number on the data sheet of the fuse and state it",
    "ISO 8820-3 and -5 scopes: 1 kA blade, 2 kA strip; ABYC E-11 Table V-A (read second-hand)",
    "a fuse link with no number but its rating: look for 'breaking capacity' or 'interrupting rating' on its "
    "data sheet and write `breaking_capacity: 10 kA`",
    danger=Danger.FIRE,
)
FAR = Rule(
    "fuse-far-from-source",
    "A fuse sits far from the source it protects against",
    "everything between the source and the fuse is unprotected",
    "move the fuse closer to the terminal, or choose the rule you are judged by under limits.fuse_distance",
    "33 CFR 183.455: 7 in, 40 in in a sheath; 18 in is common practice, no source",
    "`distance: 900 mm`: that length of cable has no protection where it passes the edge of the battery tray",
    danger=Danger.FIRE,
)
PLACE_UNKNOWN = Rule(
    "fuse-distance-unknown",
    "The distance of a fuse from its source is not recorded",
    "it is not known how much of the cable is unprotected",
    "measure it along the conductor, from the terminal, and record it",
    "33 CFR 183.455",
    "a fuse without `distance`: measure from the battery terminal along the cable, not through the air",
    danger=Danger.FIRE,
)
SURVIVES_NOT = Rule(
    "conductor-burns-before-fuse",
    "By its data sheet a fuse lets more through than its conductor survives",
    "the insulation is destroyed before the fuse opens",
    "a faster or smaller fuse, or a larger conductor",
    "adiabatic limit (k S)²/I² up to 5 s, IEC 60364-5-54 Annex A; heating model above",
    "a large main fuse passes 2 kA for 3 s; the thin branch behind it withstands that for 1 s",
    danger=Danger.FIRE,
)
SLOW = Rule(
    "fuse-slow-in-smallest-fault",
    "The smallest fault current does not open a fuse within five seconds",
    "a worn battery feeds a fault at the far end for longer; whether the conductor survives it is a second question",
    "a smaller fuse, a thicker or shorter conductor",
    "disconnection within 5 s, BS 7671 411.3.2.3 (not checked against the document); points of the data sheet",
    "at the far end a worn, cold battery feeds 400 A into a fault; a 200 A fuse takes 40 s for that",
    danger=Danger.FAILURE,
)
NOT_JUDGED = Rule(
    "clearing-not-judged",
    "Nothing says how fast a fuse opens in its smallest fault",
    "with a worn battery the current may be too small to open it quickly",
    "enter points of its data sheet: opens_within, and holds_for for selectivity",
    "usual time-current limits are drawn, not checked against the document; nothing is judged from them",
    "`opens_within: {270 A: 1800 s, 400 A: 100 s}` from the data sheet, and the fuse is judged by it",
    danger=Danger.FIRE,
)
HOLDER = Rule(
    "fuse-holder-exceeded",
    "A fuse exceeds the rating of its holder, or the bus that of the fuse",
    "holder or breaker overheats or cannot extinguish the arc",
    "a holder and fuse rated for current and voltage",
    "ratings as the build file states them",
    "a 150 A fuse in a holder rated 100 A, or a 32 V fuse on a 48 V bus",
    danger=Danger.FIRE,
)
HOLDER_UNKNOWN = Rule(
    "breaker-voltage-not-stated",
    "The rated voltage of a breaker is not stated",
    "a breaker made for less voltage does not extinguish its arc",
    "state its rated voltage",
    "common practice, no source",
    "a breaker sold for 12 V arcs on at 24 V: write the `rated_voltage` that is printed on it",
    danger=Danger.FIRE,
)
SELECTIVE_NOT = Rule(
    "main-opens-before-branch",
    "A main fuse opens before the branch",
    "a fault in one branch switches off the whole installation, and on the road perhaps disconnects the battery",
    "a larger ratio between main and branch, or a faster branch fuse",
    "points of both data sheets; of one style at a ratio of 1 or less no curve is needed",
    "150 A in front of 125 A: the main opens as well, and all amplifiers are silent; 250 A in front of 125 A does not",
    danger=Danger.FAILURE,
)
RULES = (
    ABOVE, BELOW_LOAD, BELOW_OUTPUT, BREAKING, BREAKING_UNKNOWN, FAR, PLACE_UNKNOWN, SURVIVES_NOT, SLOW, NOT_JUDGED,
    HOLDER, HOLDER_UNKNOWN, SELECTIVE_NOT,
)

SURE_MULTIPLE = 6.0  # from here every usual band opens in about a second; see assessment.clearing


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything wrong with fuses."""
    for check in subject.protection.fuses:
        yield from of_fuse(check)
    for pair in subject.protection.selectivity:
        if pair.answer.verdict == Reply.NO:
            yield SELECTIVE_NOT.finding(
                Severity.CAUTION, f"{pair.main} and {pair.branch}: {pair.answer.words}", "cables"
            )


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
        yield BREAKING_UNKNOWN.finding(
            Severity.CAUTION,
            f"{who}: {fault_ka(check.likely)} kA or more can flow at {check.near_title}; breaking capacity "
            f"{interrupts.words}",
            path,
        )
    if check.placed.verdict == Reply.NOT_KNOWN:
        yield PLACE_UNKNOWN.finding(
            Severity.CAUTION, f"{who}: its distance from {check.near_title} is not recorded", path
        )
    elif check.placed.verdict != Reply.YES:
        yield FAR.finding(
            Severity.STOP if check.placed.verdict == Reply.NO else Severity.CAUTION,
            sentence("{who}: {words}", who=who, words=check.placed.words),
            f"{path}.distance",
        )
    yield from _clearing(check, who)
    if check.holder.verdict == Reply.NO:
        yield HOLDER.finding(
            Severity.STOP,
            f"{who}: {check.holder.words}",
            path,
            fix=f"a holder made for {check.rating:.0f} A or more, and a fuse made for more than the voltage of its bus "
            "(32 V in a 12 V system)",
        )
    elif check.holder.verdict == Reply.NOT_KNOWN:
        yield HOLDER_UNKNOWN.finding(Severity.CAUTION, f"{who}: {check.holder.words}", path)


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
        yield BELOW_LOAD.finding(
            Severity.CAUTION,
            f"{who}: {check.carries.words}",
            path,
            fix=f"a fuse of {larger:.0f} A, which the conductor allows"
            if fits
            else f"a larger conductor and a fuse of {load_a(check.needed)} A or more",
        )
    if check.passes.verdict != Reply.YES:
        yield BELOW_OUTPUT.finding(Severity.CAUTION, f"{who}: {check.passes.words}", path)


def _clearing(check: FuseCheck, who: str) -> Iterator[Diagnostic]:
    if check.survives.verdict == Reply.NO:
        words = sentence("{who}: the conductor reaches {words}", who=who, words=check.survives.words)
        yield SURVIVES_NOT.finding(Severity.STOP, words, check.path)
    if check.clears.verdict == Reply.NO:
        yield SLOW.finding(Severity.NOTE, f"{who}: {check.clears.words}", check.path)
    weak = check.least is not None and check.least < SURE_MULTIPLE * check.rating
    weak = weak or check.thin
    judged = Reply.NOT_JUDGED not in (check.clears.verdict, check.survives.verdict)
    if not judged and (weak or check.protects.verdict != Reply.YES):
        thin = "; thinner than 12 AWG behind a slow fuse even a bolted fault may burn it" if check.thin else ""
        yield NOT_JUDGED.finding(Severity.CAUTION, f"{who}: {check.clears.words}{thin}", check.path)
