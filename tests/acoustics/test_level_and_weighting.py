"""Levels and frequency weightings against IEC 61672-1 and definitions."""

from __future__ import annotations

import pytest

from dossier.acoustics import level
from dossier.acoustics.exposure import converted, weighting

# IEC 61672-1 as tabulated, read on two pages: nominal third octave [Hz] -> A, C [dB]
TABLE = {
    10: (-70.4, -14.3), 12.5: (-63.4, -11.2), 16: (-56.7, -8.5), 20: (-50.5, -6.2), 25: (-44.7, -4.4),
    31.5: (-39.4, -3.0), 40: (-34.6, -2.0), 50: (-30.2, -1.3), 63: (-26.2, -0.8), 80: (-22.5, -0.5),
    100: (-19.1, -0.3), 125: (-16.1, -0.2), 160: (-13.4, -0.1), 200: (-10.9, 0.0), 250: (-8.6, 0.0),
    315: (-6.6, 0.0), 400: (-4.8, 0.0), 500: (-3.2, 0.0), 630: (-1.9, 0.0), 800: (-0.8, 0.0), 1000: (0.0, 0.0),
}  # fmt: skip


@pytest.mark.published
@pytest.mark.parametrize("index", range(21))
def test_weightings(index: int) -> None:
    """At the exact third-octave frequencies 1000 x 10^(n/10) both weightings round to the printed value."""
    nominal = list(TABLE)[index]
    exact = 1000.0 * 10.0 ** ((index - 20) / 10.0)
    assert exact == pytest.approx(nominal, rel=0.02)
    a, c = TABLE[nominal]
    assert weighting("A", exact) == pytest.approx(a, abs=0.051)
    assert weighting("C", exact) == pytest.approx(c, abs=0.051)


@pytest.mark.practice
def test_a_loud_low_tone() -> None:
    """130 dB(C) at 40 Hz is about 97 dB(A), and back."""
    assert converted(130.0, "C", "A", 40.0) == pytest.approx(97.4, abs=0.1)
    assert converted(converted(130.0, "C", "A", 40.0), "A", "C", 40.0) == pytest.approx(130.0)
    assert weighting("Z", 40.0) == 0.0


def test_unknown_weightings_are_refused() -> None:
    """Another letter or no frequency is refused."""
    with pytest.raises(ValueError, match="A, C and Z"):
        weighting("B", 40.0)
    with pytest.raises(ValueError, match="positive"):
        weighting("A", 0.0)


@pytest.mark.published
def test_power_ratios() -> None:
    """Twice the power is 3.0103 dB, ten times 10 dB, a hundred times 20 dB."""
    assert [level.power_ratio(d) for d in (3.0103, 10, 20)] == pytest.approx([2, 10, 100], rel=1e-5)


@pytest.mark.published
def test_mean_power_from_crest_factor() -> None:
    """12 dB crest leaves 0.1262 of the sine power, 10 dB 0.2, 6 dB 0.5024; a sine itself 1."""
    found = [level.mean_power_fraction(c) for c in (12, 10, 6, level.SINE_CREST)]
    assert found == pytest.approx([0.1262, 0.2, 0.5024, 1.0], abs=1e-4)
