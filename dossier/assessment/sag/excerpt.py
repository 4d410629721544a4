"""The demanding instants of a piece of music, the rest of it thinned, to be played with many samples."""

from __future__ import annotations

import numpy as np

from dossier.assessment.sag.samples import Values
from dossier.circuit.programme import LEAD_IN_S, Programme, polyline
from dossier.frozen import dataclass

CLOSE_S = 0.5  # s before a demanding instant that are played in full detail
AFTER_S = 0.1
GRAIN_S = 2.0  # s, what is averaged into one point elsewhere: the fast part of the sag has no memory
MOST_GRAINS = 40  # points of a long piece
# s, memories of the slow part of the sag: the surface charge, R1 C1 of a battery, and what charging does not make up,
# which makes the last loud notes the worst
SLOW_S = (2.0, 12.0, 100.0)
SLOW_SHARE = 0.5  # of the slow part in a battery's resistance: R1 over R0 + R1 with surface, 0.4 to 0.6
REST_S = 0.1


@dataclass(frozen=True, slots=True)
class Stretch:
    """A shorter programme; the voltage is read between ``start`` and ``end`` [s of its own time]."""

    programme: Programme
    start: float
    end: float


def worst_stretch(piece: Programme, at: float | None = None) -> Stretch:
    """The piece up to its last demanding instant, in full detail only before each of them.

    Demanding are the instants at which the level and its recent mean together are highest, and ``at``. How far the
    lowest voltage is from that of the whole piece is tested (tests/assessment/test_bands.py).

    Args:
        piece: the whole piece.
        at: when the voltage of a full run was lowest [s from the start of the sound], if one was made.
    """
    step = 0.02
    t = np.arange(piece.times[0], piece.times[-1], step)
    level = np.interp(t, piece.times, piece.levels)
    instants = [float(t[int(np.argmax(_demand(level, step, memory)))]) for memory in SLOW_S]
    instants += [] if at is None else [at + LEAD_IN_S]
    first = float(piece.times[int(np.argmax(piece.levels > 0.0))])
    last = max(instants) + AFTER_S
    grain = max(GRAIN_S, (last - first) / MOST_GRAINS)
    shift = 2.0 * REST_S - first
    points = [(0.0, 0.0), (REST_S, 0.0)]
    now = first
    while now < last:
        close = [x for x in instants if x - CLOSE_S <= now < x + AFTER_S]
        if close:
            until = max(close) + AFTER_S
            fine = (piece.times >= now) & (piece.times < until)
            points += [(float(x) + shift, float(y)) for x, y in zip(piece.times[fine], piece.levels[fine], strict=True)]
        else:
            until = min([now + grain, *(x - CLOSE_S for x in instants if x - CLOSE_S > now)])
            inside = (t >= now) & (t < until)
            if inside.any():
                points.append((0.5 * (now + until) + shift, float(level[inside].mean())))
        now = until if until > now else now + step
    end = last + shift
    points.append((end, piece.level(last)))
    return Stretch(polyline(points, piece.tone_hz), REST_S, end)


def _demand(level: Values, step: float, memory: float) -> Values:
    """The level with the mean of its last ``memory`` s, weighted as they count in the sag."""
    slow = np.empty_like(level)
    held, share = 0.0, 1.0 - np.exp(-step / memory)
    for k, one in enumerate(level):
        held += share * (one - held)
        slow[k] = held
    weighted: Values = (1.0 - SLOW_SHARE) * level + SLOW_SHARE * slow
    return weighted
