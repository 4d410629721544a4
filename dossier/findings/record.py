"""Rules on the record: what an as-built record lacks, and what measurements and checklist say."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Basis, Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reader.promised import down, load_a, up
from dossier.reader.said import sentence
from dossier.reference.instruments import JOINT_DROP
from dossier.results.recorded import ProofRow

_PRACTICE = "common practice, no source"
_ALL_OF_IT = 0.999  # of the mean: a swing as large as there can be
_LATER = "nobody can check it later: it counts as not verified"

NO_MEASUREMENT = Rule(
    "record-without-measurement",
    "A record of what was built rests on no measurement of its resistances",
    "the voltages in it are computed from data sheets and guesses alone",
    "measure millivolts across the joints at a known current, or log the voltage during a tone",
    _PRACTICE,
    "measurements: {joints: {feed_front: {cable: feed, drop: 8 mV, current: 100 A, instrument: meter}}}",
    danger=Danger.RECORD,
)
NO_RESTRAINT = Rule(
    "record-without-restraint",
    "A record of what was built does not say that batteries and amplifiers are restrained",
    "a loose battery is a projectile in a crash",
    "pull by hand, then record `checklist: {restraint: {state: pass}}`",
    "order of UN R67, R100 and R110 (not checked against the document)",
    "checklist: {restraint: {state: pass, by: fitter, date: 2026-10-02}}",
    danger=Danger.CRASH,
)
NO_ROUTING = Rule(
    "record-without-routing",
    "A record of what was built does not say how its cables run",
    "a cable that chafes on sheet metal, a belt or the exhaust shorts to the body where nobody sees it",
    "look at grommets, conduit and clearances, then record `checklist: {routing: {state: pass}}`",
    _PRACTICE,
    "checklist: {routing: {state: pass, by: fitter, date: 2026-10-02}}",
    danger=Danger.FIRE,
)
NO_TORQUE = Rule(
    "record-without-torque",
    "A record of what was built has no tightening torques",
    _LATER,
    "tighten with a torque wrench and record it under `measurements: {torque: ...}`",
    _PRACTICE,
    "measurements: {torque: {front_fuse: {cable: feed, torque: 12 Nm, asked: 12 Nm, marked: true, instrument: "
    "wrench}}}",
    danger=Danger.RECORD,
)
NO_CONTINUITY = Rule(
    "record-without-continuity",
    "A record of what was built has no continuity checks",
    _LATER,
    "record them under `measurements: {continuity: ...}`",
    _PRACTICE,
    "measurements: {continuity: {body: {cable: body, state: pass, instrument: meter}}}",
    danger=Danger.RECORD,
)
NO_INSULATION = Rule(
    "record-without-insulation",
    "A record of what was built has no insulation reading",
    _LATER,
    "fuses out, amplifiers off: feed to body with a multimeter, under `measurements: {insulation: ...}`",
    _PRACTICE,
    "measurements: {insulation: {feed: {cable: feed, resistance: 20 Mohm, instrument: meter}}}",
    danger=Danger.RECORD,
)
NO_SIGNATORY = Rule(
    "record-without-person",
    "A record of what was built does not say who looked, and when",
    _LATER,
    "name `people`, and give `by` and `date` in the checklist",
    _PRACTICE,
    "people: {fitter: {name: Fitter 2}} and `by: fitter, date: 2026-10-02` at a point of the checklist",
    danger=Danger.RECORD,
)
HISTORY = Rule(
    "revision-without-history",
    "This revision is not in the revision history",
    "nobody can tell later what changed",
    "add it under `revisions` with its date and what changed",
    _PRACTICE,
    "`revision: B` in the record, and only A under `revisions`",
    danger=Danger.RECORD,
)
RIPPLE = Rule(
    "ripple-reading-unclear",
    "A reading of alternating volts does not tell the ripple of an amplifier's current",
    "the trough rests on an assumed ripple instead of a measured one",
    "read DC and AC volts together at the amplifier's terminals, with a tone of 20 Hz or more; where the ripple is "
    "more than the resistances explain, measure those",
    _PRACTICE,
    "AC volts read without DC volts beside them, or with a tone of 15 Hz that the meter cannot follow",
    danger=Danger.RECORD,
)
JOINT = Rule(
    "joint-drop-high",
    "A joint loses more voltage than a good one",
    "it heats, loosens and gets worse",
    "clean, tighten or remake it",
    _PRACTICE,
    "40 mV across a lug at 100 A is 0.4 milliohm; a good one has a tenth of that",
    danger=Danger.FIRE,
)
INSULATION = Rule(
    "insulation-low",
    "A feed is not well insulated from the body",
    "a fault current may flow that no fuse sees",
    "find the place before anything is energised",
    _PRACTICE,
    "20 kohm from the feed to the body with the fuses out: somewhere its jacket is cut",
    danger=Danger.FIRE,
)
CONTINUITY = Rule(
    "continuity-failed",
    "A continuity check failed",
    "the conductor or disconnect does not do what the record says",
    "repair it and record the new check",
    _PRACTICE,
    "`state: fail` at the body connection: paint under the lug",
    danger=Danger.FIRE,
)
TORQUE = Rule(
    "torque-off",
    "A joint was tightened to another torque than its maker asks",
    "too loose it heats, too tight the stud yields",
    "tighten it as its maker says",
    "maker's figure, as the build file states it",
    "8 Nm on a stud that asks 12 Nm",
    danger=Danger.FIRE,
)
FAILED = Rule(
    "checklist-failed",
    "A point of the checklist failed",
    "what was found is not as it has to be",
    "put it right and record the new state",
    _PRACTICE,
    "`fuse_distance: {state: fail}`: the fuse sits 600 mm from the post",
    danger=Danger.FIRE,
)
LIMITED = Rule(
    "checklist-limited",
    "A point of the checklist is passed with a limitation, or was not verified",
    "whoever relies on it has to know",
    "read the note beside it",
    _PRACTICE,
    "`routing: {state: limitation, note: Conduit is missing for 200 mm under the seat.}`",
    danger=Danger.RECORD,
)
EXPOSURE = Rule(
    "exposure-not-stated",
    "No permitted exposure is stated for a sound-level run",
    "the level cannot be judged: 130 dB at 40 Hz is 130 or 97 dB(A)",
    "record weighting and frequency, taken with a sound level meter",
    "IEC 61672-1",
    "120 dB from a phone, or without weighting: no time can be stated for it",
    danger=Danger.HEARING,
)
TOO_LONG = Rule(
    "exposure-exceeded",
    "A sound-level run lasts longer than its level permits in a whole day",
    "lasting damage to hearing",
    "listeners out of the vehicle, or hearing protection",
    "NIOSH 98-126, Table 1-1",
    "112 dB(A) heard for a minute: the level recommended by NIOSH is used up in under a minute",
    danger=Danger.HEARING,
)
PEAK = Rule(
    "peak-above-limit",
    "A sound-level run passes the limit of sound pressure peaks",
    "one such note can damage hearing for good; no time at all is permitted, however short",
    "nobody in or near the vehicle while it plays, or a lower level; hearing protection alone is not enough inside",
    "Directive 2003/10/EC, Article 3(1): 140 dB(C); NIOSH 98-126: 140 dB(A)",
    "147 dB of a tone at 42 Hz: its peak is about 149 dB(C)",
    danger=Danger.HEARING,
)
PHOTO = Rule(
    "photo-refused",
    "A photo could not be taken into the record",
    "its place in the record stays empty",
    "export it as JPEG or PNG beside the build file",
    "our own bounds",
    "`file: ../photos/fuse.heic`: outside the folder of the build file, and no JPEG or PNG",
    danger=Danger.RECORD,
)
LOGO = Rule(
    "logo-refused",
    "The logo could not be taken into the record",
    "the letterhead stands without it",
    "export it as PNG or JPEG beside the file that names it",
    "our own bounds",
    "a logo of 9000 × 9000 pixels, or an SVG: export it as PNG",
    danger=Danger.RECORD,
)
RULES = (
    NO_MEASUREMENT, NO_RESTRAINT, NO_ROUTING, NO_TORQUE, NO_CONTINUITY, NO_INSULATION, NO_SIGNATORY, HISTORY, RIPPLE,
    JOINT, INSULATION, CONTINUITY, TORQUE, FAILED, LIMITED, EXPOSURE, TOO_LONG, PEAK, PHOTO, LOGO,
)
_GRAVE = ("cables", "batteries", "power")


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything the record lacks or says."""
    if subject.build.record.stage == "as_built":
        logs = subject.build.kept.measurements.logs
        yield from _lacking(subject.build, usable=len(logs) > len({one.path for one in subject.logs_left_out}))
    yield from _measured(subject)
    yield from _sound(subject)
    yield from _ticks(subject)


