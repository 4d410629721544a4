"""Permitted exposure to sound: how long at a level."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log2

from dossier.acoustics.weighting import converted
from dossier.reference.exposure import OSHA, Criterion


class WeightingUnknownError(ValueError):
    """A level cannot be judged: its weighting, or the frequency to convert it by, is not known."""


@dataclass(frozen=True, slots=True)
class Permitted:
    """Permitted time at one level.

    Attributes:
        criterion: by which.
        level: A-weighted [dB].
        duration: permitted in a day (or a week, as the criterion says) [s].
    """

    criterion: Criterion
    level: float
    duration: float


def a_weighted(level: float, weighting: str | None, frequency: float | None) -> float:
    """A-weighted level of a reading [dB].

    Args:
        level: as read [dB].
        weighting: A, C or Z; ``None`` if not recorded.
        frequency: of the tone, or of the strongest part [Hz]; needed unless the reading is A-weighted.

    Raises:
        WeightingUnknownError: not enough is known. A 130 dB reading at 40 Hz is 130 or 97 dB(A).
    """
    if weighting is None:
        raise WeightingUnknownError("the weighting of the reading is not recorded")
    if weighting == "A":
        return level
    if frequency is None:
        raise WeightingUnknownError(f"a {weighting}-weighted reading needs its frequency to be judged")
    return converted(level, weighting, "A", frequency)


def permitted_time(level: float, criterion: Criterion) -> Permitted:
    """Permitted time at a level: T0 / 2^((L - L0)/q).

    Args:
        level: A-weighted [dB].
        criterion: NIOSH, OSHA, or one of the EU values of ``dossier.reference.exposure``.
    """
    halvings = (level - criterion.level) / criterion.exchange
    return Permitted(criterion, level, float(criterion.duration / 2.0**halvings))


def dose(parts: Iterable[tuple[float, float]], criterion: Criterion) -> float:
    """Share of the permitted exposure that was used [1]: sum of C/T.

    Args:
        parts: (A-weighted level [dB], duration [s]).
        criterion: by which.
    """
    return sum(duration / permitted_time(level, criterion).duration for level, duration in parts)


def equivalent_level(used: float, criterion: Criterion = OSHA) -> float:
    """Steady level over the criterion's time that gives the same dose [dB(A)]: L0 + q log2(D).

    For OSHA this is the time-weighted average, 16.61 log10(D/100 %) + 90.

    Args:
        used: dose [1], above 0.
        criterion: by which.
    """
    return criterion.level + criterion.exchange * log2(used)
