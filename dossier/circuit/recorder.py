"""Collects the operating points of a run and condenses their ripple cycles to mean, extremes and rms."""

from __future__ import annotations

import numpy as np

from dossier.circuit.direct import Direct
from dossier.circuit.elements import Amplifier, Array, Indices, Mask
from dossier.circuit.network import Folded, Network
from dossier.circuit.newton import Point
from dossier.circuit.ripple import Phases
from dossier.circuit.time_step import flow
from dossier.circuit.trace import Cycle
from dossier.frozen import dataclass

FLUSH_BYTES = 32e6  # recorded cycles are condensed whenever they fill this much memory


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
    """Collects operating points of the samples still running."""

    def __init__(self, network: Network, folded: Folded, direct: Direct, phases: Phases, detail: bool) -> None:
        self.samples = network.samples
        self.direct, self.folded = direct, folded
        self.phases, self.weights = phases, phases.weights
        self.detail = detail
        self.amplifiers = len(network.of(Amplifier))
        self.rows: list[Row] = []
        self.bytes = 0.0
        self.active: Indices = np.arange(self.samples)
        self.charge, self.energy = (np.zeros((self.samples, len(network.ports))) for _ in range(2))
        self._before: tuple[Array, Array] | None = None  # mean currents and powers of the last condensed point
        self.times: list[Array] = []
        self.parts: list[list[Array]] = []

    def add(self, t: float, level: float, end: Point, on: Array, middle: Point | None = None, dt: float = 0.0) -> None:
        """One operating point of the active samples; with ``middle``, that of the inner stage of the step to it."""
        self.rows.append(Row(t, level, dt, end, middle or end, on))
        self.bytes += 32.0 * end.v.size
        if self.bytes > FLUSH_BYTES:
            self.flush()

    def keep(self, active: Indices, kept: Mask, direct: Direct) -> None:
        """From now on points come for the samples ``active`` only, ``kept`` (bool) of those so far."""
        self.flush()
        if self._before is not None:
            self._before = (self._before[0][kept], self._before[1][kept])
        self.active, self.direct = active, direct

    def flush(self) -> None:
        """Condense what is collected."""
        rows = self.rows
        if not rows:
            return
        v, i, v1, i1 = (
            np.stack(q) for q in zip(*((r.end.v, r.end.i, r.middle.v, r.middle.i) for r in rows), strict=True)
        )
        level, on = np.array([r.level for r in rows]), np.stack([r.on for r in rows])
        output = self.direct.output(level, self.phases.wave, v[..., v.shape[-1] - self.amplifiers :], on)
        currents, powers = (i, i1), (v * i, v1 * i1)
        self._add_flow(np.array([r.dt for r in rows]), currents, powers)
        quantities = [v, i]
        if self.detail:
            j = i - self.folded.g0[self.active][:, None] * v
            rules = (self.folded.node_map[self.active], self.folded.branch_map[self.active])
            quantities += [-(j @ rule.transpose(0, 2, 1)) for rule in rules]
        found = [part for quantity in quantities for part in self._condense(quantity)]
        self.times.append(np.array([r.t for r in rows]))
        self.parts.append([self._spread(q) for q in (*found, self._mean(output))])
        self.rows, self.bytes = [], 0.0

    def _condense(self, values: Array) -> list[Array]:
        """Mean, and with ripple smallest, largest and rms, (T, b, q), of values (T, b, K, q)."""
        mean = self._mean(values)
        if len(self.weights) == 1:
            return [mean]
        extremes = [values.min(2), values.max(2)]
        if self.phases.transfer is not None:
            extremes = [_lowest(values), -_lowest(-values)]
        return [mean, *extremes, np.sqrt(self._mean(values * values))]

    def _mean(self, values: Array) -> Array:
        """Mean over the phases of (T, b, K, ...)."""
        mean: Array = values[:, :, 0] if len(self.weights) == 1 else np.tensordot(self.weights, values, (0, 2))
        return mean

    def _add_flow(self, dt: Array, currents: tuple[Array, Array], powers: tuple[Array, Array]) -> None:
        """Add the charge and energy of the collected steps; the first of them starts where the last flush ended."""
        last = []
        for k, (total, pair) in enumerate(((self.charge, currents), (self.energy, powers))):
            end, middle = (self._mean(q) for q in pair)
            before = end[0] if self._before is None else self._before[k]
            total[self.active] += flow(dt, np.concatenate([before[None], end[:-1]]), middle, end).sum(0)
            last.append(end[-1])
        self._before = (last[0], last[1])

    def _spread(self, values: Array) -> Array:
        if len(self.active) == self.samples:
            return values
        whole = np.full((len(values), self.samples, *values.shape[2:]), np.nan)
        whole[:, self.active] = values
        return whole

    def finish(self, start: float) -> tuple[Array, list[Cycle], Array]:
        """Times (T,), the cycles of each quantity, and the output; one row of NaN at ``start`` if nothing ever held."""
        self.flush()
        if not self.parts:
            sizes = [self.folded.g0.shape[1]] * 2
            sizes += [self.folded.node_map.shape[1], self.folded.branch_map.shape[1]] if self.detail else []
            each = 1 if len(self.weights) == 1 else 4
            self.times.append(np.array([start]))
            sizes = [size for size in sizes for _ in range(each)] + [self.amplifiers]
            self.parts.append([np.full((1, self.samples, size), np.nan) for size in sizes])
        t, columns = np.concatenate(self.times), [np.concatenate(c) for c in zip(*self.parts, strict=True)]
        output = columns.pop()
        if len(self.weights) == 1:
            cycles = [Cycle(c, c, c, np.abs(c)) for c in columns]
        else:
            cycles = [Cycle(*columns[k : k + 4]) for k in range(0, len(columns), 4)]
        for array in (t, output, *(a for c in cycles for a in (c.mean, c.trough, c.crest, c.rms))):
            array.setflags(write=False)
        return t, cycles, output


def _lowest(values: Array) -> Array:
    """Smallest value over the phases of (T, b, K, q) around the whole cycle, by parabolas through three phases."""
    k = values.shape[2]
    at = values.argmin(2)[:, :, None]
    a, b, c = (np.take_along_axis(values, (at + d) % k, 2)[:, :, 0] for d in (-1, 0, 1))
    bend = a - 2.0 * b + c
    result: Array = b - np.where(bend > 0.0, 0.125 * (a - c) ** 2 / np.where(bend > 0.0, bend, 1.0), 0.0)
    return result
