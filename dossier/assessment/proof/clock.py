"""When the sound starts in a log: the prediction as a whole laid over it at every possible start.

Every start at which sound and log share an edge and two seconds is tried. At each, every channel is what the
prediction says times a factor, plus a level and a straight drift: that finds where to look closer. There the shape may
differ too, by the prediction passed through low passes (other resistances, other storage). What is then left, against
the noise of the log, says whether the sound is there at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.meters import measured, weight_of
from dossier.assessment.proof.overlay import (
    DETAIL_SEEN,
    LEAST_SHARED_S,
    STRAY_ROWS,
    STRAY_S,
    Steps,
    binned,
    detail,
    edges_of,
    explained,
    rest_of,
)
from dossier.assessment.proof.predicted import Prediction
from dossier.assessment.sag.samples import Values
from dossier.buildfile.logs.log import VoltageLog
from dossier.frozen import dataclass
from dossier.results.logs import ClockKind

MARGIN_S = 1.0  # s of rest before and after the sound that are compared; a repetition may come soon after
MARGIN_ROWS = 5  # at least so many rows: a step is told from three on each side, less one beside the edge
LEAST_SWING_V, LEAST_SWING_A = 0.05, 2.0  # of a prediction that can tell a clock
COARSE_S, FINE_S = 0.05, 0.001
MOST_STEPS, MOST_ROWS = 40_000, 1_500  # of the coarse search, of one comparison
CANDIDATES = 8
APART_S, NEAR_ROWS = 0.3, 1.5  # s between two different starts, and at least so many rows
FILTERS_S = (0.5, 4.0, 30.0)  # a lead battery's and an alternator's answers lie between these
SMOOTH_DEGREE = 3  # of the polynomial that a log without an edge follows as well
EDGE_SHARE = 1.4  # times what the prediction leaves, or the noise, must that polynomial leave
EVIDENCE = 60.0  # squared noise that the prediction must explain beyond it: seven times the noise of one row
WITHIN_NOISE, WITHIN_SHARE = 3.0, 0.15  # what may be left: of the noise, of the movement of the log
STRAY_SHARE = 0.3  # of the largest edge: by so much may log and prediction differ in any other; judgement
EQUAL = 0.8  # of the best explanation from which another start explains the log as well
EDGE_GUARD_S = 0.03


@dataclass(frozen=True, slots=True)
class Clock:
    """How the clocks lie.

    Attributes:
        kind: found, ambiguous, not matched, or stated.
        starts: s into the log (from its first row) at which the sound starts, the one that is used first; further ones
            where the sound is repeated or two starts explain the log as well; the two best guesses if not matched.
        words: the same as a sentence.
    """

    kind: ClockKind
    starts: tuple[float, ...]
    words: str

    @property
    def offset(self) -> float:
        """Seconds to add to the log's time to count from the start of the sound."""
        return -self.starts[0] if self.starts else 0.0


@dataclass(frozen=True, slots=True)
class _Tried:
    """A start: squared noise that it explains, what is left in times the noise and as a share of the movement.

    ``smooth``: times the noise that a smooth curve leaves; ``edge``: an edge of the sound would lie in the log;
    ``stray``: the largest edge that only one of log and prediction has, as a share of the largest of both; ``bursts``:
    those of the sound show, where it has some.
    """

    at: float
    gain: float
    left: float
    share: float
    smooth: float
    edge: bool
    stray: float
    bursts: bool = True

    @property
    def seen(self) -> bool:
        """Whether there is an edge that no smooth curve explains as well."""
        return self.edge and self.smooth > EDGE_SHARE * max(self.left, 1.0)

    @property
    def matches(self) -> bool:
        explained = self.left <= WITHIN_NOISE or self.share <= WITHIN_SHARE
        return self.seen and self.gain > EVIDENCE and explained and self.stray <= STRAY_SHARE and self.bursts

    @property
    def told(self) -> str:
        """It as a guess, in words."""
        more = ", and an edge does not fit" if self.stray > STRAY_SHARE else ""
        more += "" if self.bursts else ", and its bursts do not show"
        return f"{self.at:.2f} s ({self.left:.0f} times the noise is left{more})"


def interval(log: VoltageLog) -> float:
    """Seconds between the rows of a log, the median: what a logger that shows means averages over."""
    return float(np.median(np.diff(np.array(log.t))))


def stated_clock(start: float) -> Clock:
    """The clock as somebody states it, s into the log."""
    return Clock(ClockKind.STATED, (start,), f"{start_words(start)}, as stated")


