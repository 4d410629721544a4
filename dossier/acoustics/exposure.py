"""Permitted exposure to sound: how long at a level."""

from __future__ import annotations

from dossier.acoustics.weighting import converted
from dossier.frozen import dataclass
from dossier.reference.exposure import EU_LIMIT, Criterion
from dossier.results.recorded import Ceiling, PeakBasis


class WeightingUnknownError(ValueError):
    """A level cannot be judged: its weighting, or the frequency to convert it by, is not known."""


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


@dataclass(frozen=True, slots=True)
class Peak:
    """The sound pressure peak of a run, and what it rests on.

    Attributes:
        level: peak [dB], weighted by ``weighting``.
        basis: read as a peak, or derived from a level.
        frequency: of the tone, or of the strongest part [Hz]; None where it is not known.
    """

    level: float
    weighting: str
    basis: PeakBasis
    frequency: float | None = None

    def weighted(self, to: str) -> float | None:
        """The peak under another weighting [dB]; None where it cannot be told."""
        if to == self.weighting:
            return self.level
        return None if self.frequency is None else converted(self.level, self.weighting, to, self.frequency)


def exceeded(level: float, peak: Peak | None, criterion: Criterion) -> Ceiling:
    """Which ceiling leaves no time by a criterion.

    Above the EU's limit value of 140 dB(C) none of them leaves any: it is the strictest that has the force of law.

    Args:
        level: A-weighted [dB].
        peak: of the same run; None where it is not known.
        criterion: by which.
    """
    for bound in (criterion, EU_LIMIT):
        there = peak.weighted(bound.peak_weighting) if peak else None
        if bound.peak is not None and there is not None and there > bound.peak:
            return Ceiling.PEAK
    return Ceiling.LEVEL if criterion.ceiling is not None and level > criterion.ceiling else Ceiling.NONE
