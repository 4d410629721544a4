"""What sag costs in sound, and what it would take to get it back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from dossier.acoustics.level import power_ratio
from dossier.assessment.conductors.schedule import conductor_row
from dossier.assessment.options.variants import Variant
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.assessment.sag.full_level_tone import LONG_S, REST_S, SHORT_S, Note, note_programme, play_note, read_note
from dossier.assessment.sag.samples import BATCH, Batch, Play
from dossier.assessment.sag.traces import time_mean
from dossier.buildfile.model import Build, LoadCase, Quantity
from dossier.buildfile.recorded import SoundRun
from dossier.circuit.sampler import InputSampler, nominal
from dossier.equipment.installed import Installed, running
from dossier.frozen import dataclass
from dossier.results.options import Feed, FeedLimit, SoundCost, TargetGap
from dossier.results.overview import Results

STARVED_DB = 0.3  # output below what is asked that counts as starved; under what an ear tells (1 dB, practice)
LEVELS_DB = np.arange(0.0, -15.5, -1.0)
LEAST_GAP_DB = 0.5  # a smaller gap is not worth a bigger amplifier
FED_DB = 0.5  # shortfall against the target output that still counts as fed
LEAST_ALLOWED_A = 1e-3  # stands for a conductor that may carry nothing, as in air above its rating
WITH_BRANCHES = replace(BATCH, detail=True)


def sound_costs(results: Results) -> tuple[SoundCost, ...]:
    """Output and loss of every amplifier that plays, in every load case; equal ones on one line."""
    rows: dict[tuple[str, str, str], list[tuple[str, SoundCost]]] = {}
    for case in results.load_cases:
        for one in case.amplifiers:
            if one.asked_w > 0.0:
                output = "" if one.output_w is None else f"{one.output_w:.0f}"
                cost = SoundCost(case.title, one.title, one.asked_w, one.output_w, one.lost_db)
                rows.setdefault((case.id, f"{one.asked_w:.0f}", output), []).append((one.title, cost))
    return tuple(replace(same[0][1], amplifier=", ".join(title for title, _ in same)) for same in rows.values())


def less_asked(build: Build, fit: Installed, case: LoadCase, draw: InputSampler) -> tuple[Note, float] | None:
    """The note at the highest level (whole dB) at which no amplifier is starved by its supply, and that level.

    The level is found with nominal values: all of them in one batch. None where nothing is starved at the load
    case's own level, or where even the lowest level is.
    """
    run = running(build, case.engine)
    at = 1.0 if case.level is None else case.level.si
    shares = at * 10.0 ** (LEVELS_DB / 10.0)
    tried = _at_levels(build, fit, case, shares)
    kept = tried.kept[tried.index(LONG_S)]
    fine = np.flatnonzero(np.nan_to_num(kept, nan=0.0) >= 10.0 ** (-STARVED_DB / 10.0))
    if not fine.size or fine[0] == 0:
        return None
    level = float(LEVELS_DB[fine[0]])
    quiet = replace(case, level=Quantity(float(shares[fine[0]]), f"{level:.0f} dB", ""))
    return play_note(build, fit, run, quiet, draw), level


def _at_levels(build: Build, fit: Installed, case: LoadCase, shares: np.ndarray) -> Note:
    """The nominal note at several levels, one per sample."""
    level = Quantity(shares, "", "")  # type: ignore[arg-type]  # one level per sample
    return play_note(build, fit, running(build, case.engine), replace(case, level=level), nominal)


@dataclass(frozen=True, slots=True)
class _Goal:
    """A gap to close in a note: ``outputs`` is what is wanted at each length, of rated output."""

    words: str
    gap_db: float
    case: LoadCase
    outputs: Mapping[float, float]


def closing_gaps(
    build: Build, case: LoadCase, ways: Sequence[tuple[Variant, Installed, Note]]
) -> tuple[TargetGap, ...]:
    """Power to close the gap to rated output in the long note, and to the targets of this revision's sound runs."""
    base = ways[0][2]
    goals = []
    lost = _lost_db(base, LONG_S)
    if lost is not None and lost >= LEAST_GAP_DB:
        words = f"what sag takes from a note of {LONG_S:.0f} s"
        goals.append(_Goal(words, lost, case, dict.fromkeys((SHORT_S, LONG_S), 1.0)))
    goals += [goal for goal in _missed(build, ways[0][1]).values() if goal]
    return tuple(_gap(goal, ways) for goal in goals)


def _lost_db(note: Note, seconds: float) -> float | None:
    """Output lost up to a length of the nominal note [dB, positive]; None where it cannot be held."""
    kept = float(note.kept[note.index(seconds), 0])
    return -10.0 * float(np.log10(max(kept, 1e-6))) if np.isfinite(kept) else None


def targets_fed(build: Build, fit: Installed) -> dict[str, Feed]:
    """By sound run that misses its target: whether the build could feed amplifiers enlarged by that."""
    unheld = Feed(FeedLimit.SUPPLY, SHORT_S, "no: as it stands it cannot hold even a short note")
    return {id_: _answer(build, fit, goal) if goal else unheld for id_, goal in _missed(build, fit).items()}


def _missed(build: Build, fit: Installed) -> dict[str, _Goal | None]:
    """Targets that sound runs of this revision miss, by run; None where the amplifiers give nothing."""
    runs = [run for run in build.kept.measurements.sound.values() if _misses(build, run)]
    return {run.id: _to_target(build, fit, run) for run in runs}


