"""One step of time for the samples still running: TR-BDF2 on the storage states, Newton on the ports.

TR-BDF2 with gamma = 2 - sqrt 2 (Bank et al. 1985, IEEE Trans. CAD 4(4) 436; Hosea & Shampine 1996, Appl. Numer.
Math. 20, 21-37; from memory): both stages are y = h + theta f(y) with theta = gamma dt/2, stiffly accurate, of
second order, with a third-order estimate of the local error from the same three slopes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import TypeVar

import numpy as np

from dossier.circuit import newton
from dossier.circuit.direct import Direct
from dossier.circuit.elements import Array
from dossier.circuit.newton import Blocks, Point
from dossier.circuit.storage import LEAST_THETA, Companion, Storage

GAMMA = 2.0 - np.sqrt(2.0)
HALF_GAMMA = GAMMA / 2.0
A1 = 1.0 / (GAMMA * (2.0 - GAMMA))
A0 = A1 - 1.0
ERROR = 2.0 * (-3.0 * GAMMA**2 + 4.0 * GAMMA - 2.0) / (12.0 * (2.0 - GAMMA))
ERROR_0, ERROR_1, ERROR_2 = ERROR / GAMMA, -ERROR / (GAMMA * (1.0 - GAMMA)), ERROR / (1.0 - GAMMA)
KEPT_COMPANIONS = 64

Sliced = TypeVar("Sliced")


def take(thing: Sliced, keep: Array, samples: int) -> Sliced:
    """A dataclass of arrays with only the samples ``keep`` (bool, (samples,)) of those that have a sample axis."""
    changes = {}
    for each in fields(thing):  # type: ignore[arg-type]
        value = getattr(thing, each.name)
        if isinstance(value, np.ndarray) and value.ndim > 1 and len(value) == samples:
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
    """A tried step: where it led, its error, and what flowed meanwhile.

    Attributes:
        end: the instant reached.
        middle: operating point at the inner stage.
        error: largest local error of any state in units of its tolerance, all samples.
        found: (B,) bool, both stages converged.
    """

    end: Instant
    middle: Point
    error: float
    found: Array


class March:
    """The equations of the samples still running, ready to be stepped."""

    def __init__(self, storage: Storage, direct: Direct, blocks: Blocks, level: Callable[[float], float]) -> None:
        self.storage = storage
        self.direct = direct
        self.blocks = blocks
        self.level = level
        self.wave = np.zeros(1)
        self.weights = np.ones(1)
        self.tolerance = np.ones(0)
        self._companions: dict[float, Companion] = {}

    def set_phases(self, wave: Array, weights: Array) -> None:
        """Phases of the ripple cycle at which operating points are solved."""
        self.wave, self.weights = wave, weights

    def replace_parts(self, storage: Storage, direct: Direct, blocks: Blocks) -> None:
        """New parameters, discrete states or samples."""
        self.storage, self.direct, self.blocks = storage, direct, blocks
        self._companions.clear()

    def _companion(self, theta: float) -> Companion:
        key = float(f"{theta:.10e}")
        found = self._companions.get(key)
        if found is None:
            if len(self._companions) >= KEPT_COMPANIONS:
                self._companions.clear()
            found = self._companions[key] = self.storage.companion(theta)
        return found

    def mean(self, values: Array) -> Array:
        """Mean over the cycle of (B, K, ...) values."""
        return values[:, 0] if len(self.weights) == 1 else np.tensordot(self.weights, values, (0, 1))

    def stage(self, t: float, theta: float, history: Array, v_n: Array, z: Array) -> tuple[Array, Point]:
        """States and operating point of y = history + theta f(y) at time t, Newton starting from v_n, z."""
        law = self._companion(theta).stage(history)
        point = newton.solve(self.blocks, law, self.direct.stage(self.level(t), self.wave), self.weights, v_n, z)
        return law.states(-self.mean(point.i[..., : z.shape[1]])), point

    def settling_stage(self, theta: float, history: Array, bulk: Array, v_n: Array, z: Array) -> tuple[Array, Point]:
        """An implicit stage at rest with other bulk capacitances (1/F): to settle without discharging."""
        law = replace(self.storage, inverse_bulk=bulk).companion(theta).stage(history)
        silent = self.direct.stage(0.0, np.zeros(1))
        point = newton.solve(self.blocks, law, silent, np.ones(1), v_n, z)
        return law.states(-point.i[:, 0, : z.shape[1]]), point

    def instant(self, t: float, y: Array, v_n: Array, z: Array) -> Instant:
        """The operating point for frozen states y, with consistent slopes."""
        _, point = self.stage(t, LEAST_THETA, y, v_n, z)
        m = z.shape[1]
        v_s = self.mean(point.v[..., :m])
        return Instant(t, y, self.storage.slope(y, -self.mean(point.i[..., :m]), v_s), point)

    def step(self, start: Instant, dt: float) -> Step:
        """Try a step of dt s."""
        theta = HALF_GAMMA * dt
        m = start.point.z.shape[1]
        v0, z0 = start.point.v[..., m:], start.point.z
        h1 = start.y + theta * start.f
        y1, p1 = self.stage(start.t + GAMMA * dt, theta, h1, v0, z0)
        h2 = A1 * y1 - A0 * start.y
        v1 = p1.v[..., m:]
        guess = v0 + (v1 - v0) / GAMMA
        y2, p2 = self.stage(start.t + dt, theta, h2, guess, z0 + (p1.z - z0) / GAMMA)
        f1, f2 = (y1 - h1) / theta, (y2 - h2) / theta
        error = np.abs(dt * (ERROR_0 * start.f + ERROR_1 * f1 + ERROR_2 * f2)) / self.tolerance
        return Step(Instant(start.t + dt, y2, f2, p2), p1, float(error.max(initial=0.0)), p1.found & p2.found)

    def flow(self, start: Point, step: Step, dt: float) -> tuple[Array, Array]:
        """Charge [A s] and energy [J] into each port (B, p) during a step, by the weights of TR-BDF2 itself."""
        theta = HALF_GAMMA * dt
        points = (start, step.middle, step.end.point)
        i0, i1, i2 = (self.mean(p.i) for p in points)
        w0, w1, w2 = (self.mean(p.i * p.v) for p in points)
        return theta * (A1 * (i0 + i1) + i2), theta * (A1 * (w0 + w1) + w2)
