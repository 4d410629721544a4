"""A few cycles of the ripple stepped through one by one: the waveform itself, around the worst instant of a run."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from dossier.circuit.elements import Array
from dossier.circuit.network import Network
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.programme import Programme
from dossier.circuit.ripple import STILL
from dossier.circuit.run import Run, Settings
from dossier.circuit.settle import Initial

MOST_CYCLES = 20
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


def resolve(
    network: Network,
    programme: Programme,
    until: float,
    cycles: int = 10,
    *,
    settings: Settings | None = None,
    initial: Initial | None = None,
) -> Waveform:
    """The last ``cycles`` cycles before ``until`` s, every one stepped; the run up to them by phases.

    Args:
        network: elements and nodes.
        programme: with a tone.
        until: end of the cycles [s], usually the worst instant of a run.
        cycles: at most 20: a cycle costs as much as seconds of a run.
        settings: exactness of the run before.
        initial: initial states, None: settled.

    Raises:
        ValueError: no tone, too many cycles, or an end outside the programme.
        ConvergenceError: an operating point could not be computed.
    """
    hertz = programme.ripple_hz
    if hertz is None:
        raise ValueError("a programme without a tone has no ripple to resolve")
    if not 1 <= cycles <= MOST_CYCLES:
        raise ValueError(f"between 1 and {MOST_CYCLES} cycles can be resolved")
    if not programme.times[0] < until <= programme.times[-1]:
        raise ValueError("the cycles must end within the programme")
    begin = max(float(programme.times[0]), until - (cycles + SETTLING_CYCLES) / hertz)
    run = Run(network, programme, settings or Settings(), initial)
    run.play(begin)
    run.march.set_phases(STILL)
    run.march.resolved_hz = hertz
    k = int(np.argmin(np.abs(run.phases.wave)))
    m = run.m
    point = run.now.point
    pattern = replace(point.pattern, region=point.pattern.region[:, k : k + 1])
    now = run.march.instant(run.now.t, run.now.y, point.v[:, k : k + 1, m:], pattern)
    times, volts, amps = [now.t], [now.point.v[:, 0]], [now.point.i[:, 0]]
    vertices = programme.times[(programme.times > begin) & (programme.times < until)]
    grid = np.linspace(begin, until, int(np.ceil((until - begin) * hertz * POINTS_PER_CYCLE)) + 1)
    for t in np.union1d(grid, vertices)[1:]:
        if not len(run.active) or t - now.t < 1e-9:
            continue
        step = run.march.step(now, float(t) - now.t)
        if not step.found.all():
            raise ConvergenceError(f"no operating point found at {t:.6f} s")
        now = step.end
        times.append(float(t))
        volts.append(now.point.v[:, 0])
        amps.append(now.point.i[:, 0])
    given = np.array(times) >= until - cycles / hertz - 1e-9
    t_given = np.array(times)[given]
    v, i = (np.full((len(t_given), network.samples, len(network.ports)), np.nan) for _ in range(2))
    v[:, run.active], i[:, run.active] = np.array(volts)[given], np.array(amps)[given]
    for array in (t_given, v, i):
        array.setflags(write=False)
    return Waveform(t_given, tuple(p.id for p in network.ports), v, i, cycles)
