"""The most demanding stretch of a piece of music, short enough to be played with many samples."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.circuit.programme import Programme, polyline

BEFORE_S = 12.0  # s before the worst instant; what lies further back has left the surface charge and R1 C1
CLOSE_S = 1.2  # s before it that are played in full detail
AFTER_S = 0.1
COARSE_S = 0.25  # s, steps in which the rest is averaged: the fast part of the sag has no memory
SLOW_S = 3.0  # s, memory of the slow part of the sag, between the surface charge and R1 C1 (1 to 12 s)
SLOW_SHARE = 0.5  # of the slow part in a battery's resistance: R1 over R0 + R1 with surface, 0.4 to 0.6
REST_S = 0.1


@dataclass(frozen=True, slots=True)
class Stretch:
    """A shorter programme; ``start`` and ``end`` frame the part in full detail [s of its own time]."""

    programme: Programme
    start: float
    end: float


def worst_stretch(piece: Programme) -> Stretch:
    """The stretch around the instant at which the level and its recent mean together are highest.

    It is led in at the mean level of what came before. How far its lowest voltage is from that of the whole piece
    is tested (tests/assessment/test_bands.py).
    """
    step = 0.02
    t = np.arange(piece.times[0], piece.times[-1], step)
    level = np.interp(t, piece.times, piece.levels)
    slow = np.empty_like(level)
    held, share = 0.0, 1.0 - np.exp(-step / SLOW_S)
    for k, one in enumerate(level):
        held += share * (one - held)
        slow[k] = held
    worst = float(t[int(np.argmax((1.0 - SLOW_SHARE) * level + SLOW_SHARE * slow))])
    first, close = max(worst - BEFORE_S, float(piece.times[0])), max(worst - CLOSE_S, float(piece.times[0]))
    points = [(0.0, 0.0), (REST_S, 0.0)]
    shift = 2.0 * REST_S - first
    edges = np.linspace(first, close, max(int(round((close - first) / COARSE_S)), 1) + 1)
    for a, b in zip(edges[:-1], edges[1:], strict=True):
        inside = (t >= a) & (t < b)
        if inside.any():
            points.append((float(0.5 * (a + b)) + shift, float(level[inside].mean())))
    fine = (piece.times > close) & (piece.times <= worst + AFTER_S)
    points += [(float(x) + shift, float(y)) for x, y in zip(piece.times[fine], piece.levels[fine], strict=True)]
    return Stretch(polyline(points), close + shift, worst + AFTER_S + shift)