def _lacking(build: Build, *, usable: bool) -> Iterator[Diagnostic]:
    """``usable``: whether a voltage log can be read."""
    kept = build.kept
    measured = [
        *(b.internal_resistance for b in build.batteries.values()), *(c.resistance for c in build.cables.values())
    ]
    known = any(one is not None and one.basis in (Basis.MEASURED, Basis.FITTED) for one in measured)
    if not known and not kept.measurements.joints and not usable:
        yield NO_MEASUREMENT.finding(
            Severity.CAUTION, "As built, but no resistance was measured and no voltage log is attached", "record.stage"
        )
    restraint = kept.checklist.get("restraint")
    if build.batteries and (restraint is None or restraint.state == "not_applicable"):
        yield NO_RESTRAINT.finding(
            Severity.CAUTION, "As built, but nothing says that every battery is restrained", "record.stage"
        )
    routing = kept.checklist.get("routing")
    if build.cables and (routing is None or routing.state == "not_applicable"):
        yield NO_ROUTING.finding(
            Severity.CAUTION,
            "As built, but nothing says how the cables run: grommets, conduit, clear of exhaust, belts and edges",
            "record.stage",
        )
    if not kept.measurements.torque:
        yield NO_TORQUE.finding(Severity.NOTE, "As built, but no tightening torque is recorded", "record.stage")
    if not kept.measurements.continuity:
        yield NO_CONTINUITY.finding(Severity.NOTE, "As built, but no continuity check is recorded", "record.stage")
    if not kept.measurements.insulation:
        yield NO_INSULATION.finding(Severity.NOTE, "As built, but no insulation reading is recorded", "record.stage")
    if not any(tick.by and tick.date for tick in kept.checklist.values()):
        yield NO_SIGNATORY.finding(
            Severity.NOTE, "As built, but no point of the checklist says who and when", "record.stage"
        )
    first = build.record.revision in ("A", "0", "1", "01")  # nothing has changed yet
    if build.record.revision not in [one.revision for one in kept.revisions] and (kept.revisions or not first):
        yield HISTORY.finding(
            Severity.NOTE, f"Revision {build.record.revision} is not in the revision history", "record.revision"
        )


