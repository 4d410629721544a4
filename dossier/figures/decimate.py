"""Fewer points, same picture: extremes survive."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Trace = NDArray[np.float64]


def decimate(t: Trace, v: Trace, points: int = 480) -> tuple[Trace, Trace]:
    """At most ``points`` samples of ``v`` over ``t`` with the least and the greatest of every stretch kept.

    The time axis may be uneven: stretches are equal in time, so that what is kept is what a page can show. A trace
    that ends in NaN (collapse) keeps the NaN, so that it is drawn as an end and not as a line to somewhere.
    """
    count = len(t)
    if count <= points:
        return t, v
    stretches = max(points // 2 - 1, 1)
    edges = np.linspace(t[0], t[-1], stretches + 1)
    starts = np.unique(np.searchsorted(t, edges[:-1]))
    low = np.where(np.isnan(v), np.inf, v)
    high = np.where(np.isnan(v), -np.inf, v)
    keep = {0, count - 1}
    for first, after in zip(starts, [*starts[1:], count], strict=True):
        keep.add(int(first + np.argmin(low[first:after])))
        keep.add(int(first + np.argmax(high[first:after])))
    gone = np.flatnonzero(np.isnan(v))
    if gone.size:
        keep.add(int(gone[0]))
        keep.add(max(int(gone[0]) - 1, 0))
    chosen = np.array(sorted(keep))
    return t[chosen], v[chosen]
