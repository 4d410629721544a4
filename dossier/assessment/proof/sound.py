"""Sound-level runs: the gap to the target, and what the level means for the ear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from dossier.acoustics.exposure import Peak, WeightingUnknownError, a_weighted, exceeded
from dossier.acoustics.level import SINE_CREST, power_ratio
from dossier.assessment.proof.measurements import origin_of
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import SoundRun
from dossier.reference.exposure import EU_LIMIT, EU_LOWER, EU_UPPER, NIOSH, OSHA
from dossier.results.options import Feed
from dossier.results.recorded import Ceiling, Heard, Origin, PeakBasis, PermittedRow, SoundRow
from dossier.results.sag import LoadCaseResult

JUDGED_BY: Final = (NIOSH, OSHA, EU_LOWER, EU_UPPER, EU_LIMIT)


def sound(build: Build, cases: Sequence[LoadCaseResult], fed: Mapping[str, Feed]) -> tuple[SoundRow, ...]:
    """Sound-level runs: gap to the target, what it takes in power, permitted exposure; ``fed`` by run."""
    by_id = {case.id: case for case in cases}
    return tuple(_sound(build, one, by_id, fed.get(one.id)) for one in build.kept.measurements.sound.values())


def _sound(build: Build, one: SoundRun, cases: Mapping[str, LoadCaseResult], fed: Feed | None) -> SoundRow:
    origin = origin_of(build, one.taken)
    case = cases.get(one.load_case)
    current = origin.revision == build.record.revision
    predicted = one.predicted_voltage.si if one.predicted_voltage else None
    power = None
    if case is not None and current:
        lows = [a.mean_minimum.volts for a in case.amplifiers]
        predicted = None if None in lows else min(low for low in lows if low is not None)
        outputs = [a.output_w for a in case.amplifiers]
        power = None if None in outputs else sum(watts for watts in outputs if watts is not None)
    gap = one.target.si - one.level.si if one.target else None
    ratio = None if gap is None else power_ratio(gap)
    played = build.load_cases.get(one.load_case)
    signal = Heard.MUSIC if played is not None and played.signal.kind == "music" else Heard.TONE
    refusal = _refused(one, origin, signal, current=current)
    heard, peak, permitted = None, None, tuple[PermittedRow, ...]()
    if not refusal:
        try:
            if one.detector != "peak":
                heard = a_weighted(one.level.si, one.weighting or None, one.frequency.si if one.frequency else None)
            peak = _peak(one, signal)
            permitted = tuple(_permitted(heard, peak))
        except WeightingUnknownError as unknown:
            refusal = str(unknown)
    return SoundRow(
        id=one.id,
        title=one.title,
        position=one.position,
        level=one.level.si,
        weighting=one.weighting,
        detector=one.detector,
        frequency=one.frequency.si if one.frequency else None,
        duration=one.duration.si if one.duration else None,
        volts=one.supply_voltage.si if one.supply_voltage else None,
        predicted_volts=predicted,
        target=one.target.si if one.target else None,
        gap=gap,
        power_ratio=ratio,
        power_now=power,
        power_needed=None if power is None or ratio is None else power * ratio,
        fed=fed.words if fed else "",
        feed=fed,
        a_weighted=heard,
        permitted=permitted,
        refusal=refusal,
        origin=origin,
        peak=peak.weighted("C") if peak else None,
        peak_basis=peak.basis if peak else None,
        current=current,
        signal=signal,
        entered_in=one.entered_in,
    )


def _refused(one: SoundRun, origin: Origin, signal: Heard, *, current: bool) -> str:
    """Why the level of a run is not judged; empty where it is."""
    if not current:
        return f"taken on revision {origin.revision}, which is superseded"
    if origin.kind == "phone":
        return "a phone gives no level that may be judged"
    if origin.kind != "sound_level_meter":
        return "not taken with a sound level meter"
    if one.frequency is None:
        return "the frequency of the run is not recorded"
    if one.detector == "peak" and not _tells_enough(one):
        return "a peak reading is no level to take an exposure from"
    if one.detector != "peak" and signal is Heard.MUSIC and one.weighting != "A":
        return "music is judged by a level in dB(A): no one frequency converts it"
    return ""


def _tells_enough(one: SoundRun) -> bool:
    """Whether a reading of the peak alone leaves no time, whatever the level was."""
    peak = _peak(one, Heard.TONE) if one.weighting else None
    above = peak.weighted("C") if peak else None
    return above is not None and EU_LIMIT.peak is not None and above > EU_LIMIT.peak


def _peak(one: SoundRun, signal: Heard) -> Peak | None:
    """The peak of a run as it was read, or that of a tone by its level; None for the level of music."""
    frequency = one.frequency.si if one.frequency else None
    if one.detector == "peak":
        return Peak(one.level.si, one.weighting, PeakBasis.READ, frequency=frequency)
    if signal is Heard.MUSIC:
        return None
    return Peak(one.level.si + SINE_CREST, one.weighting, PeakBasis.TONE, frequency=frequency)


def _permitted(heard: float | None, peak: Peak | None) -> list[PermittedRow]:
    """A row by criterion; ``heard`` is None where only the peak was read, ``peak`` where it is not known."""
    rows = []
    for by in JUDGED_BY:
        over = exceeded(heard or 0.0, peak, by)
        none = heard is None or over is not Ceiling.NONE
        rows.append(
            PermittedRow(
                criterion=by.title,
                seconds=None if none else by.seconds(heard or 0.0),
                source=f"{by.source.document}, {by.source.locator}",
                exceeds=over,
                level=by.ceiling,
                peak=by.peak,
                peak_weighting=by.peak_weighting,
                action=by.action,
                at_ear=by is EU_LIMIT,
            )
        )
    return rows
