"""One note at full level, ever longer: what the worst amplifier has at its end, sample by sample."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.sag.samples import Batch, Play, Told, Values, at_times, band_of
from dossier.buildfile.model import Build, Engine, LoadCase, Quantity, Signal
from dossier.circuit.elements import Amplifier
from dossier.circuit.programme import EDGE_S, Programme, polyline
from dossier.circuit.sampler import InputSampler
from dossier.equipment.installed import Installed, Running
from dossier.frozen import dataclass
from dossier.results.sag import Band, Reading

REST_S = 0.1  # s before the note; the network starts settled
SHORT_S, LONG_S = 1.0, 20.0
AT_REST = 1e6  # share of the output kept while nothing is asked: above every real one
# Where the curve of voltage against note length is read; close enough for straight lines between them.
LENGTHS = np.unique(np.concatenate([np.geomspace(0.1, LONG_S, 45), [0.4, SHORT_S, 2.0, 5.0, 10.0, LONG_S]]))
DEFAULT_TONE_HZ = 40.0  # where the build file plays no tone: a common bass note, assumption


@dataclass(frozen=True, slots=True)
class Note:
    """A note played to ``LONG_S``; sample 0 is nominal. Arrays (L, B) on ``LENGTHS``.

    Attributes:
        mean, trough: at that instant, at the worst amplifier [V]; NaN once the sample cannot hold it.
        lowest: the lowest mean up to then [V]; NaN likewise.
        kept: lowest output over asked output of any playing amplifier up to then; NaN likewise.
        fails: (B,) s of note it could hold, inf if all of it.
        worst: id of the nominally worst amplifier at the end.
        inputs: (B - 1, K) draws of the samples.
    """

    mean: Values
    trough: Values
    lowest: Values
    kept: Values
    fails: Values
    worst: str
    inputs: Values

    def index(self, seconds: float) -> int:
        """Row of one length."""
        return int(np.argmin(np.abs(LENGTHS - seconds)))


def note_case(build: Build) -> LoadCase:
    """The load case whose engine, tone, level and drive the note takes: the one with the longest tone."""
    tones = [c for c in build.load_cases.values() if c.signal.tone is not None]
    if not tones:
        hz = Quantity(DEFAULT_TONE_HZ, f"{DEFAULT_TONE_HZ:g} Hz", "")
        signal = Signal(tone=hz, duration=Quantity(LONG_S, f"{LONG_S:g} s", ""))
        engine = Engine("cruise", None)
        return LoadCase(id="note", title="Note", engine=engine, signal=signal, level=None, amplifiers=())
    return max(tones, key=lambda c: (c.signal.kind == "tone", c.signal.duration.si))


def note_programme(hz: float) -> Programme:
    """Rest, then a note of ``LONG_S`` at full level; its read-out lengths are vertices where it matters."""
    points = [(0.0, 0.0), (REST_S, 0.0), (REST_S + EDGE_S, 1.0)]
    points += [(REST_S + s, 1.0) for s in (0.1, 0.4, SHORT_S, 2.0, 5.0, 10.0, LONG_S)]
    points += [(REST_S + LONG_S + EDGE_S, 0.0), (REST_S + LONG_S + 2 * EDGE_S, 0.0)]
    return polyline(points, hz)


def play_note(
    build: Build, fit: Installed, run: Running, case: LoadCase, draw: InputSampler, scale: float | Values = 1.0
) -> Note:
    """Play the note with ``draw``; ``scale`` enlarges every amplifier."""
    assert case.signal.tone is not None  # see note_case
    programme = note_programme(case.signal.tone.si)
    return read_note(Play(build, fit, run, case, programme, draw, scale=scale).batch())


def ask_note(build: Build, fit: Installed, run: Running, case: LoadCase, draw: InputSampler) -> None:
    """Have ``play_note`` of the same played ahead."""
    assert case.signal.tone is not None  # see note_case
    Play(build, fit, run, case, note_programme(case.signal.tone.si), draw).ask()


def read_note(batch: Batch) -> Note:
    """What a batch says about the note."""
    run = batch.transient
    mean, trough, which = batch.worst()
    inside = (run.t >= REST_S) & (run.t <= REST_S + LONG_S + 1e-9)
    t = run.t[inside] - REST_S
    fails = np.where(np.isfinite(batch.fails), np.maximum(batch.fails - REST_S, 0.0), np.inf)
    dead = LENGTHS[:, None] >= fails[None, :]

    def then(values: Values) -> Values:
        if t.size < 2:  # no sample holds for a single step
            return np.full(dead.shape, np.nan)
        return np.where(dead, np.nan, at_times(t, values, LENGTHS))

    def lowest(values: Values) -> Values:
        return then(np.minimum.accumulate(values, axis=0))

    shares = [_kept(batch, id_) for id_ in batch.asks]
    loud = t >= 2.0 * EDGE_S
    kept = np.where(loud[:, None], np.stack(shares).min(0)[inside], AT_REST)
    worst = batch.asks[int(which[0])]
    volts = mean[inside]
    return Note(then(volts), then(trough[inside]), lowest(volts), lowest(kept), fails, worst, batch.inputs)


def as_told(note: Note, told: Told | None) -> Note:
    """The note as readings tell it of the samples."""
    if told is None:
        return note
    only = np.concatenate([[True], told.kept])
    return replace(
        note,
        mean=told.beside_nominal(note.mean),
        trough=told.beside_nominal(note.trough),
        lowest=told.beside_nominal(note.lowest),
        kept=note.kept[:, only],
        fails=note.fails[only],
        inputs=note.inputs[told.kept],
    )


def _kept(batch: Batch, id_: str) -> Values:
    """Output over asked output (T, B) while at full level."""
    run = batch.transient
    amplifier = next(e for e in batch.wired.network.elements if e.id == f"amplifiers.{id_}")
    assert isinstance(amplifier, Amplifier)
    asked = np.asarray(amplifier.ask_w, dtype=np.float64) * (2.0 if amplifier.clipped else 1.0)
    output: Values = run.output[:, :, run.amplifiers.index(f"amplifiers.{id_}")]
    return output / np.maximum(asked, 1e-9)


def reading(values: Values, length: float, inputs: Values) -> Reading:
    """One row of samples (B,) as a reading: sample 0, with the band of the others if there are any."""
    volts = None if np.isnan(values[0]) else float(values[0])
    if values.size == 1:
        return Reading(volts, length)
    return Reading(volts, length, with_nominal(band_of(values[1:], np.isnan(values[1:]), inputs), volts))


def with_nominal(band: Band, volts: float | None) -> Band:
    """The band, never leaving out the nominal value itself."""
    if volts is None:
        return band
    low = None if band.low is None else min(band.low, volts)
    high = None if band.high is None else max(band.high, volts)
    return Band(low, high, band.collapse_share)


def gain_band(values: Values, base: Values, inputs: Values) -> Band | None:
    """Band of the sample-by-sample difference (B,) where both hold; None where fewer than half do."""
    difference: NDArray[np.float64] = values[1:] - base[1:]
    known = ~np.isnan(difference)
    if known.sum() < 0.5 * len(known) or not known.any():
        return None
    return band_of(difference[known], np.zeros(int(known.sum()), dtype=bool), inputs[known])
