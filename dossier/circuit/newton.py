"""The operating point of one stage: Newton's method on the ports, all samples and ripple phases at once.

Storage ports (B, m) carry z = i - g0 v, the same in every phase of a cycle because their states do not move within
it; the other ports (B, K, n) each have a voltage per phase. With the folded network (Z in blocks s, n)

    v_n = -Z_ns z - Z_nn j_n(v_n),   v_s = -Z_ss z - Z_sn j_n,   z = phi(mean over the phases of v_s)

Eliminating the phases leaves an m x m system for z. With K = 1 this is the plain envelope.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.circuit.direct import DirectLaw
from dossier.circuit.elements import Array
from dossier.circuit.storage import StorageLaw

STOP_V = 1e-5  # V, last correction that still counts as open; the next one is its square
PLAIN_ITERATIONS = 12  # thereafter half steps: clip and kink can throw plain steps to and fro
UPPER_ITERATIONS = 28  # thereafter from the guard side: just past a fold Newton neither converges nor diverges
MOST_ITERATIONS = 3 * UPPER_ITERATIONS
STAY_SHARE = 0.3  # of its height above v_low an amplifier keeps at least this share in one step


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
    return Blocks(
        *(np.ascontiguousarray(part) for part in (z[:, :m, :m], z[:, :m, m:], z[:, m:, :m], z[:, m:, m:])),
        np.ascontiguousarray(g0[:, :m]),
        np.ascontiguousarray(g0[:, m:]),
    )


@dataclass(frozen=True, slots=True)
class Point:
    """An operating point.

    Attributes:
        v: (B, K, p) V, port voltages, storage first.
        i: (B, K, p) A, element currents p to n.
        z: (B, m) A, source currents of the storage ports.
        found: (B,) bool, Newton converged.
    """

    v: Array
    i: Array
    z: Array
    found: Array


def solve(blocks: Blocks, storage: StorageLaw, direct: DirectLaw, weights: Array, v_n: Array, z: Array) -> Point:
    """The operating point reached from a guess v_n (B, K, n), z (B, m).

    Amplifiers stay above their lowest working voltage if the network allows it and the guess lies above; else the
    point returned lies on their guard branch.
    """
    b, k, n = v_n.shape
    m = z.shape[1]
    e = storage.companion.e0.shape[1]
    others = direct.elements.others
    v_low = direct.elements.v_low[:, None]
    z_ss, z_sn, z_nn = blocks.ss[:, None], blocks.sn[:, None], blocks.nn[:, None]
    back = np.eye(n)
    g_n, g_s = blocks.g_n[:, None], blocks.g_s
    rhs = np.empty((b, k, n, 1 + m))
    rhs[..., 1:] = blocks.ns[:, None]
    slow = np.empty((b, k, m))
    phi = np.empty((b, m))
    eye = np.eye(m)
    for iteration in range(MOST_ITERATIONS):
        i_n, d_n = direct.currents(v_n)
        j_n = i_n - g_n * v_n
        slopes = d_n - g_n
        v_s = -((z_ss @ z[:, None, :, None]) + z_sn @ j_n[..., None])[..., 0]
        rhs[..., 0] = v_n + (blocks.ns @ z[..., None])[:, None, :, 0] + (z_nn @ j_n[..., None])[..., 0]
        mean = v_s[:, 0] if k == 1 else weights @ v_s
        i_e, g_e = storage.batteries(mean[:, :e])
        i_a, g_a = storage.alternators(v_s[..., e:])
        phi[:, :e] = -i_e - g_s[:, :e] * mean[:, :e]
        phi[:, e:] = -(weights @ i_a)
        slow[..., :e] = (g_e - g_s[:, :e])[:, None]
        slow[..., e:] = g_a
        cross = direct.cross(v_n)
        if cross:
            full = slopes[..., None] * back
            for row, column, values in cross:
                full[..., row, column] += values
            x = np.linalg.solve(back + z_nn @ full, rhs)
            y = full @ x
        else:
            x = np.linalg.solve(back + z_nn * slopes[:, :, None, :], rhs)
            y = slopes[..., None] * x
        q = z_sn @ y
        share = weights[:, None] * slow
        lhs = eye + (share[..., None] * (z_ss - q[..., 1:])).sum(1)
        dz = np.linalg.solve(lhs, (phi - z + (share * q[..., 0]).sum(1))[..., None])
        dv = -x[..., 0] - (x[..., 1:] @ dz[:, None])[..., 0]
        dz = dz[..., 0]
        # hold amplifiers above their lowest voltage: on the way down a long step may jump onto the guard branch
        if others < n and iteration < UPPER_ITERATIONS:
            height = v_n[..., others:] - v_low
            drop = -dv[..., others:]
            tight = (height > 0.0) & (drop > (1.0 - STAY_SHARE) * height)
            if tight.any():
                limit = np.where(tight, (1.0 - STAY_SHARE) * height / np.where(tight, drop, 1.0), 1.0).min((1, 2))
                dv, dz = dv * limit[:, None, None], dz * limit[:, None]
        if iteration % UPPER_ITERATIONS >= PLAIN_ITERATIONS:
            dv, dz = 0.5 * dv, 0.5 * dz
        change = np.abs(dv).max((1, 2)) if n else np.abs((blocks.ss @ dz[..., None])).max((1, 2))
        v_n, z = v_n + dv, z + dz
        if change.max() < STOP_V:
            break
        if iteration == UPPER_ITERATIONS - 1:
            lost = change >= STOP_V
            v_n[lost, :, others:] = 0.5 * direct.elements.v_low[lost][:, None]
    i_n = i_n + d_n * dv
    if cross:
        for row, column, values in cross:
            i_n[..., row] += values * dv[..., column]
    j_n = i_n - g_n * v_n
    v_s = -((z_ss @ z[:, None, :, None]) + z_sn @ j_n[..., None])[..., 0]
    v = np.concatenate([v_s, v_n], axis=2)
    i = np.concatenate([z[:, None] + g_s[:, None] * v_s, i_n], axis=2)
    return Point(v, i, z, change < STOP_V)
