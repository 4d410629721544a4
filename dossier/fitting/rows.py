"""The rows of a log that a fit uses, what they weigh, and what is not the vehicle's: zeros and drifts of the meters."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from dossier.assessment.proof.clock import EDGE_GUARD_S
from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.meters import measured, weight_of
from dossier.assessment.proof.predicted import Prediction
from dossier.assessment.sag.samples import Values

REST_USED_S = 5.0  # s before the sound; what lies further back may have been another state of the battery
MOST_POINTS = 600  # per channel
LEAST_POINTS = 10
COLLAPSED_V = 5.0  # stands for the voltage of a run that has collapsed
# What is known of meters and of a vehicle at rest before a log is looked at, standard deviations; judgement, no source
METER_BIAS_V = 0.01  # two meters that differ by 0.1 % at 12 V; hand-held ones may differ more
OFFSET_V = 0.005  # of each voltmeter, from one log to the next; what they share of it nobody can tell from a set-point
METER_BIAS = 0.02  # of a current, a clamp's scale
DRIFT_V = 0.001  # V/s, a charging voltage that follows the temperature of its regulator
CLAMP_ZERO_A = 5.0  # a clamp's zero, and how far it wanders over a log


class Rows:
    """The usable rows of one channel, thinned, away from the jumps of the programme.

    Attributes:
        t, values: (S,) s from the start of the sound; V or A.
        noise: V or A.
        window: s over which a row averages.
    """

    def __init__(self, channel: Channel, t: Values, window: float, predicted: Prediction, index: int) -> None:
        values = measured(channel)
        self.channel, self.index, self.window, self.noise = channel, index, window, weight_of(channel)
        good = np.isfinite(values) & (t >= -REST_USED_S) & (t <= predicted.t[-1])
        far = good & predicted.far_from_edges(t, window, EDGE_GUARD_S)
        kept = np.flatnonzero(far if far.sum() >= max(LEAST_POINTS, 0.3 * good.sum()) else good)
        kept = kept[:: max(1, kept.size // MOST_POINTS)]
        self.t, self.values = t[kept], values[kept]

    @property
    def voltage(self) -> bool:
        """Whether it shows volts."""
        return self.channel.kind == "voltage"

    @property
    def swing(self) -> float:
        """How far the channel moves, without its noise [V or A]."""
        low, high = np.quantile(self.values, [0.02, 0.98])
        return float(high - low)

    def residual(self, made: Prediction) -> Values:
        """Predicted less measured in units of the noise, (S, B)."""
        model = made.logged(self.t, self.window)[..., self.index]
        gone = COLLAPSED_V if self.voltage else 0.0
        rest: Values = (np.where(np.isnan(model), gone, model) - self.values[:, None]) / self.noise
        return rest


def nuisances(rows: Sequence[Rows]) -> Values:
    """What else may move the residuals, each by one standard deviation of what is known of it: (rows, N).

    A drift of the rest voltage that all voltmeters share, and an offset; what one shows more than the others; a
    clamp whose zero is off, and wanders.
    """
    size = sum(r.t.size for r in rows)
    starts = np.cumsum([0, *(r.t.size for r in rows)])
    parts = [slice(a, b) for a, b in pairwise(starts)]
    volts = [k for k, r in enumerate(rows) if r.voltage]
    columns = []

    def add(which: Sequence[int], what: dict[int, Values]) -> None:
        column = np.zeros(size)
        for k in which:
            column[parts[k]] = what[k] / rows[k].noise
        columns.append(column)

    add(volts, {k: DRIFT_V * rows[k].t for k in volts})
    add(volts, {k: OFFSET_V / np.sqrt(len(volts)) * np.ones(rows[k].t.size) for k in volts})
    if len(volts) > 1:
        for one in volts:
            share = {k: float(k == one) - 1.0 / len(volts) for k in volts}
            add(volts, {k: METER_BIAS_V * share[k] * np.ones(rows[k].t.size) for k in volts})
    for k, r in enumerate(rows):
        if not r.voltage:
            along = (r.t - r.t[0]) / max(float(r.t[-1] - r.t[0]), 1e-9)
            add([k], {k: CLAMP_ZERO_A * np.ones(r.t.size)})
            add([k], {k: CLAMP_ZERO_A * along})
    return np.stack(columns, axis=1)


def systematic(rows: Sequence[Rows]) -> Values:
    """What the meters' own calibration may move the residuals by: all volts alike, each clamp's scale; (rows, M)."""
    kinds = [None, *(r for r in rows if not r.voltage)]
    made = []
    for clamp in kinds:
        moved = [METER_BIAS * r.values if r is clamp else METER_BIAS_V * (clamp is None and r.voltage) for r in rows]
        made.append(np.concatenate([m / r.noise * np.ones(r.t.size) for m, r in zip(moved, rows, strict=True)]))
    return np.stack(made, axis=1)


def rms_of(residual: Values, rows: Sequence[Rows], *, voltage: bool) -> float:
    """Root mean square of the residuals of one kind of channel [V or A]; 0 where there is none."""
    starts = np.cumsum([0, *(r.t.size for r in rows)])
    parts = [residual[a : a + r.t.size] * r.noise for a, r in zip(starts, rows, strict=False) if r.voltage is voltage]
    return float(np.sqrt(np.mean(np.concatenate(parts) ** 2))) if parts else 0.0