def clock_of(log: VoltageLog, channels: Sequence[Channel], predicted: Prediction) -> Clock:
    """Find when the sound starts in a log.

    Args:
        log: the log.
        channels: what its columns show.
        predicted: what the build says of each, one sample.
    """
    laid = _Laid(log, channels, predicted)
    if not laid.used:
        return Clock(ClockKind.NOT_MATCHED, (), "not matched: the prediction moves too little to find its start by")
    tried = sorted((laid.refined(at) for at in laid.coarse()), key=lambda one: -one.gain)
    found = [one for one in tried if one.matches]
    if not found:
        return _not_matched(tried)
    near = max(APART_S, NEAR_ROWS * laid.window)
    apart: list[_Tried] = []
    for one in sorted((one for one in found if one.gain >= EQUAL * found[0].gain), key=lambda one: one.left):
        if all(abs(one.at - other.at) > near for other in apart):
            apart.append(one)
    apart.sort(key=lambda one: one.at)
    starts = tuple(one.at for one in apart)
    if len(starts) > 1 and min(b - a for a, b in pairwise(starts)) < predicted.ends:
        ordered = tuple(one.at for one in sorted(apart, key=lambda one: -one.gain))[:2]
        told = " or ".join(f"{at:.2f} s" for at in sorted(ordered))
        return Clock(ClockKind.AMBIGUOUS, ordered, f"the sound starts {told} into the log: both explain it as well")
    return Clock(ClockKind.FOUND, starts, _found_words(starts))


def laid_again(log: VoltageLog, channels: Sequence[Channel], predicted: Prediction, clock: Clock) -> Clock:
    """The clock with its first start laid on a better prediction."""
    at = _Laid(log, channels, predicted).refined(clock.starts[0]).at
    return replace(clock, starts=(at, *clock.starts[1:]), words=_found_words((at, *clock.starts[1:])))


def _found_words(starts: Sequence[float]) -> str:
    return start_words(starts[0]) + "".join(f", and again at {at:.2f} s" for at in starts[1:])


def start_words(at: float) -> str:
    """``the sound starts 12.40 s into the log``."""
    if at < -0.005:
        return f"the sound started {-at:.2f} s before the log"
    return f"the sound starts {max(at, 0.0):.2f} s into the log"


def _not_matched(tried: Sequence[_Tried]) -> Clock:
    guesses: list[_Tried] = []
    likely = sorted(
        (one for one in tried if one.edge and one.gain > EVIDENCE), key=lambda one: (not one.seen, one.share)
    )
    for one in likely:
        if len(guesses) < 2 and all(abs(one.at - other.at) > APART_S for other in guesses):
            guesses.append(one)
    if not any(one.seen or one.smooth > WITHIN_NOISE for one in guesses):
        return Clock(
            ClockKind.NOT_MATCHED, (), "not matched: the log shows no edge of the sound (its start, its end, a burst)"
        )
    told = " or ".join(one.told for one in guesses)
    words = f"not matched: no start explains the log; the best guesses are {told} into it"
    return Clock(ClockKind.NOT_MATCHED, tuple(one.at for one in guesses), words)


