"""A piece of bass-heavy music as a power envelope: the same for every build, only its crest factor is chosen.

Notes of 0.2 to 0.8 s with attack, hold and decay, gaps between them, phrases of five to nine seconds. No recording
stands behind it: it is made up (common practice, no source; there is no standard programme). The numbers come from a
generator of our own and the levels are rounded, so that no library can change them:
x' = 6364136223846793005 x + 1442695040888963407 mod 2^64, the upper 32 bits used
(Knuth's MMIX multiplier; not checked against the document; any full-period constants would do).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from dossier.circuit.elements import Array
from dossier.frozen import dataclass

STEP_S = 0.04  # s between the vertices of the envelope; shorter ones move no reading by 10 mV and cost time
STRAIGHT = 0.004  # of full level: a vertex that a straight line misses by less is left out; moves no voltage by 1 mV
SEED = 20
FLOOR = 0.004  # level between notes
ATTACK_STEPS = 1
CREST_OF_SINE_DB = 3.01  # of a full sine; 12 dB then is 1/8 of its power in the mean, 9 dB 1/4 (trade convention)
LEAST_CREST_DB, MOST_CREST_DB = 4.0, 15.0
DECIMALS = 6  # of a level
FULL = 0.999  # a level counts as full from here on


@dataclass(frozen=True, slots=True)
class Statistics:
    """What the envelope amounts to; levels are power relative to full sine power."""

    crest_factor_db: float  # asked for
    mean: float  # mean level
    rms: float  # root mean square of the level
    peak: float  # highest level
    at_full: float  # share of the time at full level
    longest_full_s: float  # longest stretch at full level [s]


@dataclass(frozen=True, slots=True)
class Piece:
    """An envelope: levels 0..1 at times [s], straight lines between, silent at both ends."""

    times: Array
    levels: Array
    statistics: Statistics


def mean_level(crest_factor_db: float) -> float:
    """Mean power relative to full sine power for a crest factor [dB]."""
    return float(10.0 ** (-(crest_factor_db - CREST_OF_SINE_DB) / 10.0))


@lru_cache(maxsize=16)
def envelope(crest_factor_db: float, duration: float) -> Piece:
    """The piece, ``duration`` s long, with the mean power that belongs to the crest factor [dB].

    More crest than the piece has by itself: every level raised to a power, so that peaks stay full. Less: amplified
    and clipped at full level, as a limiter does.

    Raises:
        ValueError: crest factor outside 4 to 15 dB, or a duration under 2 s.
    """
    if not LEAST_CREST_DB <= crest_factor_db <= MOST_CREST_DB:
        raise ValueError(f"music with a crest factor of {crest_factor_db:g} dB; 4 to 15 dB can be played")
    if duration < 2.0:
        raise ValueError("music must last 2 s at least")
    count = round(duration / STEP_S) + 1
    shape = _shape(count)
    target = mean_level(crest_factor_db)

    def played(dose: float) -> Array:
        levels = np.minimum(shape * (1.0 + dose), 1.0) if dose > 0.0 else shape ** (1.0 - dose)
        levels[[0, -1]] = 0.0
        return levels

    low, high = -20.0, 1000.0
    for _ in range(60):
        dose = 0.5 * (low + high)
        if _mean(played(dose)) < target:
            low = dose
        else:
            high = dose
    levels = np.round(played(0.5 * (low + high)), DECIMALS)
    kept = _needed(levels)
    times, levels = kept * np.float64(STEP_S), levels[kept]
    times.setflags(write=False)
    levels.setflags(write=False)
    return Piece(times, levels, _statistics(crest_factor_db, times, levels))


def _shape(count: int) -> Array:
    """The piece before scaling, loudest level 1."""
    numbers = _numbers()
    level = np.full(count, FLOOR)
    at, phrase_ends = 1, 0
    loudness = 1.0
    while at < count:
        if at >= phrase_ends:
            loudness = 0.55 + 0.45 * next(numbers)
            at += int((0.2 + 0.6 * next(numbers)) / STEP_S)
            phrase_ends = at + int((5.0 + 4.0 * next(numbers)) / STEP_S)
        length = round((0.2 + 0.6 * next(numbers)) / STEP_S)
        accent = next(numbers)
        strength = min(1.0, loudness * (0.2 + 1.2 * accent * accent))  # one note in four or so is a full one
        hold, decay = 0.06 + 0.2 * next(numbers), 0.1 + 0.4 * next(numbers)
        for k in range(length):
            if at + k < count:
                attack = min(1.0, (k + 1) / ATTACK_STEPS)
                fall = math.exp(-max(0.0, k * STEP_S - hold) / decay)
                level[at + k] = max(FLOOR, strength * attack * fall)
        at += length + int((0.02 + 0.25 * next(numbers)) / STEP_S)
    scaled: Array = level / level.max()
    return scaled


def _numbers() -> Iterator[float]:
    """Numbers in [0, 1), always the same."""
    state = SEED
    while True:
        state = (6364136223846793005 * state + 1442695040888963407) % 2**64
        yield (state >> 32) / 2**32


def _mean(levels: Array) -> float:
    """Mean of the polyline through the levels."""
    return float((levels[1:] + levels[:-1]).sum() / (2 * (len(levels) - 1)))


def _needed(levels: Array) -> Array:
    """Indices of the vertices without which the polyline would move by more than STRAIGHT (greedy, in order)."""
    kept = [0]
    end = 1
    while kept[-1] < len(levels) - 1:
        start = kept[-1]
        while end < len(levels):
            line = levels[start] + (levels[end] - levels[start]) * np.arange(1, end - start) / (end - start)
            if np.any(np.abs(line - levels[start + 1 : end]) > STRAIGHT):
                break
            end += 1
        kept.append(end - 1)
        end = kept[-1] + 1
    return np.array(kept, dtype=np.intp)


def _statistics(crest_factor_db: float, times: Array, levels: Array) -> Statistics:
    a, b, dt = levels[:-1], levels[1:], np.diff(times)
    whole = float(times[-1])
    full = (a >= FULL) & (b >= FULL)
    longest = run = 0.0
    for each, length in zip(full, dt, strict=True):
        run = run + float(length) if each else 0.0
        longest = max(longest, run)
    return Statistics(
        crest_factor_db,
        float((dt * (a + b)).sum() / (2.0 * whole)),
        float(np.sqrt((dt * (a * a + a * b + b * b)).sum() / (3.0 * whole))),
        float(levels.max()),
        float(dt[full].sum() / whole),
        longest,
    )
