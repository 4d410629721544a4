"""Linear interpolation in a table, held at its ends."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence


def interpolate(x: float, xs: Sequence[float], ys: Sequence[float]) -> float:
    """The value at x, linear between the points, the end values beyond them.

    Args:
        x: where.
        xs: rising.
        ys: as many as ``xs``.
    """
    if x <= xs[0]:
        return ys[0]
    if x >= xs[-1]:
        return ys[-1]
    i = bisect_right(xs, x)
    w = (x - xs[i - 1]) / (xs[i] - xs[i - 1])
    return ys[i - 1] + w * (ys[i] - ys[i - 1])
