"""Permitted exposure against the printed tables of NIOSH, OSHA, Canada and SCENIHR."""

from __future__ import annotations

import pytest

from dossier.acoustics.exposure import WeightingUnknownError, a_weighted
from dossier.reference.exposure import EU_LIMIT, EU_LOWER, EU_UPPER, NIOSH, OSHA, Criterion
from dossier.reference.source import Source, Status

# NIOSH 98-126 Table 1-1, read as a reproduction [s]
NIOSH_TABLE = {
    80: 91440, 82: 57600, 85: 28800, 86: 22860, 88: 14400, 90: 9060, 91: 7200, 94: 3600, 95: 2857, 97: 1800,
    98: 1429, 99: 1139, 100: 900, 103: 450, 106: 225, 109: 113, 112: 56, 115: 28, 118: 14, 120: 9, 124: 3, 127: 1,
}  # fmt: skip
# 29 CFR 1910.95 Appendix A Table G-16a, read [h]
OSHA_TABLE = {
    80: 32, 81: 27.9, 82: 24.3, 85: 16, 88: 10.6, 90: 8, 92: 6.1, 95: 4, 97: 3.0, 100: 2, 105: 1, 107: 0.76,
    110: 0.5, 113: 0.33, 115: 0.25, 120: 0.125, 125: 0.063, 130: 0.031,
}  # fmt: skip
# SCENIHR 2008 Table 3, read: criterion -> {minutes: dB(A)}
SCENIHR = (
    (EU_LIMIT, {240: 90, 120: 93, 60: 96, 30: 99, 15: 102, 5: 107, 1: 113}),
    (EU_UPPER, {240: 88, 120: 91, 60: 94, 30: 97, 15: 100, 5: 105, 1: 111}),
    (EU_LOWER, {240: 83, 120: 86, 60: 89, 30: 92, 15: 95, 8: 98, 4: 101, 2: 104, 1: 107}),
)
# NJC directive (Canada), read: 87 dB(A) 8 h, 3 dB [h]
CANADA = {84: 16, 87: 8.0, 88: 6.4, 90: 4.0, 92: 2.5, 93: 2.0, 96: 1.0, 98: 0.64, 99: 0.5, 101: 0.32}


@pytest.mark.published
@pytest.mark.parametrize("decibels", NIOSH_TABLE)
def test_niosh(decibels: int) -> None:
    """The printed times are met within their printed field: a minute above an hour, else a second (99 dB: 6 s)."""
    printed = NIOSH_TABLE[decibels]
    unit = 60 if printed >= 3600 else 6 if decibels == 99 else 1
    assert NIOSH.seconds(decibels) == pytest.approx(printed, abs=unit)


@pytest.mark.published
@pytest.mark.parametrize("decibels", OSHA_TABLE)
def test_osha(decibels: int) -> None:
    """The printed reference durations are met within half their last digit and its truncation."""
    printed = OSHA_TABLE[decibels]
    digit = 0.1 if printed >= 1 else 0.01 if printed >= 0.1 else 0.001
    assert OSHA.seconds(decibels) / 3600 == pytest.approx(printed, abs=0.6 * digit)


@pytest.mark.published
def test_eu_equivalents() -> None:
    """Each printed whole decibel, rounded or cut off, permits the printed time."""
    for criterion, rows in SCENIHR:
        for minutes, decibels in rows.items():
            longest = criterion.seconds(decibels - 0.5) / 60
            shortest = criterion.seconds(decibels + 1.0) / 60
            assert shortest < minutes < longest


@pytest.mark.published
def test_another_criterion_can_be_stated() -> None:
    """The Canadian table, 87 dB(A) for 8 h at 3 dB, follows from the same law within its rounding."""
    canada = Criterion(
        "canada", "Canada", 87.0, 8 * 3600.0, 3.0, Source("NJC directive", "", "", Status.READ)
    )
    for decibels, hours in CANADA.items():
        assert canada.seconds(decibels) / 3600 == pytest.approx(hours, rel=0.02)


@pytest.mark.published
def test_osha_worked_dose() -> None:
    """92 dB for 8 h: T = 6.1 h, dose 131 % (Appendix A)."""
    assert OSHA.seconds(92.0) / 3600 == pytest.approx(6.1, abs=0.05)
    assert 100 * 8 * 3600 / OSHA.seconds(92.0) == pytest.approx(131, abs=1.1)



def test_an_unweighted_reading_is_not_judged() -> None:
    """Without its weighting, or without the frequency of a C-weighted tone, a reading is refused."""
    with pytest.raises(WeightingUnknownError, match="not recorded"):
        a_weighted(130.0, None, 40.0)
    with pytest.raises(WeightingUnknownError, match="frequency"):
        a_weighted(130.0, "C", None)
    assert a_weighted(100.0, "A", None) == 100.0
    assert a_weighted(130.0, "C", 40.0) == pytest.approx(97.4, abs=0.1)