def _measured(subject: Examined) -> Iterator[Diagnostic]:
    rows = subject.recorded
    for ripple in rows.ripples:
        if ripple.fraction is None or ripple.fraction >= _ALL_OF_IT:
            yield RIPPLE.finding(
                Severity.NOTE if ripple.fraction is None else Severity.CAUTION,
                f"{ripple.title}: {ripple.ac:.2f} V of ripple in {ripple.case}, {ripple.words}",
                f"measurements.readings.{ripple.reading}",
            )
    for joint in rows.joints:
        if joint.at_peak is not None and joint.at_peak > JOINT_DROP:
            yield JOINT.finding(
                Severity.CAUTION,
                f"{joint.title}: {joint.resistance * 1e3:.3f} mΩ, {up(joint.at_peak, 2)} V "
                f"at {load_a(joint.peak or 0.0)} A; a good joint stays under {JOINT_DROP:.1f} V",
                f"measurements.joints.{joint.id}",
            )
    for proof in rows.proofs:
        path = f"measurements.{proof.kind}.{proof.id}"
        if proof.good is False and proof.kind == "insulation":
            yield INSULATION.finding(Severity.STOP, _asked(proof), path)
        elif proof.good is False and proof.kind == "continuity":
            yield CONTINUITY.finding(Severity.STOP, f"{proof.title}: failed", path)
        elif proof.good is False:
            yield TORQUE.finding(Severity.CAUTION, _asked(proof), path)


def _asked(proof: ProofRow) -> str:
    return sentence("{proof}: {value}, {asked} is asked", proof=proof.title, value=proof.value, asked=proof.asked)


def _sound(subject: Examined) -> Iterator[Diagnostic]:
    for one in subject.recorded.sound:
        path = f"measurements.sound.{one.id}"
        if one.refusal:
            if one.current:
                yield EXPOSURE.finding(Severity.NOTE, f"{one.title}: {one.refusal}", path)
            continue
        if one.over_peak and one.peak is not None:
            yield PEAK.finding(
                Severity.CAUTION,
                f"{one.title}: a peak of {up(one.peak)} dB(C) ({one.peak_basis}), above 140 dB(C)",
                path,
            )
            continue
        least = min((row.seconds for row in one.permitted if row.seconds is not None and not row.action), default=0.0)
        if one.duration is not None and one.duration > least and one.a_weighted is not None:
            yield TOO_LONG.finding(
                Severity.CAUTION,
                f"{one.title}: {up(one.duration)} s at {up(one.a_weighted)} dB(A), permitted {down(least)} s",
                path,
            )


def _ticks(subject: Examined) -> Iterator[Diagnostic]:
    for one in subject.recorded.checklist:
        path = f"checklist.{one.id}"
        if one.state == "fail":
            severity = Severity.STOP if one.group in _GRAVE else Severity.CAUTION
            yield FAILED.finding(
                severity,
                sentence("Checklist: {words}{found}", words=one.words, found=f" Found: {one.note}" if one.note else ""),
                path,
            )
        elif one.state in ("limitation", "not_verified"):
            word = "limitation" if one.state == "limitation" else "not verified"
            yield LIMITED.finding(
                Severity.NOTE,
                sentence(
                    "Checklist, {word}: {note}{words}",  # a short place shows the note, which says what is the matter
                    word=word,
                    words=one.words,
                    note=f"{one.note} Asked: " if one.note else "",
                ),
                path,
            )
