"""Rows of a log and of a prediction against each other: what one explains of the other, and their edges."""

from __future__ import annotations

import numpy as np

from dossier.assessment.sag.samples import Values

LEAST_SHARED_S = 2.0  # of sound and log
STRAY_S, STRAY_ROWS = 0.5, 3  # over which the level before and after an edge is taken; at least so many rows
STRAY_NOISE = 5.0  # times its noise must such a difference be
DETAIL_SEEN, DETAIL_ERRORS = 8.0, 3.0  # times the noise of all rows together must bursts show; errors allowed
DETAIL_LOW, DETAIL_HIGH = 0.65, 1.5  # what of the bursts shows, as a share of the rest of the movement; judgement


def explained(row: Values, shape: Values, step: float) -> Values:
    """Squares that level, drift and a positive factor of ``shape`` (L,) explain of ``row`` (N,), at N + L + 1 shifts.

    Nothing where they share less than ``LEAST_SHARED_S`` or no change of the shape.
    """
    here = np.isfinite(row)
    size = shape.size
    if not here.any():
        return np.zeros(row.size + size + 1)
    u = np.arange(size) - 0.5 * (size - 1)
    mask = np.pad(here.astype(float), size)
    told = np.pad(np.where(here, row - np.mean(row[here]), 0.0), size)
    s0, s1, s2, x0, x1, x2 = (
        np.correlate(mask, k, "valid") for k in (np.ones(size), u, u * u, shape, shape * u, shape * shape)
    )
    y0, y1, yx = (np.correlate(told, k, "valid") for k in (np.ones(size), u, shape))
    det = s0 * s2 - s1 * s1
    good = (det > 1e-9 * np.maximum(s0 * s2, 1e-9)) & (s0 * step >= LEAST_SHARED_S)
    det = np.where(good, det, 1.0)
    on0, on1 = (s2 * x0 - s1 * x1) / det, (s0 * x1 - s1 * x0) / det
    xx, xy = x2 - on0 * x0 - on1 * x1, yx - on0 * y0 - on1 * y1
    good &= xx > 1e-3 * np.sum((shape - shape.mean()) ** 2)
    gain: Values = np.where(good, np.maximum(xy, 0.0) ** 2 / np.where(good, xx, 1.0), 0.0)
    return gain


def edges_of(rows: Values, near: int) -> Values:
    """Rows (C, N) less their mean over ``2 near + 1`` neighbours: what is left of a curve are its edges."""
    made = []
    for row in rows:
        here = np.isfinite(row)
        even = np.interp(np.arange(row.size), np.flatnonzero(here), row[here]) if here.any() else np.zeros(row.size)
        made.append(
            even - np.convolve(np.pad(even, near, mode="edge"), np.ones(2 * near + 1), "valid") / (2 * near + 1)
        )
    return np.array(made)


def rest_of(shape: Values, told: Values) -> tuple[Values, float, int]:
    """A least-squares fit of the columns: its values, the sum of squares that it leaves, how many columns count."""
    solution, _, rank, _ = np.linalg.lstsq(shape, told, rcond=1e-6)
    fitted = shape @ solution
    return fitted, float(np.sum((told - fitted) ** 2)), int(rank)


class Steps:
    """How far rows lie higher after each instant than before it, with noise (of 1 for a row)."""

    def __init__(self, when: Values, edges: Values, near: int) -> None:
        at = np.arange(STRAY_ROWS, when.size - STRAY_ROWS + 1)
        self.at, self.before, self.after = at, np.maximum(at - near, 0), np.minimum(at + near, when.size)
        self.noise = np.sqrt(1.0 / (at - self.before) + 1.0 / (self.after - at))
        # the edges of the sound with no other among the rows that are compared
        place = np.searchsorted(when, edges) - STRAY_ROWS
        inside = (place >= 0) & (place < at.size)
        place = place[inside]
        alone = (np.diff(place, prepend=-9 * near) >= 2 * STRAY_ROWS) & (np.diff(place, append=9 * when.size) >= near)
        self.alone = place[alone]

    def of(self, rows: Values) -> Values:
        """The steps (I,) of rows (S,)."""
        whole = np.concatenate([[0.0], np.cumsum(rows)])
        after = (whole[self.after] - whole[self.at]) / (self.after - self.at)
        made: Values = after - (whole[self.at] - whole[self.before]) / (self.at - self.before)
        return made

    def stray(self, told: Values, fitted: Values) -> float:
        """The largest step that only one of log and fit has, as a share of the largest of the fit."""
        left, known = np.abs(self.of(told - fitted)), np.abs(self.of(fitted))
        over = np.where(left > STRAY_NOISE * self.noise, left, 0.0)
        return float(np.max(over, initial=0.0) / max(float(np.max(known, initial=0.0)), 1e-9))

    def missing(self, told: Values, predicted: Values) -> float:
        """By what share the edge that is smallest against its prediction falls short of the one that is largest."""
        shown, said, noise = (x[self.alone] for x in (self.of(told), self.of(predicted), self.noise))
        strong = np.abs(said) > 0.5 * np.max(np.abs(said), initial=0.0)
        factor, error = shown[strong] / said[strong], 3.0 * noise[strong] / np.abs(said[strong])
        most = np.max(factor - error, initial=0.0)
        if most <= 0.0:
            return float(strong.any())  # none of them is in the log
        return float(1.0 - np.min(factor + error, initial=most) / most)


def detail(told: Values, said: Values, inside: Values) -> tuple[float, bool]:
    """How strongly the bursts of a sound must show in a log, and whether they do in the measure of all the rest.

    Args:
        told: rows (S,) of the log, in noise.
        said: the same of the prediction.
        inside: which of them lie within the sound.
    """
    u = np.linspace(-1.0, 1.0, told.size)
    (slope, *_), *_ = np.linalg.lstsq(np.stack([said, np.ones(told.size), u], axis=1), told, rcond=None)
    powers = np.stack([u[inside] ** p for p in range(4)], axis=1)
    x, y = (row[inside] - rest_of(powers, row[inside])[0] for row in (said, told))
    size = float(np.sqrt(x @ x))
    shows = float(slope) * size
    if shows <= DETAIL_SEEN:
        return max(shows, 0.0), True
    ratio, error = float(x @ y) / size / shows, DETAIL_ERRORS / shows
    return shows, DETAIL_LOW - error <= ratio <= DETAIL_HIGH + error


def binned(t: Values, y: Values, step: float) -> tuple[Values, Values]:
    """Means of what lies in each step, NaN where nothing does: (N,) and (C, N)."""
    which = np.floor((t - t[0]) / step + 0.5).astype(int)
    size = int(which[-1]) + 1
    made = []
    for row in y:
        here = np.isfinite(row)
        count = np.bincount(which[here], minlength=size)
        total = np.bincount(which[here], weights=row[here], minlength=size)
        made.append(np.where(count > 0, total / np.maximum(count, 1), np.nan))
    return t[0] + step * np.arange(size), np.array(made).reshape(-1, size)