class _Laid:
    """A log and a prediction, ready to be laid over each other at any start."""

    def __init__(self, log: VoltageLog, channels: Sequence[Channel], predicted: Prediction) -> None:
        self.predicted, self.window = predicted, interval(log)
        swings = np.nanmax(predicted.values[:, 0, :], axis=0) - np.nanmin(predicted.values[:, 0, :], axis=0)
        least = [LEAST_SWING_V if c.kind == "voltage" else LEAST_SWING_A for c in channels]
        self.used = [k for k in range(len(channels)) if swings[k] > least[k]]
        self.margin = max(MARGIN_S, MARGIN_ROWS * self.window)
        self.span = predicted.ends + 2.0 * self.margin
        t = np.array(log.t)
        y = np.array([measured(channels[k]) / weight_of(channels[k]) for k in self.used]).reshape(-1, t.size)
        self.noise = np.array([weight_of(channels[k]) for k in self.used])
        self.end = float(t[-1])
        self.t, self.y = t, y
        if self.span / self.window > MOST_ROWS:
            self.window = self.span / MOST_ROWS
            self.t, self.y = binned(t, y, self.window)

    def coarse(self) -> list[float]:
        """The starts that explain most with level, drift and a factor: of the curves, and of their edges alone."""
        step = max(COARSE_S, self.window, self.end / MOST_STEPS)
        grid, y = binned(self.t, self.y, step)
        count = int(np.ceil(self.span / step))
        lags = np.linspace(0.0, step * count, count, endpoint=False) - self.margin
        x = self._model(lags, step).T
        near = max(1, round(APART_S / step))
        starts: list[float] = []
        for shapes, rows in ((x, y), (edges_of(x, near), edges_of(y, near))):
            gain = sum((explained(row, shape, step) for row, shape in zip(rows, shapes, strict=True)), np.zeros(1))
            around = np.lib.stride_tricks.sliding_window_view(np.pad(gain, near), 2 * near + 1).max(axis=1)
            peaks = np.flatnonzero((gain >= around) & (gain > 0.0))
            best = peaks[np.argsort(-gain[peaks])][:CANDIDATES]
            found = (best - count) * step + grid[0] - lags[0]
            starts += [at for at in found.tolist() if all(abs(at - other) > step for other in starts)]
        return starts

    def refined(self, near: float) -> _Tried:
        """The best start about one, with what it explains."""
        rows = self._rows(near)
        half = max(2.0 * COARSE_S, 1.5 * self.window)
        for _ in range(6):
            around = near + np.linspace(-half, half, 13)
            near = float(around[int(np.argmin([self._left(rows, at)[0] for at in around]))])
            half /= 5.0
            if half < FINE_S:
                break
        return self._judged(near)

    def _rows(self, at: float) -> NDArray[np.intp]:
        when = self.t - at
        inside = (when >= -self.margin) & (when <= self.predicted.ends + self.margin)
        return np.flatnonzero(inside)

    def _judged(self, at: float) -> _Tried:
        rows = self._rows(at)
        when = self.t[rows] - at
        far = self.predicted.far_from_edges(when, self.window, EDGE_GUARD_S)
        kept = rows[far] if far.sum() > 0.5 * far.size else rows
        if not kept.size:
            return _Tried(at, 0.0, np.inf, np.inf, 0.0, edge=False, stray=np.inf)
        left, free, moves, smooth, stray = self._left(kept, at, edges=True)
        edges = self.predicted.edges
        edge = bool(np.any((edges > when[0]) & (edges < when[-1]))) and when[-1] - when[0] >= LEAST_SHARED_S
        per_row = [float(np.sqrt(part / max(free, 1.0))) for part in (left, smooth)]
        share = float(np.sqrt(left / max(moves, 1e-9)))
        edge, bursts = edge and free > 0, self._bursts(kept, at)
        return _Tried(at, moves - left, per_row[0], share, per_row[1], edge, stray, bursts)

    def _bursts(self, rows: NDArray[np.intp], at: float) -> bool:
        """Whether the bursts of a sound that has some show in a channel, and no channel contradicts them."""
        when, edges = self.t[rows] - at, self.predicted.edges
        inside = (when > edges[0] + self.window) & (when < edges[-1] - self.window)
        if not np.any((edges > edges[0]) & (edges < edges[-1])) or inside.sum() < 6:
            return edges.size <= 2
        said = self._model(when, self.window)
        shown = []
        for k, row in enumerate(self.y):
            here = np.isfinite(row[rows])
            if (inside & here).sum() >= 6:
                shown.append(detail(row[rows][here], said[here, k], inside[here]))
        return any(seen > DETAIL_SEEN for seen, _ in shown) and all(fits for _, fits in shown)

    def _left(
        self, rows: NDArray[np.intp], at: float, *, edges: bool = False
    ) -> tuple[float, float, float, float, float]:
        """Squares left by the free shape, rows less freedom, left by a line and by a smooth curve; stray edges."""
        when = self.t[rows] - at
        shapes = self._shapes.logged(when, self.window)[:, 0, :]
        left = moves = smooth = free = stray = 0.0
        count = len(self.used)
        for k, row in enumerate(self.y):
            here = np.isfinite(row[rows])
            told = row[rows][here]
            if told.size < 4:
                continue
            u = (when[here] - when[here].mean()) / max(self.span, 1e-9)
            powers = np.stack([u**p for p in range(SMOOTH_DEGREE + 1)], axis=1)
            shape = np.concatenate([powers[:, :2], shapes[here][:, k::count] / self.noise[k]], axis=1)
            told_by, rest, gone = rest_of(shape, told)
            # a channel that moves against the prediction explains nothing
            one = shapes[here][:, k]
            against = np.dot(one - one.mean(), told - told.mean()) <= 0.0
            _, line, _ = rest_of(powers[:, :2], told)
            left += line if against else rest
            moves += line
            smooth += rest_of(powers, told)[1]
            free += told.size - gone
            if edges:
                apart = Steps(when[here], self.predicted.edges, max(STRAY_ROWS, round(STRAY_S / self.window)))
                stray = max(stray, apart.stray(told, told_by), apart.missing(told, one / self.noise[k]))
        return left, free, moves, smooth, stray

    def _model(self, when: Values, window: float) -> Values:
        """What the prediction says of the used channels less its rest, in noise; (S, C)."""
        values = self.predicted.logged(when, window)[:, 0, :][:, self.used]
        rest = self.predicted.values[0, 0, self.used]
        model: Values = np.nan_to_num((values - rest) / self.noise)
        return model

    @cached_property
    def _shapes(self) -> Prediction:
        """The prediction of the used channels less its rest, and the same through each low pass: (T, 1, 4 C)."""
        p = self.predicted
        step = max(0.02, (p.t[-1] - p.t[0]) / 4000.0)
        t = np.arange(p.t[0], p.t[-1] + step, step)
        edges = np.unique(np.concatenate([t, p.t]))
        of = p.values[:, 0, self.used]
        x = np.nan_to_num(of - of[0])
        fine = np.stack([np.interp(edges, p.t, x[:, k]) for k in range(x.shape[1])], axis=1)
        even = np.stack([np.interp(t, p.t, x[:, k]) for k in range(x.shape[1])], axis=1)
        made = [fine]
        for tau in FILTERS_S:
            kernel = np.exp(-np.arange(t.size) * step / tau) * step / tau
            passed = [np.convolve(even[:, k], kernel)[: t.size] for k in range(x.shape[1])]
            made.append(np.stack([np.interp(edges, t, one) for one in passed], axis=1))
        return Prediction(edges, np.concatenate(made, axis=1)[:, None, :], p.ends, p.edges)
