"""Statistics of a voltage trace: its minima by instrument, the time under a limit, traces thinned for the paper."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from dossier.results.sag import Trace

METER_WINDOW_S = 0.1  # a multimeter's min/max catches about this; 100 to 250 ms, common practice
KEPT_POINTS = 1500  # of a trace in the results; minima and maxima are kept


def frozen(values: Trace) -> Trace:
    """The array, read-only."""
    array = np.ascontiguousarray(values, dtype=np.float64)
    array.setflags(write=False)
    return array


def minimum(t: Trace, v: Trace, start: float, end: float) -> tuple[float, float] | None:
    """Lowest value between two instants and when; None if the trace ends (collapses) within them.

    Args:
        t: (T,) s, not falling.
        v: (T,) V, NaN after a collapse.
        start: s.
        end: s.
    """
    inside = (t >= start) & (t <= end)
    values = v[inside]
    if values.size == 0 or np.isnan(values).any():
        return None
    k = int(np.argmin(values))
    return float(values[k]), float(t[inside][k])


def moving_average(t: Trace, v: Trace, window: float = METER_WINDOW_S) -> Trace:
    """Mean over the last ``window`` s of a polyline, exactly; the first points average what there is; (T,)."""
    known = ~np.isnan(v)
    result = np.full_like(v, np.nan)
    tk, vk = t[known], v[known]
    if tk.size < 2:
        result[known] = vk
        return result
    area = np.concatenate([[0.0], np.cumsum(0.5 * (vk[1:] + vk[:-1]) * np.diff(tk))])
    start = np.maximum(tk - window, tk[0])
    # the integral of a polyline is a parabola between its points: add the part of the cut segment
    k = np.clip(np.searchsorted(tk, start, side="right") - 1, 0, tk.size - 2)
    width = np.maximum(tk[k + 1] - tk[k], 1e-12)
    into = np.clip(start - tk[k], 0.0, width)
    at_start = area[k] + into * (vk[k] + 0.5 * (vk[k + 1] - vk[k]) * into / width)
    span = tk - start
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = (area - at_start) / span
    result[known] = np.where(span > 1e-9, mean, vk)
    return result


def time_below(t: Trace, v: Trace, limit: float) -> float:
    """Seconds a polyline spends under a limit, crossings interpolated; a collapsed part counts as under it."""
    if np.isnan(v).any():
        known = ~np.isnan(v)
        after = float(t[-1] - t[known][-1]) if known.any() else float(t[-1] - t[0])
        return after + (time_below(t[known], v[known], limit) if known.any() else 0.0)
    a, b, dt = v[:-1] - limit, v[1:] - limit, np.diff(t)
    share = np.where((a < 0.0) & (b < 0.0), 1.0, 0.0)
    crossing = (a < 0.0) != (b < 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        cut = np.where(crossing, np.minimum(a, b) / (np.minimum(a, b) - np.maximum(a, b)), share)
    return float(np.sum(cut * dt))


def thinned(t: Trace, keep: int, *traces: Trace) -> NDArray[np.intp]:
    """Indices of at most about ``keep`` points: in each slice of time every trace's lowest and highest; (K,)."""
    if t.size <= keep:
        return np.arange(t.size)
    slices = max(2, keep // (2 * len(traces)))
    edges = np.linspace(t[0], t[-1], slices + 1)
    which = np.clip(np.searchsorted(edges, t, side="right") - 1, 0, slices - 1)
    starts = np.concatenate([[0], np.flatnonzero(np.diff(which)) + 1, [t.size]])
    kept: set[int] = {0, t.size - 1}
    for a, b in pairwise(starts):
        for trace in traces:
            part = trace[a:b]
            if np.isnan(part).all():
                kept.update((int(a), int(b) - 1))
                continue
            kept.update((int(a) + int(np.nanargmin(part)), int(a) + int(np.nanargmax(part))))
            known = np.flatnonzero(~np.isnan(part))
            kept.add(int(a) + int(known[-1]))  # the last point before a collapse
    return np.array(sorted(kept), dtype=np.intp)


def time_mean(t: Trace, values: Trace, start: float, end: float, *, rms: bool = False) -> float:
    """Mean (or root mean square) of a polyline between two instants; of the part before a collapse, 0 if none."""
    inside = (t >= start) & (t <= end) & ~np.isnan(values)
    x, y = t[inside], values[inside]
    if x.size < 2 or x[-1] <= x[0]:
        return float(y[0]) if y.size else 0.0
    dt = np.diff(x)
    if rms:  # exact for a polyline: integral of a squared straight line
        area = float(np.sum(dt * (y[:-1] ** 2 + y[:-1] * y[1:] + y[1:] ** 2) / 3.0))
        return float(np.sqrt(max(area, 0.0) / (x[-1] - x[0])))
    return float(np.sum(0.5 * (y[1:] + y[:-1]) * dt) / (x[-1] - x[0]))
