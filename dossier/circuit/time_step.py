"""One step of time for the samples still running: TR-BDF2 on the storage states, Newton on the ports.

TR-BDF2 with gamma = 2 - sqrt 2 (Bank et al. 1985, IEEE Trans. CAD 4(4) 436; Hosea & Shampine 1996, Appl. Numer.
Math. 20, 21-37; not checked against the documents): both stages are y = h + theta f(y) with theta = gamma dt/2,
stiffly accurate, of second order, with a third-order estimate of the local error from the same three slopes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

import numpy as np

from dossier.circuit import newton
from dossier.circuit.companion import Blocks, Pattern
from dossier.circuit.direct import Direct
from dossier.circuit.direct_law import DirectLaw, at_phases
from dossier.circuit.elements import Array, Mask
from dossier.circuit.newton import Point
from dossier.circuit.ripple import STILL, Phases
from dossier.circuit.stages import Stages
from dossier.circuit.storage import LEAST_THETA, Storage
from dossier.frozen import dataclass

GAMMA = 2.0 - np.sqrt(2.0)
HALF_GAMMA = GAMMA / 2.0
A1 = 1.0 / (GAMMA * (2.0 - GAMMA))
A0 = A1 - 1.0
ERROR = 2.0 * (-3.0 * GAMMA**2 + 4.0 * GAMMA - 2.0) / (12.0 * (2.0 - GAMMA))
ERROR_0, ERROR_1, ERROR_2 = ERROR / GAMMA, -ERROR / (GAMMA * (1.0 - GAMMA)), ERROR / (1.0 - GAMMA)
LEAST_RISE = 0.01  # of the level; below this its slope dv/dlevel is not taken

Sliced = TypeVar("Sliced")


def take(thing: Sliced, keep: Mask, samples: int) -> Sliced:
    """A dataclass of arrays with only the samples ``keep`` (bool, (samples,)) of those that have a sample axis."""
    changes: dict[str, object] = {}
    for each in fields(thing):  # type: ignore[arg-type]
        value = getattr(thing, each.name)
        if is_dataclass(value):
            changes[each.name] = take(value, keep, samples)
        elif isinstance(value, np.ndarray) and value.ndim > 1 and len(value) == samples:
            changes[each.name] = value[keep]
    return replace(thing, **changes)  # type: ignore[type-var]


@dataclass(frozen=True, slots=True)
class Instant:
    """Everything about one instant: states y and their slopes f (B, q), and the operating point."""

    t: float
    y: Array
    f: Array
    point: Point


@dataclass(frozen=True, slots=True)
class Step:
    """A tried step: where it led, its error, and what flowed meanwhile."""

    end: Instant  # the instant reached
    middle: Point  # operating point at the inner stage
    error: float  # largest local error of any state in units of its tolerance, all samples
    found: Mask  # (B,) bool, both stages converged


class TimeStep:
    """The equations of the samples still running, ready to be stepped."""

    def __init__(self, storage: Storage, direct: Direct, blocks: Blocks, level: Callable[[float], float]) -> None:
        self.level = level
        self.phases = STILL
        self.tolerance = np.ones(0)
        self.replace_parts(storage, direct, blocks)

    def set_phases(self, phases: Phases) -> None:
        """Phases of the ripple cycle at which operating points are solved."""
        self.phases = phases
        self.replace_parts(self.storage, self.direct, self.blocks)

    def replace_parts(self, storage: Storage, direct: Direct, blocks: Blocks) -> None:
        """New parameters, discrete states or samples."""
        self.storage, self.direct, self.blocks = storage, direct, blocks
        self.stages = Stages(storage, blocks, self.phases)
        self._laws = at_phases(direct, self.phases.wave)
        self._per_level: Array | None = None

    def mean(self, values: Array) -> Array:
        """Mean over the cycle of (B, K, ports) values."""
        mean: Array = values[:, 0] if len(self.phases.weights) == 1 else self.phases.weights @ values
        return mean

    def stage(self, t: float, theta: float, history: Array, guess: Array, pattern: Pattern) -> Point:
        """States and operating point of y = history + theta f(y) at time t, Newton starting from ``guess``."""
        return newton.solve(self.stages, self.stages.companion(theta), history, self.law(t), guess, pattern)

    def law(self, t: float) -> DirectLaw:
        """The ports without memory at time t."""
        return self._laws.at(self.level(t))

    def settling_stage(
        self, theta: float, history: Array, bulk: Array, guess: Array, pattern: Pattern, level: float
    ) -> Point:
        """An implicit stage at one level with other bulk capacitances (1/F): to settle without discharging."""
        stages = Stages(replace(self.storage, inverse_bulk=bulk), self.blocks, STILL)
        held = at_phases(self.direct, np.zeros(1)).at(level)
        return newton.solve(stages, stages.companion(theta), history, held, guess, pattern)

    def instant(self, t: float, y: Array, guess: Array, pattern: Pattern) -> Instant:
        """The operating point for frozen states y, with consistent slopes."""
        point = self.stage(t, LEAST_THETA, y, guess, pattern)
        m = self.blocks.g_s.shape[1]
        f = self.storage.slope(y, -self.mean(point.i[..., :m]), self.mean(point.v[..., :m]))
        return Instant(t, y, f, point)

    def step(self, start: Instant, dt: float) -> Step:
        """Try a step of dt s."""
        theta, t = HALF_GAMMA * dt, start.t
        m = self.blocks.g_s.shape[1]
        v0 = start.point.v[..., m:]
        rise = self.level(t + dt) - self.level(t)
        # voltages follow the level almost at once: guess by the slope dv/dlevel seen last
        guess = v0 if self._per_level is None else v0 + GAMMA * rise * self._per_level
        h1 = start.y + theta * start.f
        p1 = self.stage(t + GAMMA * dt, theta, h1, guess, start.point.pattern)
        h2 = A1 * p1.y - A0 * start.y
        p2 = self.stage(t + dt, theta, h2, v0 + (p1.v[..., m:] - v0) * (1.0 / GAMMA), p1.pattern)
        if abs(rise) > LEAST_RISE:
            self._per_level = (p2.v[..., m:] - v0) * (1.0 / rise)
        f1, f2 = (p1.y - h1) * (1.0 / theta), (p2.y - h2) * (1.0 / theta)
        error = np.abs((ERROR_0 * dt) * start.f + (ERROR_1 * dt) * f1 + (ERROR_2 * dt) * f2) / self.tolerance
        return Step(Instant(t + dt, p2.y, f2, p2), p1, float(error.max(initial=0.0)), p1.found & p2.found)


def stride(left: float, h: float) -> float:
    """A step of at most about h s towards the next vertex, ``left`` s away; few different lengths in a run."""
    if left <= 1.01 * h:
        return left
    rung = float(2.0 ** (np.floor(2.0 * np.log2(h)) / 2.0))
    return 0.5 * left if left < 2.0 * rung else rung


def flow(dt: Array, start: Array, middle: Array, end: Array) -> Array:
    """Integrals of quantities over steps dt (T,), by the weights of TR-BDF2, from their values (T, ...) in each."""
    theta = HALF_GAMMA * dt.reshape(-1, *[1] * (start.ndim - 1))
    total: Array = theta * (A1 * (start + middle) + end)
    return total
