"""Decibel arithmetic: levels, power for a level, crest factor."""

from __future__ import annotations

from math import log10
from typing import Final

SINE_CREST: Final = 20.0 * log10(2.0**0.5)  # dB, exact: 3.0103


def power_ratio(level: float) -> float:
    """Power ratio of a level difference [dB]: 10^(L/10)."""
    return float(10.0 ** (level / 10.0))


def mean_power_fraction(crest_factor: float) -> float:
    """Mean power over that of a sine of the same peak [1]: 10^(-(CF - 3.0103)/10).

    Args:
        crest_factor: peak over rms of the signal [dB].
    """
    return power_ratio(SINE_CREST - crest_factor)
