"""What is played: the level of the sound over time, as a polyline, and the tone that ripples the supply."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from dossier.circuit.elements import Array
from dossier.circuit.music import envelope

LEAD_IN_S = 1.0  # s of rest before the sound starts
RECOVERY_S = 4.0  # s that are computed after it stops
EDGE_S = 0.002  # s, rise and fall of a tone or burst; ideal edges make ngspice and us choose branches by luck
SHORTEST_EDGE_S = 0.001
SHORT_RAMP_S = 0.005  # s; the charge of a shorter ramp moves nothing
# a ramp is graded whose higher end lies above a share of full level, its lower end below a share of the higher one
FAINT, STEEP_SHARE = 0.02, 0.1
GRADES = 4  # steps in the root of the level
GRADED_ABOVE = 0.5  # share of the input that goes with that root; below it less than 0.5 mV would be missed a note


@dataclass(frozen=True)
class Programme:
    """Level of the sound over time.

    Attributes:
        times: (V,) s, strictly rising.
        levels: (V,) 0..1 of the asked power (cycle mean), a straight line between the vertices.
        tone_hz: frequency of the tone, or None: then only cycle means are computed. The supply ripples at twice it.
    """

    times: Array
    levels: Array
    tone_hz: float | None = None
    _vertices: tuple[list[float], list[float]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        times = np.array(self.times, dtype=np.float64)
        levels = np.array(self.levels, dtype=np.float64)
        if times.ndim != 1 or times.shape != levels.shape or len(times) < 2:
            raise ValueError("a programme needs as many levels as times, at least two")
        if not np.all(np.diff(times) > 0.0):
            raise ValueError("the times of a programme must rise")
        if not np.all((levels >= 0.0) & (levels <= 1.0)):
            raise ValueError("the levels of a programme must lie between 0 and 1")
        steep = np.abs(np.diff(levels)) > np.diff(times) / SHORTEST_EDGE_S * (1.0 + 1e-6)
        if np.any(steep):
            raise ValueError("an edge of a programme is steeper than full level in 1 ms")
        times.setflags(write=False)
        levels.setflags(write=False)
        object.__setattr__(self, "times", times)
        object.__setattr__(self, "levels", levels)
        object.__setattr__(self, "_vertices", (times.tolist(), levels.tolist()))

    @property
    def ripple_hz(self) -> float | None:
        """Frequency of the supply ripple [Hz], twice the tone."""
        return None if self.tone_hz is None else 2.0 * self.tone_hz

    def level(self, t: float) -> float:
        """Level at time t [s]."""
        times, levels = self._vertices  # lists: several times faster than np.interp for one value
        k = min(max(bisect_right(times, t), 1), len(times) - 1)
        share = min(max((t - times[k - 1]) / (times[k] - times[k - 1]), 0.0), 1.0)
        return levels[k - 1] + share * (levels[k] - levels[k - 1])


def tone(duration: float, hz: float | None, lead_in: float = LEAD_IN_S, recovery: float = RECOVERY_S) -> Programme:
    """One note at full level for ``duration`` s, after rest and followed by recovery."""
    return bursts(duration, duration, duration, hz, lead_in, recovery)


def bursts(
    burst: float,
    every: float,
    duration: float,
    hz: float | None,
    lead_in: float = LEAD_IN_S,
    recovery: float = RECOVERY_S,
) -> Programme:
    """Notes of ``burst`` s at full level, one ``every`` s, as many as fit into ``duration`` s (at least one).

    Raises:
        ValueError: a burst shorter than its edges, or a gap shorter than an edge.
    """
    if burst < 2.0 * EDGE_S or (every < burst + EDGE_S and duration > every):
        raise ValueError("a burst must last at least two edges, and the gap after it one")
    count = max(1, int((duration - burst) / every + 1e-9) + 1)
    points: list[tuple[float, float]] = [(0.0, 0.0)]
    for k in range(count):
        start = lead_in + k * every
        points += [(start, 0.0), (start + EDGE_S, 1.0), (start + burst, 1.0), (start + burst + EDGE_S, 0.0)]
    points.append((max(lead_in + duration, points[-1][0]) + recovery, 0.0))
    return polyline(points, hz)


def music(crest_factor_db: float, duration: float, hz: float | None = None, lead_in: float = LEAD_IN_S) -> Programme:
    """Bass-heavy music of a stated crest factor [dB]; see ``music.envelope``. ``hz``: tone that carries it."""
    piece = envelope(crest_factor_db, duration)
    times = np.concatenate([[0.0], lead_in + piece.times, [lead_in + piece.times[-1] + RECOVERY_S]])
    return Programme(times, np.concatenate([[0.0], piece.levels, [0.0]]), hz)


def graded(programme: Programme) -> Programme:
    """The same with more vertices where the level rises from nothing or falls to it.

    The current of an amplifier of class AB goes with the root of the level, whose slope there has no end: one step over
    a ramp would miss some of its charge, always to the same side (1 mV a note in a small battery).
    """
    times, levels = programme.times, programme.levels
    low, high = np.minimum(levels[:-1], levels[1:]), np.maximum(levels[:-1], levels[1:])
    ramps = np.flatnonzero((np.diff(times) > SHORT_RAMP_S) & (high > FAINT) & (low < STEEP_SHARE * high))
    points = list(zip(times.tolist(), levels.tolist(), strict=True))
    for k in ramps[::-1]:
        roots = np.linspace(np.sqrt(levels[k]), np.sqrt(levels[k + 1]), GRADES + 1)[1:-1] ** 2
        at = times[k] + (roots - levels[k]) / (levels[k + 1] - levels[k]) * (times[k + 1] - times[k])
        points[k + 1 : k + 1] = list(zip(at.tolist(), roots.tolist(), strict=True))
    return polyline(points, programme.tone_hz)


def polyline(points: Sequence[tuple[float, float]], hz: float | None = None) -> Programme:
    """A programme through (time, level) points; a point repeated at the same time is dropped."""
    kept = [p for k, p in enumerate(points) if k == 0 or p[0] > points[k - 1][0]]
    return Programme(np.array([p[0] for p in kept]), np.array([p[1] for p in kept]), hz)
