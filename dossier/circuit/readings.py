"""What instruments would show of a voltage: the lowest 100 ms average, and how long it is below a limit."""

from __future__ import annotations

import numpy as np

from dossier.circuit.elements import Array

METER_WINDOW_S = 0.1  # s over which a multimeter's min/max averages (practice: 100 to 250 ms)
GRID_S = 0.01


def lowest_average(t: Array, v: Array, window: float = METER_WINDOW_S) -> tuple[Array, Array]:
    """Minimum of the moving average of a polyline: what a multimeter's min/max function catches.

    Args:
        t: (T,) s, rising (an instant may stand twice).
        v: (T, B) V, cycle means; NaN from where a sample ended.
        window: s.

    Returns:
        The lowest average (B,) [V] and the end of its window (B,) [s]. A trace shorter than the window is averaged as
        a whole; one without a single valid value gives NaN.
    """
    lowest, when = np.full(v.shape[1], np.nan), np.full(v.shape[1], np.nan)
    for b in range(v.shape[1]):
        valid = np.isfinite(v[:, b])
        times, volts = t[valid], v[valid, b]
        if len(times) < 2 or times[-1] - times[0] <= window:
            if len(times):
                span = times[-1] - times[0]
                area = float((0.5 * np.diff(times) * (volts[1:] + volts[:-1])).sum())
                lowest[b], when[b] = (area / span if span > 0.0 else volts.min()), times[-1]
            continue
        ends = np.concatenate([times, times + window, np.arange(times[0] + window, times[-1], GRID_S)])
        ends = np.unique(ends[(ends >= times[0] + window) & (ends <= times[-1])])
        averages = (_area(times, volts, ends) - _area(times, volts, ends - window)) / window
        k = int(np.argmin(averages))
        lowest[b], when[b] = averages[k], ends[k]
    return lowest, when


def _area(t: Array, v: Array, at: Array) -> Array:
    """Integral of the polyline from its start to each time ``at``."""
    whole = np.concatenate([[0.0], np.cumsum(0.5 * np.diff(t) * (v[1:] + v[:-1]))])
    k = np.clip(np.searchsorted(t, at, side="right") - 1, 0, len(t) - 2)
    span = t[k + 1] - t[k]
    share = np.where(span > 0.0, (at - t[k]) / np.where(span > 0.0, span, 1.0), 0.0)
    here = v[k] + share * (v[k + 1] - v[k])
    area: Array = whole[k] + (at - t[k]) * 0.5 * (v[k] + here)
    return area


def seconds_below(t: Array, v: Array, limit: float) -> Array:
    """How long a polyline v (T, B) [V] is below ``limit`` V, (B,) [s]; the time after a sample ended does not count."""
    a, b = v[:-1] - limit, v[1:] - limit
    span = np.where(a * b < 0.0, np.abs(a - b), 1.0)
    share = np.where(a * b < 0.0, np.where(a < 0.0, -a, -b) / span, ((a < 0.0) | (b < 0.0)).astype(float))
    total: Array = np.nansum(np.where(np.isfinite(a + b), share, 0.0) * np.diff(t)[:, None], axis=0)
    return total
