"""Frequency weightings A and C of IEC 61672-1."""

from __future__ import annotations

from math import log10, sqrt
from typing import Final

from dossier.reference.source import Source, Status

# Pole frequencies [Hz] and gains at 1 kHz [dB]; printed rounded to 20.6, 107.7, 737.9 and 12 194 (read: 12
# 200).
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
