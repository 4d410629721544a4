"""The network of one implicit stage with its storage elements folded in: what is left is linear between the others.

For one theta and one pattern every storage element is a straight line, so it vanishes from the unknowns: what is left
between the ports without memory is v = source - g j, and everything is linear in the history h and in j.

Where nothing moves within a ripple cycle, a storage port's z = i - g0 v is the same at every phase; with slope W of z
on the port voltage (batteries: on its mean over the phases, weights w),

    z = phi + sum_k w_k W_k v_k,   v_k = -Z_ss z - Z_sn j_k   =>   (1 + W Z_ss) z = phi - sum_k w_k W_k Z_sn j_k

Where capacitors move within it, each phase has its own z, and the same is solved for all of them at once.
"""

from __future__ import annotations

import numpy as np

from dossier.circuit.companion import Blocks, Companion, Pattern, companion, laws
from dossier.circuit.elements import Array
from dossier.circuit.ripple import Phases
from dossier.circuit.storage import Storage
from dossier.frozen import dataclass

KEPT = 64  # folded stages kept; a programme of equal segments needs few
MOST_JOINED = 128  # unknowns of a stage solved as one; more at several phases are solved phase by phase


@dataclass(frozen=True, slots=True)
class Stage:
    """The network of one theta and one pattern: K n unknowns, the voltages of the ports without memory at K phases.

    v = source - g j, and z of the storage ports likewise, one for all phases (s = 1) or one for each (s = K); then
    y = keep h + gain (i, i, i, x). At each phase g j = nn j + ns (z_j j): the storage ports alone join the phases.

    Attributes:
        phases: K, of which ``own`` have a z of their own: s.
        companion: coefficients.
        key: of the pattern.
        blocks: the network.
        g: (B, K n, K n), None where the phases are solved one by one.
        from_h, from_0: (B, s (n + m), q), (B, s (n + m)): source and z before any j flows, phase by phase.
        z_j: (B, s m, K n).
        keep, gain: (B, q).
    """

    phases: int
    own: int
    companion: Companion
    key: bytes
    blocks: Blocks
    g: Array | None
    from_h: Array
    from_0: Array
    z_j: Array
    keep: Array
    gain: Array

    def rest(self, h: Array) -> tuple[Array, Array]:
        """Source (B, K n) and z (B, s m) for the history h (B, q) before any j flows."""
        split = self.own * self.blocks.nn.shape[1]
        start = self.from_0 + (self.from_h @ h[..., None])[..., 0]
        source = start[:, :split]
        return (np.tile(source, (1, self.phases)) if self.own < self.phases else source), start[:, split:]

    def fall(self, j: Array) -> Array:
        """By how much currents j (B, K n) lower the voltages (B, K n)."""
        if self.g is not None:
            fall: Array = (self.g @ j[..., None])[..., 0]
            return fall
        b, n, m = len(j), self.blocks.nn.shape[1], self.blocks.ss.shape[1]
        z = (self.z_j @ j[..., None]).reshape(b, self.own, m)
        fall = j.reshape(b, self.phases, n) @ self.blocks.nn.transpose(0, 2, 1)
        fall += z @ self.blocks.ns.transpose(0, 2, 1)
        return fall.reshape(b, self.phases * n)

    def joined(self) -> Array:
        """The g of all phases together, (B, K n, K n)."""
        return _joined(self.blocks, self.z_j, self.phases, self.own) if self.g is None else self.g

    def storage(self, z_rest: Array, j: Array) -> tuple[Array, Array]:
        """The z and voltages of the storage ports, (B, s, m) and (B, K, m), for currents j (B, K n) of the others."""
        b, n, m = len(j), self.blocks.nn.shape[1], self.blocks.ss.shape[1]
        z = (z_rest + (self.z_j @ j[..., None])[..., 0]).reshape(b, self.own, m)
        v = -(z @ self.blocks.ss.transpose(0, 2, 1)) - j.reshape(b, self.phases, n) @ self.blocks.sn.transpose(0, 2, 1)
        return z, v

    def states(self, h: Array, i: Array) -> Array:
        """The states y at the end of the stage, given mean discharge currents i (B, m)."""
        e = self.companion.storage.emfs
        y: Array = self.keep * h + self.gain * np.concatenate([i[:, :e], i[:, :e], i], axis=1)
        return y


