"""Batteries, capacitor banks and alternators in one implicit stage: what they remember and what they deliver.

Every stage of the integrator reads y = h + theta f(y), with h known. For a storage element that turns the differential
equations of ``elements`` into a law i(v), piecewise linear and closed form; theta = 0 means "states frozen". A
capacitor bank is a battery without polarisation: e0 = 0, r0 = esr, c_bulk = farads. The states of all elements stand
side by side in one array y (B, 3 e + a): de, v1, vs of the e batteries and banks, then x of the a alternators.
"""

from __future__ import annotations

import numpy as np

from dossier.circuit.elements import Alternator, Array, Battery, Capacitor, Mask
from dossier.circuit.network import Network, fast_ohms, spread
from dossier.frozen import dataclass

LEAST_LAG = 1e-6  # s, an alternator's shortest lag
LEAST_THETA = 1e-9  # s, stands for theta = 0
LEAK_S = 1e-6  # S, what a tripped battery still conducts (keeps an isolated node regular)


def _columns(values: list[Array], samples: int) -> Array:
    """Arrays of shape (B,) side by side, (B, k)."""
    return np.stack(values, axis=-1) if values else np.zeros((samples, 0))


@dataclass(frozen=True, slots=True)
class Storage:
    """Parameters of all storage elements, batteries and banks as (B, e), alternators as (B, a); see ``gather``."""

    e0: Array
    r0: Array
    inverse_bulk: Array  # 1/F
    g1: Array  # 1/r1
    c1: Array
    g_dis: Array  # 1/rs_dis
    g_chg: Array
    cs: Array
    tripped: Mask
    vset: Array
    rd: Array
    imax: Array
    tau: Array
    ramp: Array

    @property
    def emfs(self) -> int:
        """How many batteries and banks there are."""
        return int(self.e0.shape[1])

    def slope(self, y: Array, i: Array, v: Array) -> Array:
        """f(y): time derivative of the states for discharge currents i (B, e+a) and port voltages v (B, e+a)."""
        e = self.emfs
        i_e, v1, vs, x = i[:, :e], y[:, e : 2 * e], y[:, 2 * e : 3 * e], y[:, 3 * e :]
        lagging, charged = self.c1 > 0.0, self.cs > 0.0
        d_v1 = np.where(lagging, (i_e - v1 * self.g1) / np.where(lagging, self.c1, 1.0), 0.0)
        g_s = np.where(vs > 0.0, self.g_dis, self.g_chg)
        d_vs = np.where(charged, (i_e - vs * g_s) / np.where(charged, self.cs, 1.0), 0.0)
        wanted = np.clip((self.vset - v[:, e:]) / self.rd, 0.0, self.imax)
        d_x = np.minimum((wanted - x) / self.tau, self.ramp)
        return np.concatenate([-i_e * self.inverse_bulk, d_v1, d_vs, d_x], axis=1)


def gather(network: Network, tripped: Mask | None = None) -> Storage:
    """The parameters of all storage elements of ``network``."""
    n = network.samples
    batteries, banks, machines = network.of(Battery), network.of(Capacitor), network.of(Alternator)

    def both(of_battery: list[Array], of_bank: list[Array]) -> Array:
        return _columns(of_battery + of_bank, n)

    def inverse(values: Array) -> Array:
        return np.divide(1.0, values, out=np.zeros(n), where=values > 0.0)

    zero = np.zeros(n)
    none = [zero for _ in banks]
    return Storage(
        e0=both([spread(b.e0, n) for b in batteries], none),
        r0=both([fast_ohms(b, n) for b in batteries], [np.maximum(spread(c.esr, n), 1e-6) for c in banks]),
        inverse_bulk=both([1.0 / spread(b.c_bulk, n) for b in batteries], [1.0 / spread(c.farads, n) for c in banks]),
        g1=both([inverse(spread(b.r1, n)) for b in batteries], none),
        c1=both([np.where(spread(b.r1, n) > 0.0, spread(b.c1, n), 0.0) for b in batteries], none),
        g_dis=both([inverse(spread(b.rs_dis, n)) for b in batteries], none),
        g_chg=both([inverse(spread(b.rs_chg, n)) for b in batteries], none),
        cs=both([np.where(spread(b.rs_chg, n) > 0.0, spread(b.cs, n), 0.0) for b in batteries], none),
        tripped=np.zeros((n, len(batteries) + len(banks)), dtype=bool) if tripped is None else tripped,
        vset=_columns([spread(a.vset, n) for a in machines], n),
        rd=_columns([np.maximum(spread(a.rd, n), 1e-6) for a in machines], n),
        imax=_columns([spread(a.imax, n) for a in machines], n),
        tau=_columns([np.maximum(spread(a.tau, n), LEAST_LAG) for a in machines], n),
        ramp=_columns([spread(np.inf if a.ramp is None else a.ramp, n) for a in machines], n),
    )
