"""Storage elements within one implicit stage: piecewise linear laws, and the network with them folded in.

Every stage of the integrator reads y = h + theta f(y) with h known; theta = 0 means "states frozen". That turns
the differential equations of ``elements`` into laws i(v) of straight pieces. Which piece each element is on is the
pattern. For one theta and one pattern the storage elements are linear and vanish from the unknowns: what is left
between the ports without memory is v = source - g j, and everything is linear in h and j.

A storage port's z = i - g0 v is the same at every phase of a ripple cycle, because its states do not move within
it; with slope W of z on the port voltage (batteries: on its mean over the phases, weights w),

    z = phi + sum_k w_k W_k v_k,   v_k = -Z_ss z - Z_sn j_k   =>   (1 + W Z_ss) z = phi - sum_k w_k W_k Z_sn j_k
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dossier.circuit.elements import Array
from dossier.circuit.storage import LEAK_S, LEAST_THETA, Storage

KEPT = 64  # folded stages kept; a programme of equal segments needs few
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
    """Which piece of its law every storage element is on.

    Attributes:
        below: (B, e) bool, battery below the voltage at which its surface charge changes sign.
        region: (B, K, a) int8, alternators at each phase.
    """

    below: NDArray[np.bool_]
    region: NDArray[np.int8]

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

    def pattern(self, h: Array, mean_e: Array, v_a: Array) -> Pattern:
        """The pattern at history h (B, q), battery voltages (B, e) (means) and alternator voltages (B, K, a)."""
        s = self.storage
        e = s.emfs
        kink = s.e0 + h[:, :e] - self.alpha1 * h[:, e : 2 * e] + self.kink * h[:, 2 * e : 3 * e]
        if not v_a.shape[2]:
            return Pattern(mean_e < kink, np.zeros(v_a.shape, dtype=np.int8))
        full = s.vset - s.rd * s.imax
        region = (v_a < s.vset[:, None]).astype(np.int8)
        if self.ramps:
            x = h[:, 3 * e :]
            slow = s.vset - ((1.0 - self.keep) * x + self.theta * np.minimum(s.ramp, 1e12)) / self.gain
            region += np.where(v_a < np.maximum(full, slow)[:, None], 1 + (slow > full)[:, None], 0).astype(np.int8)
        else:
            region += v_a < full[:, None]
        return Pattern(mean_e < kink, region)


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


@dataclass(frozen=True, slots=True)
class Stage:
    """The network of one theta and one pattern, storage folded in. N = K n unknowns, phase by phase.

    From the history: from_h h + from_0 = (source (n), z (m), v of the storage ports at each phase (K m)) before any
    j flows. Then v = source - g j, and z and the storage voltages gain from_j j. y = keep h + gain (i, i, i, x).
    """

    companion: Companion
    key: bytes
    g: Array
    from_h: Array
    from_0: Array
    from_j: Array
    keep: Array
    gain: Array

    def states(self, h: Array, i: Array) -> Array:
        """The states y at the end of the stage, given mean discharge currents i (B, m)."""
        e = self.companion.storage.emfs
        return self.keep * h + self.gain * np.concatenate([i[:, :e], i[:, :e], i], axis=1)


def stage(c: Companion, blocks: Blocks, weights: Array, pattern: Pattern) -> Stage:
    """Fold the storage elements into the network for one pattern."""
    s = c.storage
    b, e, k, n = len(s.e0), s.emfs, len(weights), blocks.g_n.shape[1]
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
    slope = np.empty((b, k, m))
    slope[..., :e] = (g - blocks.g_s[:, :e])[:, None]
    if m > e:
        inside, limit, ramp = (weights @ (pattern.region == r) for r in (REGULATING, AT_LIMIT, RAMPING))
        row = np.arange(m - e)
        phi_h[:, e + row, 3 * e + row] = -(c.keep * (1.0 - ramp) + ramp)
        rise = c.theta * np.where(np.isfinite(s.ramp), s.ramp, 0.0)
        phi_0[:, e:] = -(inside * c.gain * s.vset + limit * (1.0 - c.keep) * s.imax + ramp * rise)
        slope[..., e:] = c.gain[:, None] * (pattern.region == REGULATING)
    share = weights[:, None] * slope
    inverse = np.linalg.inv(np.eye(m) + share.sum(1)[:, :, None] * blocks.ss)
    # (B, m, K n): what j at each phase does to sum_k w_k W_k v_k
    seen = (share[..., None] * blocks.sn[:, None]).transpose(0, 2, 1, 3).reshape(b, m, k * n)
    carried = blocks.ns @ inverse
    g_all = np.repeat((-(carried @ seen))[:, None], k, axis=1)
    for phase in range(k):
        g_all[:, phase, :, phase * n : (phase + 1) * n] += blocks.nn
    z_h, z_0, z_j = inverse @ phi_h, inverse @ phi_0[..., None], -(inverse @ seen)
    v_j = np.repeat(-(blocks.ss @ z_j)[:, None], k, axis=1)
    for phase in range(k):
        v_j[:, phase, :, phase * n : (phase + 1) * n] -= blocks.sn
    v_h, v_0 = (np.tile(-(blocks.ss @ part), (1, k, 1)) for part in (z_h, z_0))
    nothing = np.zeros((b, m - e))
    return Stage(
        companion=c,
        key=pattern.key,
        g=g_all.reshape(b, k * n, k * n),
        from_h=np.concatenate([-(blocks.ns @ z_h), z_h, v_h], axis=1),
        from_0=np.concatenate([-(blocks.ns @ z_0), z_0, v_0], axis=1)[..., 0],
        from_j=np.concatenate([z_j, v_j.reshape(b, k * m, k * n)], axis=1),
        keep=np.concatenate([np.ones((b, e)), c.alpha1, s.cs * d, nothing], axis=1),
        gain=np.concatenate([-c.bulk, c.beta1, c.theta * d, nothing + 1.0], axis=1),
    )


class Stages:
    """Folded stages, kept for as long as parameters and topology stay the same."""

    def __init__(self, storage: Storage, blocks: Blocks, weights: Array) -> None:
        self.storage, self.blocks, self.weights = storage, blocks, weights
        self._companions: dict[str, Companion] = {}
        self._stages: dict[tuple[float, bytes], Stage] = {}

    def companion(self, theta: float) -> Companion:
        """Coefficients for one theta [s]."""
        key = f"{theta:.9e}"
        if key not in self._companions:
            if len(self._companions) >= KEPT:
                self._companions.clear()
            self._companions[key] = companion(self.storage, theta)
        return self._companions[key]

    def stage(self, c: Companion, pattern: Pattern) -> Stage:
        """The folded network for one set of coefficients and one pattern."""
        key = (c.theta, pattern.key)
        if key not in self._stages:
            if len(self._stages) >= KEPT:
                self._stages.clear()
            self._stages[key] = stage(c, self.blocks, self.weights, pattern)
        return self._stages[key]