def stage(c: Companion, blocks: Blocks, phases: Phases, pattern: Pattern) -> Stage:
    """Fold the storage elements into the network for one pattern."""
    s = c.storage
    b, e = s.e0.shape
    k, m, n = len(phases.weights), blocks.g_s.shape[1], blocks.g_n.shape[1]
    phi_h, phi_0, g, slope = laws(c, blocks, phases, pattern)
    if phases.transfer is None:
        share = phases.weights[:, None] * slope
        z_phi = np.linalg.inv(np.eye(m) + share.sum(1)[:, :, None] * blocks.ss)
        seen = (share[..., None] * blocks.sn[:, None]).transpose(0, 2, 1, 3).reshape(b, m, k * n)
        z_j = -(z_phi @ seen)
        v_phi = -(blocks.ns @ z_phi)
    else:
        pull = _over_cycle(phases, phases.transfer, g, slope, blocks.g_s)
        inverse = np.linalg.inv(np.eye(k * m) + pull @ _each(blocks.ss, k))
        z_j = -(inverse @ (pull @ _each(blocks.sn, k)))
        z_phi = inverse @ np.tile(np.eye(m), (k, 1))
        v_phi = -(blocks.ns[:, None] @ z_phi.reshape(b, k, m, m)).reshape(b, k * n, m)
    from_phi = np.concatenate([v_phi, z_phi], axis=1)
    nothing = np.zeros((b, m - e))
    d = np.where(pattern.below, c.d_dis, c.d_chg)
    own = 1 if phases.transfer is None else k
    return Stage(
        phases=k,
        own=own,
        companion=c,
        key=pattern.key,
        blocks=blocks,
        g=_joined(blocks, z_j, k, own) if k == 1 or k * n <= MOST_JOINED else None,
        from_h=from_phi @ phi_h,
        from_0=(from_phi @ phi_0[..., None])[..., 0],
        z_j=z_j,
        keep=np.concatenate([np.ones((b, e)), c.alpha1, s.cs * d, nothing], axis=1),
        gain=np.concatenate([-c.bulk, c.beta1, c.theta * d, nothing + 1.0], axis=1),
    )


def _joined(blocks: Blocks, z_j: Array, k: int, own: int) -> Array:
    """The g (B, K n, K n) of k phases, of which ``own`` have a z of their own."""
    b, n, m = len(z_j), blocks.nn.shape[1], blocks.ss.shape[1]
    if own == 1:
        g = np.tile(blocks.ns @ z_j, (1, k, 1)) if k > 1 else blocks.ns @ z_j
    else:
        g = (blocks.ns[:, None] @ z_j.reshape(b, k, m, k * n)).reshape(b, k * n, k * n)
    for phase in range(k):
        at = slice(phase * n, (phase + 1) * n)
        g[:, at, at] += blocks.nn
    return g


def _over_cycle(phases: Phases, transfer: Array, g: Array, slope: Array, g_s: Array) -> Array:
    """(B, K m, K m): z at one phase per volt at another, where capacitors move within the cycle."""
    b, k, m = slope.shape
    e = g.shape[1]
    pull = np.zeros((b, k, m, k, m))
    still = np.eye(k)
    for port in range(m):
        if port < e:
            own = transfer[:, port] + g[:, port, None, None] * phases.weights - g_s[:, port, None, None] * still
        else:
            own = np.repeat((phases.weights * slope[:, :, port])[:, None], k, axis=1)
        pull[:, :, port, :, port] = own
    return pull.reshape(b, k * m, k * m)


def _each(block: Array, k: int) -> Array:
    """The block (B, r, c) on the diagonal for each of k phases, (B, k r, k c)."""
    b, r, c = block.shape
    whole = np.zeros((b, k, r, k, c))
    for phase in range(k):
        whole[:, phase, :, phase] = block
    return whole.reshape(b, k * r, k * c)


class Stages:
    """Folded stages, kept for as long as parameters and topology stay the same."""

    def __init__(self, storage: Storage, blocks: Blocks, phases: Phases) -> None:
        self.storage, self.blocks, self.phases = storage, blocks, phases
        self.weights = phases.weights
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
            self._stages[key] = stage(c, self.blocks, self.phases, pattern)
        return self._stages[key]
