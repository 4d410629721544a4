"""Permitted exposure to sound: the weightings of a level, and how long it may last."""

from __future__ import annotations

from math import log10, sqrt
from typing import Final

from dossier.frozen import dataclass
from dossier.reference.exposure import EU_LIMIT, Criterion
from dossier.reference.source import Source, Status
from dossier.results.recorded import Ceiling, PeakBasis

# Pole frequencies [Hz] and gains at 1 kHz [dB]; printed rounded to 20.6, 107.7, 737.9 and 12 194 (read:
# 12 200).
_F1: Final = 20.598997
_F2: Final = 107.65265
_F3: Final = 737.86223
_F4: Final = 12194.217
FORMULA_SOURCE: Final = Source("IEC 61672-1", "2003", "frequency weighting formulas", Status.READ_SECOND_HAND)


def _ratio_a(frequency: float) -> float:
    f2 = frequency * frequency
    return (_F4**2 * f2 * f2 / ((f2 + _F1**2) * (f2 + _F4**2) * sqrt(f2 + _F2**2) * sqrt(f2 + _F3**2)))  # amplitude


def _ratio_c(frequency: float) -> float:
    f2 = frequency * frequency
    return _F4**2 * f2 / ((f2 + _F1**2) * (f2 + _F4**2))


def weighting(kind: str, frequency: float) -> float:
    """Correction of a weighting at a frequency [dB], 0 at 1 kHz.

    Args:
        kind: A, C or Z (none).
        frequency: [Hz], above 0.

    Raises:
        ValueError: another weighting, or a frequency that is not positive.
    """
    if frequency <= 0.0:
        raise ValueError(f"a frequency is positive, not {frequency}")
    if kind == "Z":
        return 0.0
    if kind not in ("A", "C"):
        raise ValueError(f"weightings are A, C and Z, not {kind!r}")
    ratio = _ratio_a if kind == "A" else _ratio_c
    return 20.0 * log10(ratio(frequency) / ratio(1000.0))


def converted(level: float, kind: str, to: str, frequency: float) -> float:
    """A tone's level under another weighting [dB].

    Args:
        level: [dB].
        kind: weighting it was measured with.
        to: weighting wanted.
        frequency: of the tone [Hz].
    """
    return level - weighting(kind, frequency) + weighting(to, frequency)


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
    """The sound pressure peak of a run, and what it rests on."""

    level: float  # peak [dB], weighted by ``weighting``
    weighting: str
    basis: PeakBasis  # read as a peak, or derived from a level
    frequency: float | None = None  # of the tone, or of the strongest part [Hz]; None where it is not known

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
