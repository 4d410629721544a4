"""A few cycles of the ripple stepped through one by one: the waveform that the phases of a run stand for."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from dossier.circuit.direct_law import DirectLaw, at_phases
from dossier.circuit.elements import Array
from dossier.circuit.network import Network
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.programme import Programme
from dossier.circuit.run import Run
from dossier.circuit.settings import Settings
from dossier.circuit.time_step import TimeStep

SETTLING_CYCLES = 4  # stepped before the cycles that are given, so that small capacitors find their waveform
POINTS_PER_CYCLE = 24


@dataclass(frozen=True, eq=False)
class Waveform:
    """Voltages and currents within the cycles, times (T,), values (T, B, ports); NaN for samples that had collapsed.

    Attributes:
        t: s.
        ports: ids.
        v: V.
        i: A, p to n.
        cycles: how many cycles are given.
    """

    t: Array
    ports: tuple[str, ...]
    v: Array
    i: Array
    cycles: int

    def trough(self, port: str) -> Array:
        """Smallest voltage of each sample (B,), by a parabola through the lowest point and its neighbours [V]."""
        v = self.v[..., self.ports.index(port)]
        k = np.clip(np.argmin(np.where(np.isfinite(v), v, np.inf), axis=0), 1, len(v) - 2)
        a, b, c = (np.take_along_axis(v, (k + d)[None], 0)[0] for d in (-1, 0, 1))
        bend = a - 2.0 * b + c
        lowest: Array = b - np.where(bend > 0.0, 0.125 * (a - c) ** 2 / np.where(bend > 0.0, bend, 1.0), 0.0)
        return lowest


class Stepping(TimeStep):
    """The equations where every cycle of ``hertz`` is stepped through: one phase, that of the time."""

    hertz = 0.0

    def law(self, t: float) -> DirectLaw:
        """The ports without memory at time t."""
        return at_phases(self.direct, np.array([np.cos(2.0 * np.pi * self.hertz * t)])).at(self.level(t))


def resolve(network: Network, programme: Programme, until: float, cycles: int = 10) -> Waveform:
    """The last ``cycles`` cycles before ``until`` s, every one stepped; the run up to them by phases."""
    hertz = programme.ripple_hz
    assert hertz is not None
    begin = max(float(programme.times[0]), until - (cycles + SETTLING_CYCLES) / hertz)
    run = Run(network, programme, Settings(), None)
    run.play(begin)
    running = run.running
    time_step = Stepping(running.time_step.storage, running.time_step.direct, running.time_step.blocks, programme.level)
    time_step.tolerance, time_step.hertz = running.time_step.tolerance, hertz
    k, m = int(np.argmin(np.abs(running.phases.wave))), running.m
    point = running.now.point
    pattern = replace(point.pattern, region=point.pattern.region[:, k : k + 1])
    now = time_step.instant(running.now.t, running.now.y, point.v[:, k : k + 1, m:], pattern)
    times, volts, amps = [now.t], [now.point.v[:, 0]], [now.point.i[:, 0]]
    vertices = programme.times[(programme.times > begin) & (programme.times < until)]
    grid = np.linspace(begin, until, int(np.ceil((until - begin) * hertz * POINTS_PER_CYCLE)) + 1)
    for t in np.union1d(grid, vertices)[1:]:
        if not len(running.active) or t - now.t < 1e-9:
            continue
        step = time_step.step(now, float(t) - now.t)
        if not step.found.all():
            raise ConvergenceError(f"no operating point found at {t:.6f} s")
        now = step.end
        times.append(float(t))
        volts.append(now.point.v[:, 0])
        amps.append(now.point.i[:, 0])
    given = np.array(times) >= until - cycles / hertz - 1e-9
    t_given = np.array(times)[given]
    v, i = (np.full((len(t_given), network.samples, len(network.ports)), np.nan) for _ in range(2))
    v[:, running.active], i[:, running.active] = np.array(volts)[given], np.array(amps)[given]
    return Waveform(t_given, tuple(p.id for p in network.ports), v, i, cycles)
