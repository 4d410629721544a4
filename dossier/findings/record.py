"""Rules on the record: what an as-built record lacks, and what measurements and checklist say."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Basis, Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import down, load_a, up
from dossier.reader.said import sentence
from dossier.reference.instruments import JOINT_DROP
from dossier.results.recorded import ProofRow

_ALL_OF_IT = 0.999  # of the mean: a swing as large as there can be

NO_MEASUREMENT = BY_CODE["record-without-measurement"]
NO_RESTRAINT = BY_CODE["record-without-restraint"]
NO_ROUTING = BY_CODE["record-without-routing"]
NO_TORQUE = BY_CODE["record-without-torque"]
NO_CONTINUITY = BY_CODE["record-without-continuity"]
NO_INSULATION = BY_CODE["record-without-insulation"]
NO_SIGNATORY = BY_CODE["record-without-person"]
HISTORY = BY_CODE["revision-without-history"]
RIPPLE = BY_CODE["ripple-reading-unclear"]
JOINT = BY_CODE["joint-drop-high"]
INSULATION = BY_CODE["insulation-low"]
CONTINUITY = BY_CODE["continuity-failed"]
TORQUE = BY_CODE["torque-off"]
FAILED = BY_CODE["checklist-failed"]
LIMITED = BY_CODE["checklist-limited"]
EXPOSURE = BY_CODE["exposure-not-stated"]
TOO_LONG = BY_CODE["exposure-exceeded"]
PEAK = BY_CODE["peak-above-limit"]
PHOTO = BY_CODE["photo-refused"]
LOGO = BY_CODE["logo-refused"]
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
        yield NO_MEASUREMENT.caution(
            "As built, but no resistance was measured and no voltage log is attached", "record.stage"
        )
    restraint = kept.checklist.get("restraint")
    if build.batteries and (restraint is None or restraint.state == "not_applicable"):
        yield NO_RESTRAINT.caution("As built, but nothing says that every battery is restrained", "record.stage")
    routing = kept.checklist.get("routing")
    if build.cables and (routing is None or routing.state == "not_applicable"):
        yield NO_ROUTING.caution(
            "As built, but nothing says how the cables run: grommets, conduit, clear of exhaust, belts and edges",
            "record.stage",
        )
    if not kept.measurements.torque:
        yield NO_TORQUE.note("As built, but no tightening torque is recorded", "record.stage")
    if not kept.measurements.continuity:
        yield NO_CONTINUITY.note("As built, but no continuity check is recorded", "record.stage")
    if not kept.measurements.insulation:
        yield NO_INSULATION.note("As built, but no insulation reading is recorded", "record.stage")
    if not any(tick.by and tick.date for tick in kept.checklist.values()):
        yield NO_SIGNATORY.note("As built, but no point of the checklist says who and when", "record.stage")
    first = build.record.revision in ("A", "0", "1", "01")  # nothing has changed yet
    if build.record.revision not in [one.revision for one in kept.revisions] and (kept.revisions or not first):
        yield HISTORY.note(f"Revision {build.record.revision} is not in the revision history", "record.revision")


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
            yield JOINT.caution(
                f"{joint.title}: {joint.resistance * 1e3:.3f} mΩ, {up(joint.at_peak, 2)} V "
                f"at {load_a(joint.peak or 0.0)} A; a good joint stays under {JOINT_DROP:.1f} V",
                f"measurements.joints.{joint.id}",
            )
    for proof in rows.proofs:
        path = f"measurements.{proof.kind}.{proof.id}"
        if proof.good is False and proof.kind == "insulation":
            yield INSULATION.stop(_asked(proof), path)
        elif proof.good is False and proof.kind == "continuity":
            yield CONTINUITY.stop(f"{proof.title}: failed", path)
        elif proof.good is False:
            yield TORQUE.caution(_asked(proof), path)


def _asked(proof: ProofRow) -> str:
    return sentence("{proof}: {value}, {asked} is asked", proof=proof.title, value=proof.value, asked=proof.asked)


def _sound(subject: Examined) -> Iterator[Diagnostic]:
    for one in subject.recorded.sound:
        path = f"measurements.sound.{one.id}"
        if one.refusal:
            if one.current:
                yield EXPOSURE.note(f"{one.title}: {one.refusal}", path)
            continue
        if one.over_peak and one.peak is not None:
            yield PEAK.caution(f"{one.title}: a peak of {up(one.peak)} dB(C) ({one.peak_basis}), above 140 dB(C)", path)
            continue
        least = min((row.seconds for row in one.permitted if row.seconds is not None and not row.action), default=0.0)
        if one.duration is not None and one.duration > least and one.a_weighted is not None:
            yield TOO_LONG.caution(
                f"{one.title}: {up(one.duration)} s at {up(one.a_weighted)} dB(A), permitted {down(least)} s", path
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
            yield LIMITED.note(
                sentence(
                    "Checklist, {word}: {note}{words}",  # a short place shows the note, which says what is the matter
                    word=word,
                    words=one.words,
                    note=f"{one.note} Asked: " if one.note else "",
                ),
                path,
            )
