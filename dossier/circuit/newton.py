"""The operating point of one stage: Newton's method on the ports without memory, all samples and phases at once."""

from __future__ import annotations

import numpy as np

from dossier.circuit.companion import Companion, Pattern, Pieces
from dossier.circuit.direct_law import Cross, DirectLaw
from dossier.circuit.elements import Array, Mask
from dossier.circuit.stages import Stage, Stages
from dossier.frozen import dataclass

STOP_V = 1e-6  # V, largest correction left out
PLAIN_ITERATIONS = 12  # thereafter half steps: clip and kink can throw plain steps to and fro
UPPER_ITERATIONS = 28  # thereafter from the guard side: just past a fold Newton neither converges nor diverges
UNKNOWN = 1e30  # how much larger a correction is than its residual, before the first
# Thereafter the way the voltages themselves would take: a source at its current limit feeding a constant power has a
# crossing on which nothing can stand, and Newton's method is drawn to it for ever.
FOLLOWING = 2 * UPPER_ITERATIONS
MOST_ITERATIONS = FOLLOWING + 60
MOST_FOLLOWED_V = 2.0  # in one step of that way
MOST_MOVED_V = 200.0  # in any step: more is a matrix without an inverse
REGULAR = 1e-6  # added to the slopes of the residual, which are about 1, where they may be none
STAY_SHARE = 0.3  # of its height above v_low an amplifier keeps at least this share in one step


class ConvergenceError(RuntimeError):
    """Newton's method found no operating point at all, not even on the guard branch: our own fault."""


@dataclass(frozen=True, slots=True)
class Point:
    """An operating point."""

    v: Array  # (B, K, p) V, port voltages, storage first
    i: Array  # (B, K, p) A, element currents p to n
    y: Array  # (B, q) storage states
    pattern: Pattern  # pieces of the storage laws it lies on
    found: Mask  # (B,) bool, Newton converged


def solve(stages: Stages, c: Companion, h: Array, law: DirectLaw, guess: Array, pattern: Pattern) -> Point:
    """The operating point of the stage with coefficients c and history h (B, q).

    Args:
        stages: the folded network.
        c: coefficients of the storage elements for this theta.
        h: history (B, q).
        law: ports without memory.
        guess: their voltages (B, K, n) to start from.
        pattern: pattern to start from.

    Returns:
        Amplifiers stay above their lowest working voltage if the network allows it and the guess lies above; else
        the point lies on their guard branch.
    """
    b, k, n = guess.shape
    g_n = stages.blocks.g_n if k == 1 else np.tile(stages.blocks.g_n, (1, k))
    v = guess.reshape(b, k * n)
    i_n, d_n, cross = law.currents(guess)
    j = i_n.reshape(b, k * n) - g_n * v
    stage = stages.stage(c, pattern)
    source, z_rest = stage.rest(h)
    pieces = c.pieces(h)
    found = _pattern(stages, pieces, stage.storage(z_rest, j)[1])
    if found.key != stage.key:  # the guess mostly lies on the pieces on which the solution will
        pattern = pattern.towards(found, one_at_a_time=False)
        stage = stages.stage(c, pattern)
        source, z_rest = stage.rest(h)
    dv = np.zeros_like(v)
    amplification, most = np.full(b, UNKNOWN), np.full(b, MOST_FOLLOWED_V)
    for iteration in range(MOST_ITERATIONS):
        residual = v + stage.fall(j) - source
        wrong = np.abs(residual).max(1, initial=0.0)
        open_ = wrong * amplification >= STOP_V
        if not open_.any():
            z, v_s = stage.storage(z_rest, j)
            found = _pattern(stages, pieces, v_s)
            if found.key == stage.key:
                break
            pattern = pattern.towards(found, one_at_a_time=iteration >= PLAIN_ITERATIONS)
            stage = stages.stage(c, pattern)
            source, z_rest = stage.rest(h)
            amplification[:] = UNKNOWN
            continue
        following = iteration >= FOLLOWING
        slopes = d_n.reshape(b, k * n) - g_n
        if following:
            matrix = _slopes(stage.joined(), cross, n, k, slopes)
            before, dv = dv, np.zeros_like(v)
            dv[open_] = _followed(matrix[open_], residual[open_], most[open_])
            most = np.where((dv * before).sum(1) < 0.0, 0.5 * most, most)  # there and back: what it seeks is between
        else:
            dv = _step(stage, cross, slopes, residual)
            if iteration < UPPER_ITERATIONS:
                dv = _held(v.reshape(b, k, n), dv, law)
            if iteration % UPPER_ITERATIONS >= PLAIN_ITERATIONS:
                dv = 0.5 * dv
            share = law.share_of_step(v.reshape(b, k, n), dv.reshape(b, k, n))
            if share is not None:
                dv = dv * share[:, None]
        v = v - dv
        amplification = np.maximum(np.abs(dv).max(1) / np.maximum(wrong, 1e-300), 1.0)
        if iteration == UPPER_ITERATIONS - 1:
            low = v.reshape(b, k, n).copy()
            low[open_, :, law.others :] = 0.5 * law.phases.v_low[open_]
            v = low.reshape(b, k * n)
        elif iteration == FOLLOWING - 1:
            v, dv = np.where(open_[:, None], guess.reshape(b, k * n), v), np.zeros_like(v)
        i_n, d_n, cross = law.currents(v.reshape(b, k, n))
        j = i_n.reshape(b, k * n) - g_n * v
    else:
        z, v_s = stage.storage(z_rest, j)
        pattern = _pattern(stages, pieces, v_s)
    i_s = z + stages.blocks.g_s[:, None] * v_s
    mean_i = i_s[:, 0] if k == 1 else stages.weights @ i_s
    return Point(
        np.concatenate([v_s, v.reshape(b, k, n)], axis=2),
        np.concatenate([i_s, i_n], axis=2),
        stage.states(h, -mean_i),
        pattern,
        ~open_,
    )


