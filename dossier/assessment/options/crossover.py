"""Where one option overtakes another as the note gets longer, sample by sample."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np

from dossier.assessment.sag.full_level_tone import LENGTHS, Note
from dossier.assessment.sag.samples import TAIL, Values
from dossier.results.options import Crossover

TOLD_APART_V = 0.05  # half of what is printed; closer curves are not called different
RARE = 0.25  # share of samples with a crossing below which its length is not stated


def crossovers(notes: Mapping[str, Note], ids: Sequence[str]) -> tuple[Crossover, ...]:
    """Every pair of options whose order changes with note length, nominally or in a fair share of the samples."""
    found = []
    for a, b in combinations(ids, 2):
        for statistic in ("mean", "trough"):
            first, second = getattr(notes[a], statistic), getattr(notes[b], statistic)
            made = _crossover(a, b, statistic, first, second)
            if made is not None:
                found.append(made)
    return tuple(found)


def _crossover(a: str, b: str, statistic: str, va: Values, vb: Values) -> Crossover | None:
    """``va``, ``vb``: (L, B), NaN where it cannot be held."""
    ab, ba = overtaken(va, vb), overtaken(vb, va)
    if np.isfinite(ab[0]) or (np.isnan(ba[0]) and np.isfinite(ab[1:]).sum() > np.isfinite(ba[1:]).sum()):
        early, late, at, ve, vl = a, b, ab, va, vb
    else:
        early, late, at, ve, vl = b, a, ba, vb, va
    nominal = None if np.isnan(at[0]) else float(at[0])
    known = at[1:][np.isfinite(at[1:])]
    if at.size == 1:
        return None if nominal is None else Crossover(early, late, statistic, nominal)
    share = known.size / (at.size - 1)
    if nominal is None and share < RARE:
        return None
    ahead = _difference(ve[:, 1:], vl[:, 1:])
    low, high = (float(np.quantile(known, p)) for p in (TAIL, 1.0 - TAIL)) if share >= RARE else (None, None)
    return Crossover(
        early,
        late,
        statistic,
        nominal,
        low,
        high,
        share,
        float(np.mean((ahead >= 0.0).all(0))),
        float(np.mean((ahead <= 0.0).all(0))),
    )


def overtaken(early: Values, late: Values) -> Values:
    """Note length [s] from which ``late`` stays ahead after ``early`` was, per sample; NaN where it never happens.

    A lead counts from ``TOLD_APART_V`` on; the instant itself is where the difference passes through nought.
    """
    ahead = _difference(early, late)  # (L, B), positive while early leads
    result = np.full(ahead.shape[1], np.nan)
    for k in range(ahead.shape[1]):
        d = ahead[:, k]
        leads, trails = np.flatnonzero(d > TOLD_APART_V), np.flatnonzero(d < -TOLD_APART_V)
        if not leads.size or not trails.size or trails[-1] < leads[-1]:
            continue
        after = trails[trails > leads[-1]][0]
        below = leads[-1] + 1 + int(np.argmax(d[leads[-1] + 1 : after + 1] < 0.0))
        a, b = d[below - 1], d[below]
        if not np.isfinite(a) or not np.isfinite(b):
            result[k] = LENGTHS[below]
            continue
        share = a / (a - b) if a > b else 1.0
        result[k] = LENGTHS[below - 1] * (LENGTHS[below] / LENGTHS[below - 1]) ** share
    return result


def _difference(a: Values, b: Values) -> Values:
    """The difference a - b, where what cannot be held lies below every voltage and two of them are equal."""
    lost_a, lost_b = np.isnan(a), np.isnan(b)
    with np.errstate(invalid="ignore"):
        difference: Values = np.where(lost_a & lost_b, 0.0, np.where(lost_a, -np.inf, np.where(lost_b, np.inf, a - b)))
    return difference
