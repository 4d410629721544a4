"""What sag costs in sound, and what it would take to get it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from dossier.assessment.notes import LONG_S, SHORT_S, Note, play_note
from dossier.assessment.variants import Variant
from dossier.buildfile.model import Build, LoadCase, Quantity
from dossier.circuit.draw import Draw, nominal
from dossier.equipment.fitted import Fitted, running
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


def closing_gaps(build: Build, case: LoadCase, ways: Sequence[tuple[Variant, Fitted, Note]]) -> tuple[TargetGap, ...]:
    """Power to close the gap to rated output in the long note, and to the build file's target if it states one."""
    base = ways[0][2]
    gaps = []
    kept = float(base.kept[base.index(LONG_S), 0])
    if np.isfinite(kept) and -10.0 * np.log10(max(kept, 1e-6)) >= LEAST_GAP_DB:
        lost = -10.0 * float(np.log10(max(kept, 1e-6)))
        gaps.append((f"what sag takes from a note of {LONG_S:.0f} s", lost, 0.0))
    wanted = getattr(build, "target_gain", None)
    if wanted is not None:
        gaps.append((f"{wanted:.1f} dB above rated output", wanted, wanted))
    return tuple(_gap(build, case, ways, words, gap, above) for words, gap, above in gaps)


def _gap(
    build: Build, case: LoadCase, ways: Sequence[tuple[Variant, Fitted, Note]], words: str, gap: float, above: float
) -> TargetGap:
    """Amplifiers enlarged by the gap, asked for the same factor, on every way to go."""
    fit = ways[0][1]
    factor = 10.0 ** (gap / 10.0)
    goal = 10.0 ** (above / 10.0)  # of rated output
    rated = sum(a.output.nominal for a in fit.amplifiers.values())
    drawn = sum(
        a.output.nominal * factor / a.efficiency.nominal / a.rated_at.nominal for a in fit.amplifiers.values()
    )
    feeds = []
    for variant, own, _ in ways:
        run = running(variant.build, case.engine)
        note = play_note(variant.build, own, run, case, nominal, scale=factor)
        feeds.append((variant.title, _fed(note, factor, goal)))
    return TargetGap(words, gap, rated * factor, drawn, tuple(feeds))


def _fed(note: Note, factor: float, goal: float) -> str:
    shortfall = {}
    for seconds in (SHORT_S, LONG_S):
        kept = float(note.kept[note.index(seconds), 0])
        shortfall[seconds] = np.inf if np.isnan(kept) else 10.0 * np.log10(goal / max(kept * factor, 1e-9))
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
