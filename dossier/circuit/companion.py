"""Storage elements within one implicit stage: piecewise linear laws.

Every stage of the integrator reads y = h + theta f(y) with h known; theta = 0 means "states frozen". That turns
the differential equations of ``elements`` into laws i(v) of straight pieces. Which piece each element is on is the
pattern. For one theta and one pattern the storage elements are linear and vanish from the unknowns (see ``stages``).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dossier.circuit.elements import Array
from dossier.circuit.ripple import Phases
from dossier.circuit.storage import LEAK_S, LEAST_THETA, Storage
from dossier.frozen import dataclass

IDLE, REGULATING, AT_LIMIT, RAMPING = range(4)  # pieces of an alternator's law


@dataclass(frozen=True, slots=True)
class Blocks:
    """The folded network cut into storage (s) and other (n) ports; arrays start with the sample axis."""

    ss: Array
    sn: Array
    ns: Array
    nn: Array
    g_s: Array  # (B, m)
    g_n: Array  # (B, n)


def cut(z: Array, g0: Array, storages: int) -> Blocks:
    """Blocks of the port resistance matrix z (B, p, p)."""
    m = storages
    parts = (z[:, :m, :m], z[:, :m, m:], z[:, m:, :m], z[:, m:, m:], g0[:, :m], g0[:, m:])
    return Blocks(*(np.ascontiguousarray(part) for part in parts))


@dataclass(frozen=True, slots=True)
class Pattern:
    """Which piece of its law every storage element is on."""

    below: NDArray[np.bool_]  # (B, e) bool, battery below the voltage at which its surface charge changes sign
    region: NDArray[np.int8]  # (B, K, a) int8, alternators at each phase

    @property
    def key(self) -> bytes:
        """Equal for equal patterns."""
        return self.below.tobytes() + self.region.tobytes()

    def towards(self, found: Pattern, *, one_at_a_time: bool) -> Pattern:
        """The next pattern to try when the solution of this one lies on ``found``.

        An alternator between idle and its limit is first tried regulating: jumping over that piece would throw it
        to and fro for ever against a battery that takes little charge. ``one_at_a_time`` changes only the first
        element that differs, per sample, where changing all of them went round in circles.
        """
        below, region = found.below, found.region
        jumps = np.where(self.region == IDLE, region >= AT_LIMIT, (self.region >= AT_LIMIT) & (region == IDLE))
        region = np.where(jumps, np.int8(REGULATING), region)
        if one_at_a_time:
            b, e = below.shape
            flat_old = np.concatenate([self.below.view(np.int8), self.region.reshape(b, -1)], axis=1)
            flat_new = np.concatenate([below.view(np.int8), region.reshape(b, -1)], axis=1)
            first = np.argmax(flat_old != flat_new, axis=1) if flat_old.shape[1] else np.zeros(b, dtype=np.intp)
            only = np.zeros(flat_old.shape, dtype=bool)
            only[np.arange(b), first] = True
            flat = np.where(only, flat_new, flat_old)
            below, region = flat[:, :e].astype(bool), flat[:, e:].reshape(region.shape)
        return Pattern(below, region)


@dataclass(frozen=True, slots=True)
class Pieces:
    """Where the pieces of the laws end."""

    kink: Array  # V, of batteries (B, e)
    regulates: Array  # V, below which an alternator regulates (B, 1, a)
    limited: Array  # V, below which it is at its limit or, where ``ramps`` is 1, still rising towards it
    ramps: NDArray[np.int8] | None = None

    def pattern(self, mean_e: Array, v_a: Array) -> Pattern:
        """The pattern at battery voltages (B, e) (means) and alternator voltages (B, K, a)."""
        region = (v_a < self.regulates).astype(np.int8)
        if v_a.shape[2]:
            beyond = v_a < self.limited
            region += beyond if self.ramps is None else beyond * (1 + self.ramps)
        return Pattern(mean_e < self.kink, region)


@dataclass(frozen=True, slots=True)
class Companion:
    """Coefficients of the laws for one theta. Batteries deliver (s - v) g, s linear in the history h."""

    theta: float
    storage: Storage
    bulk: Array
    alpha1: Array
    beta1: Array
    d_dis: Array
    d_chg: Array
    kink: Array
    low_g: Array
    high_g: Array
    keep: Array
    gain: Array
    ramps: bool

    def pieces(self, h: Array) -> Pieces:
        """Where the pieces of the laws end at history h (B, q)."""
        s = self.storage
        e = s.emfs
        kink = s.e0 + h[:, :e] - self.alpha1 * h[:, e : 2 * e] + self.kink * h[:, 2 * e : 3 * e]
        if not s.vset.shape[1]:
            return Pieces(kink, s.vset[:, None], s.vset[:, None])
        full = s.vset - s.rd * s.imax
        if not self.ramps:
            return Pieces(kink, s.vset[:, None], full[:, None])
        x = h[:, 3 * e :]
        slow = s.vset - ((1.0 - self.keep) * x + self.theta * np.minimum(s.ramp, 1e12)) / self.gain
        return Pieces(kink, s.vset[:, None], np.maximum(full, slow)[:, None], (slow > full)[:, None].astype(np.int8))


def companion(storage: Storage, theta: float) -> Companion:
    """Coefficients of the stage laws for one theta [s]."""
    s, theta = storage, max(theta, LEAST_THETA)
    lagging, charged = s.c1 > 0.0, s.cs > 0.0
    below1 = np.where(lagging, s.c1 + theta * s.g1, 1.0)
    d_dis = np.where(charged, 1.0 / np.where(charged, s.cs + theta * s.g_dis, 1.0), 0.0)
    d_chg = np.where(charged, 1.0 / np.where(charged, s.cs + theta * s.g_chg, 1.0), 0.0)
    beta1 = np.where(lagging, theta / below1, 0.0)
    base = s.r0 + beta1 + theta * s.inverse_bulk
    q = theta / s.tau
    return Companion(
        theta=theta,
        storage=s,
        bulk=theta * s.inverse_bulk,
        alpha1=np.where(lagging, s.c1 / below1, 0.0),
        beta1=beta1,
        d_dis=d_dis,
        d_chg=d_chg,
        kink=base * s.cs / theta,
        low_g=1.0 / (base + theta * d_dis),
        high_g=1.0 / (base + theta * d_chg),
        keep=1.0 / (1.0 + q),
        gain=q / (1.0 + q) / s.rd,
        ramps=bool(np.isfinite(s.ramp).any()),
    )


def laws(c: Companion, blocks: Blocks, phases: Phases, pattern: Pattern) -> tuple[Array, Array, Array, Array]:
    """phi_h (B, m, q) and phi_0 (B, m) of phi = phi_h h + phi_0, -di/dv of batteries (B, e), W (B, K, m)."""
    s = c.storage
    b, e = s.e0.shape
    m = blocks.g_s.shape[1]
    alive = ~s.tripped
    g = np.where(alive, np.where(pattern.below, c.low_g, c.high_g), LEAK_S)
    pull = -g * alive
    d = np.where(pattern.below, c.d_dis, c.d_chg)
    phi_h, phi_0 = np.zeros((b, m, 3 * e + m - e)), np.zeros((b, m))
    row = np.arange(e)
    phi_h[:, row, row] = pull
    phi_h[:, row, e + row] = -pull * c.alpha1
    phi_h[:, row, 2 * e + row] = -pull * s.cs * d
    phi_0[:, :e] = pull * s.e0
    slope = np.empty((b, len(phases.weights), m))
    slope[..., :e] = (g - blocks.g_s[:, :e])[:, None]
    if m > e:
        inside, limit, ramp = (phases.weights @ (pattern.region == r) for r in (REGULATING, AT_LIMIT, RAMPING))
        row = np.arange(m - e)
        phi_h[:, e + row, 3 * e + row] = -(c.keep * (1.0 - ramp) + ramp)
        rise = c.theta * np.where(np.isfinite(s.ramp), s.ramp, 0.0)
        phi_0[:, e:] = -(inside * c.gain * s.vset + limit * (1.0 - c.keep) * s.imax + ramp * rise)
        slope[..., e:] = c.gain[:, None] * (pattern.region == REGULATING)
    return phi_h, phi_0, g, slope
