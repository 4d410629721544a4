"""What a run says that the channels of a log show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.sag.programmes import programme_of, sound_ends
from dossier.assessment.sag.samples import BATCH, Values
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.programme import LEAD_IN_S, Programme
from dossier.circuit.sampler import InputSampler
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import negative, positive, wire
from dossier.equipment.installed import Installed, Running
from dossier.frozen import dataclass

STEP = replace(BATCH, tol_v=1e-3, tol_i=0.2, detail=True)
EDGE_LEVEL, EDGE_SLOPE = 0.2, 5.0  # of full level, and per second: what a log shows as an edge


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a run says of the channels."""

    t: Values  # (T,) s from the start of the sound
    values: Values  # (T, B, C) V or A, NaN after a collapse
    ends: float  # when the sound ends [s]
    edges: Values  # (E,) s at which its level jumps; its start and its end are among them

    def logged(self, when: Values, window: float) -> Values:
        """What a logger shows that averages over ``window`` s around each instant (S,): (S, B, C)."""
        return (self._area(when + 0.5 * window) - self._area(when - 0.5 * window)) / window

    def _area(self, when: Values) -> Values:
        """Integral of the polylines from the start to each instant."""
        t, v = self.t, self.values
        steps = 0.5 * np.diff(t)[:, None, None] * (v[1:] + v[:-1])
        whole = np.concatenate([np.zeros((1, *v.shape[1:])), np.cumsum(steps, axis=0)])
        k = np.clip(np.searchsorted(t, when, side="right") - 1, 0, len(t) - 2)
        span = np.maximum(t[k + 1] - t[k], 1e-12)
        into = (when - t[k])[:, None, None]
        inner = np.clip(into, 0.0, span[:, None, None])  # before the run and after it, its first and its last value
        slope = (v[k + 1] - v[k]) / span[:, None, None]
        area: Values = whole[k] + inner * (v[k] + 0.5 * inner * slope)
        area += np.minimum(into, 0.0) * v[0] + np.maximum(into - span[:, None, None], 0.0) * v[-1]
        return area

    def far_from_edges(self, when: Values, window: float, guard: float) -> Values:
        """Which of the instants (S,) lie so far from every edge that the clock of the log does not decide there."""
        near = np.abs(when[:, None] - self.edges).min(axis=1)
        far: Values = near > 0.5 * window + guard
        return far


def predict(
    build: Build, fit: Installed, run: Running, case: LoadCase, channels: Sequence[Channel], draw: InputSampler
) -> Prediction:
    """Play the load case and read every channel; cycle means. Currents count positive in the direction they peak."""
    wired = wire(build, fit, run, case, draw)
    programme = programme_of(case)
    transient = simulate(wired.network, programme, settings=STEP)
    made = []
    for channel in channels:
        kind, id_ = channel.target.split(".", 1)
        if kind == "locations":
            plus, minus = positive(id_), negative(id_)
            ground = wired.network.ground
            zero = np.zeros((len(transient.t), wired.network.samples))
            volts = [zero if n == ground else transient.node_voltage(n).mean for n in (plus, minus)]
            made.append(volts[0] - volts[1])
        elif channel.kind == "current":
            amperes = transient.current(channel.target).mean
            made.append(direction(amperes[:, 0]) * amperes)
        else:
            made.append(transient.voltage(channel.target).mean)
    ends = sound_ends(programme) - LEAD_IN_S
    return Prediction(transient.t - LEAD_IN_S, np.stack(made, axis=-1), ends, _edges(programme))


def direction(amperes: Values) -> float:
    """+1 or -1: the sign with which a current counts; clamps are put on either way round."""
    return 1.0 if np.nanmax(amperes) >= -np.nanmin(amperes) else -1.0


def _edges(programme: Programme) -> Values:
    """Where the level jumps [s from the start of the sound], with start and end of the sound."""
    jumps, steps = np.diff(programme.levels), np.diff(programme.times)
    steep = (np.abs(jumps) > EDGE_LEVEL) & (np.abs(jumps) > EDGE_SLOPE * steps)
    loud = np.flatnonzero(programme.levels > 0.0)
    ends = programme.times[[max(int(loud[0]) - 1, 0), int(loud[-1])]] if loud.size else programme.times[[0, -1]]
    return np.unique(np.concatenate([programme.times[:-1][steep], ends])) - LEAD_IN_S