def _pattern(stages: Stages, pieces: Pieces, v: Array) -> Pattern:
    """The pattern on which voltages v (B, K, m) of the storage ports lie."""
    e = pieces.kink.shape[1]
    mean = v[:, 0] if v.shape[1] == 1 else stages.weights @ v
    return pieces.pattern(mean[:, :e], v[..., e:])


def _step(stage: Stage, cross: Cross, slopes: Array, residual: Array) -> Array:
    """Newton's step: the drop dv (B, K n) of the voltages at which the residual vanishes, slopes of j given."""
    k, n = stage.phases, stage.blocks.nn.shape[1]
    if stage.g is None:
        try:
            dv = _by_phases(stage, cross, slopes, residual)
        except np.linalg.LinAlgError:
            dv = np.full_like(residual, np.inf)
        if bool((np.abs(dv) < MOST_MOVED_V).all()):
            return dv
    return _solved(_slopes(stage.joined(), cross, n, k, slopes), residual)


def _by_phases(stage: Stage, cross: Cross, slopes: Array, residual: Array) -> Array:
    """The same phase by phase, joined by the few storage ports (Sherman, Morrison and Woodbury's identity).

    With D the slopes, 1 + g D = M + ns (z_j D), M = 1 + nn D at each phase.
    """
    b, k, nn, ns = len(residual), stage.phases, stage.blocks.nn, stage.blocks.ns
    n, m = ns.shape[1:]
    d, z_j = slopes.reshape(b, k, 1, n), stage.z_j.reshape(b, -1, k, n).transpose(0, 2, 1, 3)
    inner, outer = nn[:, None] * d, z_j * d
    for row, column, values in cross:
        inner[..., column] += nn[:, None, :, row] * values[..., None]
        outer[..., column] += z_j[..., row] * values[..., None]
    inner.reshape(b, k, -1)[:, :, :: n + 1] += 1.0
    right = np.concatenate([residual.reshape(b, k, n, 1), np.broadcast_to(ns[:, None], (b, k, n, m))], axis=3)
    solved = np.linalg.solve(inner, right)
    joining = outer @ solved  # (B, K, s m, 1 + m)
    own = joining[..., 1:].sum(1) if stage.own == 1 else joining[..., 1:].transpose(0, 2, 1, 3).reshape(b, k * m, k * m)
    z = np.linalg.solve(np.eye(stage.own * m) + own, joining[..., :1].sum(1)).reshape(b, stage.own, m, 1)
    dv: Array = (solved[..., 0] - (solved[..., 1:] @ z)[..., 0]).reshape(b, k * n)
    return dv


def _slopes(g: Array, cross: Cross, n: int, phases: int, slopes: Array) -> Array:
    """Slopes of the residual on the voltages, 1 + g D with D the slopes of j."""
    matrix = g * slopes[:, None, :]
    for row, column, values in cross:
        for phase in range(phases):
            matrix[:, :, phase * n + column] += g[:, :, phase * n + row] * values[:, phase, None]
    size = matrix.shape[1]
    matrix.reshape(len(matrix), -1)[:, :: size + 1] += 1.0
    return matrix


def _solved(matrix: Array, residual: Array) -> Array:
    """The solution of matrix dv = residual, no voltage moved by more than a network of vehicles could.

    Between a converter at its current limit and an amplifier that is off a voltage moves nothing at all: there the
    step goes the residual's way, and the limits of the step decide how far.
    """
    try:
        solution = np.linalg.solve(matrix, residual[..., None])[..., 0]
    except np.linalg.LinAlgError:
        solution = np.full_like(residual, np.inf)
    wild = ~(np.abs(solution).max(1, initial=0.0) < MOST_MOVED_V)
    if wild.any():
        regular = matrix[wild] + REGULAR * np.eye(matrix.shape[1])
        solution[wild] = np.linalg.solve(regular, residual[wild, :, None])[..., 0]
        solution = np.clip(solution, -MOST_MOVED_V, MOST_MOVED_V)
    return np.asarray(solution, dtype=np.float64)


def _followed(matrix: Array, residual: Array, most: Array) -> Array:
    """A drop as capacitors across the ports would let it come about: never towards a point that cannot stand.

    No voltage moves by more than ``most`` (b,).

    An implicit step of their equation, long where every mode decays, else just short enough for the one that grows.
    """
    grows = np.maximum(-np.linalg.eigvals(matrix).real.min(1), 0.0)
    shifted = matrix + (2.0 * grows + REGULAR)[:, None, None] * np.eye(matrix.shape[1])
    return np.clip(_solved(shifted, residual), -most[:, None], most[:, None])


def _held(v: Array, dv: Array, law: DirectLaw) -> Array:
    """The drop dv shortened where it would carry an amplifier onto its guard branch, past a solution."""
    others = law.others
    height = v[..., others:] - law.phases.v_low
    drop = dv.reshape(v.shape)[..., others:]
    tight = (height > 0.0) & (drop > (1.0 - STAY_SHARE) * height)
    if not tight.any():
        return dv
    share = np.where(tight, (1.0 - STAY_SHARE) * height / np.where(tight, drop, 1.0), 1.0).min((1, 2))
    held: Array = dv * share[:, None]
    return held