def _misses(build: Build, run: SoundRun) -> bool:
    """Whether it is a sound run of this revision that misses a target, in a load case with a tone."""
    return (
        run.target is not None
        and run.target.si - run.level.si >= LEAST_GAP_DB
        and (run.taken.revision or build.record.revision) == build.record.revision
        and run.load_case in build.load_cases
        and build.load_cases[run.load_case].signal.tone is not None
    )


def _to_target(build: Build, fit: Installed, run: SoundRun) -> _Goal | None:
    """What the amplifiers gave in the run, raised by what is missing to its target; None where they gave nothing."""
    assert run.target is not None  # see _misses
    case = build.load_cases[run.load_case]
    gap = run.target.si - run.level.si
    note = play_note(build, fit, running(build, case.engine), case, nominal)
    short, long = _lost_db(note, SHORT_S), _lost_db(note, LONG_S)
    if short is None:
        return None
    words = f"from {run.level.si:.1f} dB in “{run.title}” to its target of {run.target.si:.1f} dB"
    lost = {SHORT_S: short, LONG_S: short if long is None else long}
    outputs = {seconds: 10.0 ** ((gap - db) / 10.0) for seconds, db in lost.items()}
    return _Goal(words, gap, case, outputs)


def _gap(goal: _Goal, ways: Sequence[tuple[Variant, Installed, Note]]) -> TargetGap:
    """Amplifiers enlarged by the gap, asked for the same factor, on every way to go."""
    level = 1.0 if goal.case.level is None else goal.case.level.si
    playing = [a for id_, a in ways[0][1].amplifiers.items() if not goal.case.amplifiers or id_ in goal.case.amplifiers]
    factor = power_ratio(goal.gap_db)
    rated = sum(a.output.nominal for a in playing)
    drawn = float(sum(a.input_at(level, a.rated_at.nominal)[1] / a.rated_at.nominal for a in playing))
    answers = tuple(_answer(variant.build, own, goal) for variant, own, _ in ways)
    feeds = tuple((variant.title, answer.words) for (variant, _, _), answer in zip(ways, answers, strict=True))
    return TargetGap(goal.words, goal.gap_db, rated * factor, drawn * factor, feeds, answers)


def _answer(build: Build, fit: Installed, goal: _Goal) -> Feed:
    """Whether the enlarged amplifiers give the outputs that are wanted at each length, and all conductors carry it."""
    factor, run = power_ratio(goal.gap_db), running(build, goal.case.engine)
    assert goal.case.signal.tone is not None  # see note_case
    programme = note_programme(goal.case.signal.tone.si)
    batch = Play(build, fit, run, goal.case, programme, nominal, WITH_BRANCHES, factor).batch()
    note, short, words = read_note(batch), None, "it collapses or shuts down before"
    for seconds in (SHORT_S, LONG_S):
        kept = float(note.kept[note.index(seconds), 0])
        missing = None if np.isnan(kept) else 10.0 * float(np.log10(goal.outputs[seconds] / max(kept * factor, 1e-9)))
        limit = FeedLimit.SUPPLY if missing is None or missing > FED_DB else FeedLimit.NONE
        found = Feed(limit, seconds, "", missing)
        if limit is FeedLimit.NONE:
            found = _forbidden(build, fit, batch, seconds) or found
        elif missing is not None:
            words = f"{missing:.1f} dB short at"
        if limit is FeedLimit.SUPPLY:
            found = replace(found, words=f"{words} {seconds:.0f} s")
        if found.limit is not FeedLimit.NONE:
            break
        short = found
    if found.limit is FeedLimit.NONE:
        return replace(found, words=f"yes, to {LONG_S:.0f} s")
    if short is not None:
        return replace(found, words=f"for {SHORT_S:.0f} s yes; {found.words}")
    return replace(found, words="no: it cannot hold even a short note" if missing is None else f"no: {found.words}")


def _forbidden(build: Build, fit: Installed, batch: Batch, seconds: float) -> Feed | None:
    """The fuse or conductor that may least carry the note for so long; None where all may."""
    run = batch.transient
    inside = (run.t >= REST_S) & (run.t <= REST_S + seconds)
    t, worst, found = run.t[inside], 1.0, None
    length = f"{seconds:.0f} s"
    for id_ in batch.wired.conductors:
        cycle = run.branch_current(f"cables.{id_}")
        rms = time_mean(t, cycle.rms[inside, 0], t[0], t[-1], rms=True)
        mean = abs(time_mean(t, cycle.mean[inside, 0], t[0], t[-1]))
        carried = ConductorCurrent("", mean, rms, float(np.nanmax(cycle.crest[inside, 0])), seconds, goes_on=False)
        row = conductor_row(build, fit.conductors[id_], (carried,), (carried,))
        for fuse in row.fuses:
            if fuse.needed / fuse.rating > worst:
                worst, amperes = fuse.needed / fuse.rating, rms if fuse.shared else row.rms
                words = f"{amperes:.0f} A for {length} through fuse {fuse.id} of {fuse.rating:.0f} A in {row.title}"
                found = Feed(FeedLimit.FUSE, seconds, words, None, f"{row.id}.{fuse.id}", amperes, fuse.rating)
        load = row.warmth.continuous if row.warmth else row.rms
        beyond = 0.0 if row.allowed is None else load / max(row.allowed, LEAST_ALLOWED_A)
        if row.allowed is not None and beyond > worst:
            worst = beyond
            words = f"{row.rms:.0f} A for {length} in {row.title}, equivalent to {load:.0f} A continuous; it may "
            words += f"carry {row.allowed:.0f} A"
            found = Feed(FeedLimit.CONDUCTOR, seconds, words, None, row.id, row.rms, row.allowed)
    return found
