"""What a run leaves behind: voltages and currents over time, read-only, and the sums over the run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from dossier.circuit.direct import Direct
from dossier.circuit.elements import Amplifier, Array, Resistor
from dossier.circuit.march import flow
from dossier.circuit.network import Folded, Network
from dossier.circuit.newton import Point
from dossier.circuit.outcome import Outcome, Switching

FLUSH_BYTES = 32e6  # recorded cycles are condensed to mean and extremes whenever they fill this much memory


@dataclass(frozen=True, slots=True)
class Cycle:
    """A quantity over the ripple cycles of a run, arrays (T, B).

    Attributes:
        mean: mean over the cycle: what a voltmeter shows.
        trough: smallest value within the cycle, what an oscilloscope shows.
        crest: largest value within the cycle.
        rms: root mean square over the cycle, for the heating of conductors.
    """

    mean: Array
    trough: Array
    crest: Array
    rms: Array


def _cycle(mean: Array, calm: Array, loud: Array) -> Cycle:
    """From the mean and the values at least and most power: a parabola in cos(phase), whose mean is known."""
    slope = 0.5 * (calm - loud)
    bend = 2.0 * (0.5 * (calm + loud) - mean)
    rms = np.sqrt(mean * mean + 0.5 * slope * slope + 0.125 * bend * bend)
    return Cycle(mean, np.minimum(calm, loud), np.maximum(calm, loud), rms)


@dataclass(frozen=True, eq=False)
class Transient:
    """A finished run. Times (T,); values (T, B, ports), NaN from the instant a sample collapsed. Read-only.

    ``v``, ``i`` are means over the ripple cycle, ``*_loud`` the values at the moment of most power in the cycle,
    ``*_calm`` at that of least power; without ripple all three are the same. Currents flow p to n inside the
    element: a discharging battery has a negative ``i``.

    Attributes:
        t: s; an instant at which something switched stands twice, before and after.
        ports: ids of the ports, see ``network.Network.ports``.
        output: (T, B, amplifiers) W into the loudspeakers, cycle mean.
        charge: A s delivered by each source port (taken: by each load) over the run, (B,).
        energy: J likewise.
        ended: (B,) s at which the sample collapsed, NaN if it ran to the end.
        outcomes: amplifier id -> one outcome per sample.
        switchings: per sample, what relays and battery managements did.
        steps: accepted steps.
    """

    network: Network
    folded: Folded
    t: Array
    ports: tuple[str, ...]
    v: Array
    i: Array
    v_loud: Array
    i_loud: Array
    v_calm: Array
    i_calm: Array
    amplifiers: tuple[str, ...]
    output: Array
    charge: Mapping[str, Array]
    energy: Mapping[str, Array]
    ended: Array
    outcomes: Mapping[str, tuple[Outcome, ...]]
    switchings: tuple[tuple[Switching, ...], ...]
    steps: int

    def voltage(self, port: str) -> Cycle:
        """Voltage across a port [V]."""
        k = self.ports.index(port)
        return _cycle(self.v[..., k], self.v_calm[..., k], self.v_loud[..., k])

    def current(self, port: str) -> Cycle:
        """Current through a port, p to n [A]."""
        k = self.ports.index(port)
        return _cycle(self.i[..., k], self.i_calm[..., k], self.i_loud[..., k])

    def node_voltage(self, node: str) -> Cycle:
        """Voltage of a node against ground [V]; zero for ground itself."""
        if node == self.network.ground:
            zero = np.zeros_like(self.v[..., 0])
            return Cycle(zero, zero, zero, zero)
        return self._mapped(self.folded.node_map[:, self.network.nodes.index(node)])

    def branch_current(self, resistor: str) -> Cycle:
        """Current through a resistor, a to b [A]."""
        ids = [r.id for r in self.network.of(Resistor)]
        return self._mapped(self.folded.branch_map[:, ids.index(resistor)])

    def _mapped(self, row: Array) -> Cycle:
        """-row . (i - g0 v) for row (B, p)."""
        g0 = self.folded.g0
        pairs = ((self.v, self.i), (self.v_calm, self.i_calm), (self.v_loud, self.i_loud))
        return _cycle(*(-np.einsum("bp,tbp->tb", row, i - g0 * v) for v, i in pairs))


@dataclass(frozen=True, slots=True)
class Row:
    """One accepted step: its end, its inner stage, and which amplifiers are on (b, amplifiers)."""

    t: float
    level: float
    dt: float
    end: Point
    middle: Point
    on: Array


class Recorder:
    """Collects operating points during a run and condenses their cycles."""

    def __init__(self, network: Network, direct: Direct, start: float, wave: Array, weights: Array) -> None:
        self.network, self.start = network, start
        self.samples = network.samples
        self.direct = direct
        self.wave, self.weights = wave, weights
        self.amplifiers = len(network.of(Amplifier))
        self.rows: list[Row] = []
        self.active = np.arange(self.samples)
        self.bytes = 0.0
        self.charge, self.energy = (np.zeros((self.samples, len(network.ports))) for _ in range(2))
        self._before: tuple[Array, Array] | None = None  # mean currents and powers of the last condensed point
        self.times: list[Array] = []
        self.parts: list[tuple[Array, ...]] = []

    def add(self, t: float, level: float, end: Point, on: Array, middle: Point | None = None, dt: float = 0.0) -> None:
        """One operating point of the active samples; with ``middle``, that of the inner stage of the step to it."""
        self.rows.append(Row(t, level, dt, end, middle or end, on))
        self.bytes += 32.0 * end.v.size
        if self.bytes > FLUSH_BYTES:
            self.flush()

    def keep(self, active: Array, kept: Array, direct: Direct) -> None:
        """From now on points come for the samples ``active`` only, ``kept`` (bool) of those so far."""
        self.flush()
        if self._before is not None:
            self._before = (self._before[0][:, kept], self._before[1][:, kept])
        self.active, self.direct = active, direct

    def flush(self) -> None:
        """Condense what is collected."""
        if not self.rows:
            return
        rows = self.rows
        v, i, v1, i1 = (
            np.stack(q)
            for q in zip(*((r.end.v, r.end.i, r.middle.v, r.middle.i) for r in rows), strict=True)
        )
        first = v.shape[-1] - self.amplifiers
        level, on = np.array([r.level for r in rows]), np.stack([r.on for r in rows])
        output = self._mean(self.direct.output(level, self.wave, v[..., first:], on))
        mean_v, mean_i = self._mean(v), self._mean(i)
        self._add_flow(np.array([r.dt for r in rows]), (mean_i, self._mean(i1)), (self._mean(v * i), self._mean(v1 * i1)))
        condensed = [mean_v, mean_i]
        if len(self.weights) > 1:
            condensed += [v[:, :, -1], i[:, :, -1], v[:, :, 0], i[:, :, 0]]
        self.times.append(np.array([r.t for r in rows]))
        self.parts.append(tuple(self._spread(q) for q in (*condensed, output)))
        self.rows, self.bytes = [], 0.0

    def _mean(self, values: Array) -> Array:
        """Mean over the phases of (T, B, K, ...)."""
        return values[:, :, 0] if len(self.weights) == 1 else np.tensordot(self.weights, values, (0, 2))

    def _add_flow(self, dt: Array, currents: tuple[Array, Array], powers: tuple[Array, Array]) -> None:
        """Add the charge and energy of the collected steps; the first of them starts where the last flush ended."""
        for k, (total, (end, middle)) in enumerate(zip((self.charge, self.energy), (currents, powers), strict=True)):
            before = end[:1] if self._before is None else self._before[k]
            start = np.concatenate([before, end[:-1]])
            total[self.active] += flow(dt, start, middle, end).sum(0)
        self._before = (currents[0][-1:], powers[0][-1:])

    def _spread(self, values: Array) -> Array:
        if len(self.active) == self.samples:
            return values
        whole = np.full((len(values), self.samples, *values.shape[2:]), np.nan)
        whole[:, self.active] = values
        return whole

    def finish(self) -> tuple[Array, tuple[Array, ...]]:
        """Times (T,) and v, i, v_loud, i_loud, v_calm, i_calm, output."""
        self.flush()
        if not self.parts:  # nothing held at the very first instant
            ports = len(self.network.ports)
            nothing = [np.full((1, self.samples, k), np.nan) for k in (ports, ports, self.amplifiers)]
            self.times.append(np.array([self.start]))
            self.parts.append(tuple(nothing))
        columns = [np.concatenate(c) for c in zip(*self.parts, strict=True)]
        v, i, output = columns[0], columns[1], columns[-1]
        loud_calm = columns[2:-1] or [v, i, v, i]
        found = (v, i, *loud_calm, output)
        t = np.concatenate(self.times)
        for array in (t, *found):
            array.setflags(write=False)
        return t, found
