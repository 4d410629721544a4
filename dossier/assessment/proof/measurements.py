"""Measurements against predictions: readings, joints, proofs, sound-level runs, and revisions side by side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import sqrt
from typing import Final

from dossier.assessment.proof.figures_read import Figure, figures
from dossier.assessment.proof.readings_told import NO_WORDS, Word, Words
from dossier.assessment.proof.ripple_readings import is_explained
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import MeterReading, Taken
from dossier.reader.said import sentence
from dossier.reference.instruments import INSULATION_LEAST, SEES, TORQUE_BAND, WORDS
from dossier.results.recorded import BesideEntry, BesideRow, JointRow, Origin, ProofRow, ReadingRow, SoundRow
from dossier.results.sag import AmplifierSag, Band, LoadCaseResult
from dossier.results.schedule import ConductorRow

_SHOWS: Final = {
    "mean": "mean",
    "minimum_100ms": "100 ms minimum",
    "trough": "trough",
    "ripple_rms": "ripple, rms",
    "output_rms": "output, rms",
}
_MOMENTS: Final = {
    "rest": "before the sound",
    "playing": "while it plays",
    "end": "at its end",
    "mean": "mean while it plays",
}


def origin_of(build: Build, taken: Taken) -> Origin:
    """Where a measurement comes from, in words."""
    instrument = build.kept.instruments.get(taken.instrument)
    person = build.kept.people.get(taken.by)
    return Origin(
        instrument=instrument.title if instrument else "",
        kind=instrument.kind if instrument else "",
        sees=WORDS[instrument.kind] if instrument else "",
        date=taken.date,
        place=taken.place,
        by=person.name if person else "",
        revision=taken.revision or build.record.revision,
        note=taken.note,
    )


def readings(build: Build, cases: Sequence[LoadCaseResult], words: Words = NO_WORDS) -> tuple[ReadingRow, ...]:
    """Meter readings beside their predictions, with what became of each where samples were played."""
    by_id = {case.id: case for case in cases}
    return tuple(
        _reading(build, figure, figure.source, by_id.get(figure.case), words.get(figure.key))
        for figure in figures(build)
        if isinstance(figure.source, MeterReading)
    )


def _reading(
    build: Build, figure: Figure, one: MeterReading, case: LoadCaseResult | None, word: Word | None
) -> ReadingRow:
    unit, value = figure.unit, figure.value
    origin = origin_of(build, one.taken)
    seen = one.shows in SEES.get(origin.kind, frozenset())
    present = origin.revision == build.record.revision
    computed, band, why = (None, None, "")
    if present and case is not None:
        computed, band, why = _prediction(one, unit, case)
        if is_explained(build, one):
            computed, why = None, "not compared: the ripple fraction is worked out from it"
    elif not present:
        computed = one.predicted.si if one.predicted and unit == "V" else None
        why = "" if computed is not None else f"no prediction recorded for revision {origin.revision}"
    else:
        why = "no load case named, so nothing to compare with"
    if not seen:
        computed, why = None, f"this instrument shows {origin.sees}; not compared"
    if word is not None and word.nominal is not None and (computed is None or _by_samples(one)):
        computed, why = word.nominal, ""
    inside = None
    band = word.band if word is not None and word.band is not None else band
    if band is not None and band.low is not None and band.high is not None and computed is not None:
        inside = band.low <= value <= band.high
        why = why or ("inside the predicted band" if inside else "outside the predicted band")
    if word is not None:
        why = "; ".join(part for part in (why, word.use.value, word.why if word.why not in why else "") if part)
    place = build.amplifiers[one.amplifier].title if one.amplifier in build.amplifiers else ""
    if not place and one.at in build.locations:
        place = build.locations[one.at].title
    if one.cable in build.cables:
        place = build.cables[one.cable].title
    return ReadingRow(
        id=one.id,
        title=one.title,
        where=place,
        case=f"{case.title}, {_MOMENTS[one.moment]}" if case else "",
        shows=_SHOWS[one.shows],
        unit=unit,
        value=value,
        predicted=computed,
        difference=None if computed is None else value - computed,
        visible=seen,
        inside_band=inside,
        remark=why,
        origin=origin,
        predicted_low=None if band is None else band.low,
        predicted_high=None if band is None else band.high,
        use=None if word is None else word.use,
    )


def _by_samples(one: MeterReading) -> bool:
    """Whether only a played batch says what it would show."""
    return bool(one.cable) or one.moment in ("end", "mean") or one.shows == "output_rms"


def _prediction(one: MeterReading, unit: str, case: LoadCaseResult) -> tuple[float | None, Band | None, str]:
    """What the meter should show, the band around it, and why there is nothing to say."""
    if _by_samples(one):
        return None, None, "predicted where samples are played"
    amplifier = next((a for a in case.amplifiers if a.id == one.amplifier), None)
    if unit == "A":
        if amplifier is None or one.shows != "mean" or one.moment == "rest":
            return None, None, "only the mean input current of an amplifier is predicted"
        return (amplifier.input_a_mean, None, "" if amplifier.input_a_mean is not None else "a collapse is predicted")
    if amplifier is not None:
        if one.moment == "rest" and one.shows != "ripple_rms":
            return amplifier.rest, None, ""
        return _amplifier(one.shows, amplifier)
    location = next((place for place in case.locations if place.id == one.at), None)
    if location is None or one.shows != "mean":
        return None, None, "only the mean is predicted here"
    if one.moment == "rest":
        return location.rest, None, ""
    volts = location.mean_minimum.volts
    return volts, None, "" if volts is not None else "a collapse is predicted"


def _amplifier(shows: str, one: AmplifierSag) -> tuple[float | None, Band | None, str]:
    trough, mean = one.trough_minimum, one.mean_minimum
    if shows == "ripple_rms":  # of a sine: (mean - trough) / sqrt 2
        if trough is None or trough.volts is None or mean.volts is None:
            return None, None, "no ripple is predicted for this load case"
        return (mean.volts - trough.volts) / sqrt(2.0), None, ""
    reading = {"mean": mean, "minimum_100ms": one.minimum_100ms, "trough": trough}[shows]
    if reading is None:
        return None, None, "no trough is predicted for this load case"
    return reading.volts, reading.band, "" if reading.volts is not None else "a collapse is predicted"


def joints(build: Build, schedule: Iterable[ConductorRow], words: Words = NO_WORDS) -> tuple[JointRow, ...]:
    """Resistances of joints, fuses and cables, what they lose at the largest computed current, what became of each."""
    peaks = {row.id: row.peak for row in schedule}
    rows: list[JointRow] = []
    for one in build.kept.measurements.joints.values():
        ohms = one.drop.si / one.current.si
        peak = peaks.get(one.cable)
        title = build.cables[one.cable].title if one.cable in build.cables else ""
        word = words.get((f"measurements.joints.{one.id}", "ohm"))
        band = None if word is None else word.band
        rows.append(
            JointRow(
                id=one.id,
                title=one.title,
                cable=title,
                drop=one.drop.si,
                current=one.current.si,
                resistance=ohms,
                peak=peak,
                at_peak=None if peak is None else ohms * peak,
                origin=origin_of(build, one.taken),
                predicted=None if word is None else word.nominal,
                predicted_low=None if band is None else band.low,
                predicted_high=None if band is None else band.high,
                use=None if word is None else word.use,
                remark="" if word is None else "; ".join(part for part in (word.use.value, word.why) if part),
            )
        )
    return tuple(rows)


def proofs(build: Build) -> tuple[ProofRow, ...]:
    """Insulation, continuity and torque."""
    measured = build.kept.measurements
    rows = [
        ProofRow(
            one.id,
            "insulation",
            one.title,
            one.resistance.text,
            "over 1 MΩ",
            one.resistance.si > INSULATION_LEAST,
            origin_of(build, one.taken),
        )
        for one in measured.insulation.values()
    ]
    rows += [
        ProofRow(
            one.id,
            "continuity",
            one.title,
            one.resistance.text if one.resistance else one.state,
            "",
            one.state == "pass",
            origin_of(build, one.taken),
        )
        for one in measured.continuity.values()
    ]
    for turned in measured.torque.values():
        good = None
        if turned.asked is not None:
            good = abs(turned.torque.si - turned.asked.si) <= TORQUE_BAND * turned.asked.si + 1e-9
        asked = turned.asked.said() if turned.asked else ""
        words = turned.torque.said()
        if turned.marked:
            words = sentence("{torque}, marked", torque=words)
        rows.append(ProofRow(turned.id, "torque", turned.title, words, asked, good, origin_of(build, turned.taken)))
    return tuple(rows)


def beside(build: Build, rows: Sequence[ReadingRow], runs: Sequence[SoundRow]) -> tuple[BesideRow, ...]:
    """What was measured on more than one revision, side by side."""
    order = [one.revision for one in build.kept.revisions]
    if build.record.revision not in order:
        order.append(build.record.revision)
    found: dict[tuple[str, str], list[BesideEntry]] = {}
    for row in rows:
        reading = build.kept.measurements.readings[row.id]
        case = build.load_cases[reading.load_case].title if reading.load_case in build.load_cases else ""
        what = ", ".join(part for part in (row.where, row.shows, case and row.case) if part)
        entry = BesideEntry(row.origin.revision, row.value, row.predicted, row.origin.date)
        found.setdefault((what, row.unit), []).append(entry)
    for run in runs:
        tone = f"{run.frequency:.0f} Hz" if run.frequency else ""
        weight = f"dB({run.weighting})" if run.weighting else "dB, weighting not recorded"
        what = ", ".join(part for part in ("Sound level", run.position, tone, weight) if part)
        found.setdefault((what, "dB"), []).append(BesideEntry(run.origin.revision, run.level, None, run.origin.date))
        if run.volts is not None:
            volts = BesideEntry(run.origin.revision, run.volts, run.predicted_volts, run.origin.date)
            found.setdefault((f"Supply voltage of the run, {run.position}", "V"), []).append(volts)
    return tuple(
        BesideRow(
            what,
            unit,
            tuple(sorted(entries, key=lambda one: order.index(one.revision) if one.revision in order else -1)),
        )
        for (what, unit), entries in found.items()
        if len({one.revision for one in entries}) > 1
    )
