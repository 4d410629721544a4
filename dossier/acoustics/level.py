"""Decibel arithmetic: levels, power for a level, crest factor."""

from __future__ import annotations

from collections.abc import Iterable
from math import log10
from typing import Final

SINE_CREST: Final = 20.0 * log10(2.0**0.5)  # dB, exact: 3.0103


def db_of_power(ratio: float) -> float:
    """Level of a power ratio [dB]: 10 log10(r)."""
    return 10.0 * log10(ratio)


def db_of_amplitude(ratio: float) -> float:
    """Level of a voltage or pressure ratio [dB]: 20 log10(r)."""
    return 20.0 * log10(ratio)


def power_ratio(level: float) -> float:
    """Power ratio of a level difference [dB]: 10^(L/10)."""
    return float(10.0 ** (level / 10.0))


def amplitude_ratio(level: float) -> float:
    """Voltage or pressure ratio of a level difference [dB]: 10^(L/20)."""
    return float(10.0 ** (level / 20.0))


def sum_of_levels(levels: Iterable[float]) -> float:
    """Level of incoherent sources together [dB]: 10 log10(sum 10^(Li/10))."""
    return db_of_power(sum(power_ratio(level) for level in levels))


def power_for_level(power: float, level: float, target: float) -> float:
    """Power a target level would take [W], at unchanged efficiency of the loudspeaker.

    Args:
        power: that gave ``level`` [W].
        level: measured [dB].
        target: wanted [dB].
    """
    return power * power_ratio(target - level)


def mean_power_fraction(crest_factor: float) -> float:
    """Mean power over that of a sine of the same peak [1]: 10^(-(CF - 3.0103)/10).

    Args:
        crest_factor: peak over rms of the signal [dB].
    """
    return power_ratio(SINE_CREST - crest_factor)
