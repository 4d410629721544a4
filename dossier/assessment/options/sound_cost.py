"""What sag costs in sound, and what it would take to get it back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from dossier.acoustics.level import power_ratio
from dossier.assessment.options.variants import Variant
from dossier.assessment.sag.full_level_tone import LONG_S, SHORT_S, Note, play_note
from dossier.buildfile.model import Build, LoadCase, Quantity
from dossier.buildfile.recorded import SoundRun
from dossier.circuit.draw import Draw, nominal
from dossier.equipment.fitted import Fitted, running
from dossier.frozen import dataclass
from dossier.results.options import SoundCost, TargetGap
from dossier.results.overview import Results

STARVED_DB = 0.3  # output below what is asked that counts as starved; under what an ear tells (1 dB, practice)
LEVELS_DB = np.arange(0.0, -15.5, -1.0)
LEAST_GAP_DB = 0.5  # a smaller gap is not worth a bigger amplifier
FED_DB = 0.5  # shortfall against the target output that still counts as fed


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


def less_asked(build: Build, fit: Fitted, case: LoadCase, draw: Draw) -> tuple[Note, float] | None:
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


def _at_levels(build: Build, fit: Fitted, case: LoadCase, shares: np.ndarray) -> Note:
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


def closing_gaps(build: Build, case: LoadCase, ways: Sequence[tuple[Variant, Fitted, Note]]) -> tuple[TargetGap, ...]:
    """Power to close the gap to rated output in the long note, and to the targets of this revision's sound runs."""
    base = ways[0][2]
    goals = []
    lost = _lost_db(base, LONG_S)
    if lost is not None and lost >= LEAST_GAP_DB:
        words = f"what sag takes from a note of {LONG_S:.0f} s"
        goals.append(_Goal(words, lost, case, dict.fromkeys((SHORT_S, LONG_S), 1.0)))
    goals += _missed(build, ways[0][1]).values()
    return tuple(_gap(goal, ways) for goal in goals)


def _lost_db(note: Note, seconds: float) -> float | None:
    """Output lost up to a length of the nominal note [dB, positive]; None where it cannot be held."""
    kept = float(note.kept[note.index(seconds), 0])
    return -10.0 * float(np.log10(max(kept, 1e-6))) if np.isfinite(kept) else None


def targets_fed(build: Build, fit: Fitted) -> dict[str, str]:
    """By sound run that misses its target: whether the build could feed amplifiers enlarged by that, in words."""
    return {id_: _answer(build, fit, goal) for id_, goal in _missed(build, fit).items()}


def _missed(build: Build, fit: Fitted) -> dict[str, _Goal]:
    """Targets that sound runs of this revision miss, by run."""
    runs = [run for run in build.kept.measurements.sound.values() if _misses(build, run)]
    goals = {run.id: _to_target(build, fit, run) for run in runs}
    return {id_: goal for id_, goal in goals.items() if goal is not None}


def _misses(build: Build, run: SoundRun) -> bool:
    """Whether it is a sound run of this revision that misses a target, in a load case with a tone."""
    return (
        run.target is not None
        and run.target.si - run.level.si >= LEAST_GAP_DB
        and (run.taken.revision or build.record.revision) == build.record.revision
        and run.load_case in build.load_cases
        and build.load_cases[run.load_case].signal.tone is not None
    )


def _to_target(build: Build, fit: Fitted, run: SoundRun) -> _Goal | None:
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


def _gap(goal: _Goal, ways: Sequence[tuple[Variant, Fitted, Note]]) -> TargetGap:
    """Amplifiers enlarged by the gap, asked for the same factor, on every way to go."""
    fit = ways[0][1]
    factor = power_ratio(goal.gap_db)
    rated = sum(a.output.nominal for a in fit.amplifiers.values())
    drawn = sum(
        a.output.nominal * factor / a.efficiency.nominal / a.rated_at.nominal for a in fit.amplifiers.values()
    )
    feeds = tuple((variant.title, _answer(variant.build, own, goal)) for variant, own, _ in ways)
    return TargetGap(goal.words, goal.gap_db, rated * factor, drawn, feeds)


def _answer(build: Build, fit: Fitted, goal: _Goal) -> str:
    """Whether the enlarged amplifiers give the outputs that are wanted at each length."""
    factor = power_ratio(goal.gap_db)
    note = play_note(build, fit, running(build, goal.case.engine), goal.case, nominal, scale=factor)
    shortfall = {}
    for seconds in (SHORT_S, LONG_S):
        kept = float(note.kept[note.index(seconds), 0])
        wanted = goal.outputs[seconds] / max(kept * factor, 1e-9)
        shortfall[seconds] = np.inf if np.isnan(kept) else 10.0 * np.log10(wanted)
    if np.isinf(shortfall[SHORT_S]):
        return "no: it cannot hold even a short note"
    if shortfall[LONG_S] <= FED_DB:
        return f"yes, to {LONG_S:.0f} s"
    end = (
        "it collapses or shuts down before" if np.isinf(shortfall[LONG_S]) else f"{shortfall[LONG_S]:.1f} dB short at"
    )
    if shortfall[SHORT_S] <= FED_DB:
        return f"for {SHORT_S:.0f} s yes; {end} {LONG_S:.0f} s"
    return f"no: {shortfall[SHORT_S]:.1f} dB short at {SHORT_S:.0f} s; {end} {LONG_S:.0f} s"
