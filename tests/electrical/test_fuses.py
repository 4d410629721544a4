"""Fuses and withstand against BS 7671, IEC and Preece."""

from __future__ import annotations

from math import log, log10, sqrt

import pytest

from dossier.electrical import fuses
from dossier.electrical.heating import adiabatic_temperature
from dossier.electrical.refusal import OutsideKnownError
from dossier.reference.ampacity import TABLE5
from dossier.reference.conductors import CIRCULAR_MIL, awg_area
from dossier.reference.fuses import BRACKETS


@pytest.mark.published
@pytest.mark.parametrize(
    ("material", "start", "end", "printed"),
    [
        ("copper", 70, 160, 115), ("copper", 90, 160, 100), ("copper", 90, 250, 143), ("copper", 60, 250, 159),
        ("copper", 30, 160, 143), ("copper", 30, 250, 176), ("aluminium", 70, 160, 76), ("aluminium", 90, 250, 94),
        ("aluminium", 30, 160, 95), ("aluminium", 30, 250, 116),
    ],
)  # fmt: skip
def test_published_k(material: str, start: float, end: float, printed: float) -> None:
    """K of BS 7671 Tables 43.1 and 54.2 and IEC 60364-4-43 (copper 60 to 250 from the constants below)."""
    assert fuses.adiabatic_k(material, start, end) / 1e6 == pytest.approx(printed, abs=0.8)


@pytest.mark.published
@pytest.mark.parametrize(
    ("material", "constant", "beta"), [("copper", 226.0, 234.5), ("aluminium", 148.0, 228.0)]
)
def test_k_constants(material: str, constant: float, beta: float) -> None:
    """IEC 60949: k = 226 or 148 sqrt(ln((beta + Tf)/(beta + Ti))); ours has the same constant within 0.2 %."""
    for start, end in ((70, 160), (90, 250), (105, 160)):
        printed = constant * sqrt(log((beta + end) / (beta + start)))
        assert fuses.adiabatic_k(material, start, end) / 1e6 == pytest.approx(printed, rel=2e-3)


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("material", "start", "end", "value"),
    [
        ("cca_10", 70, 160, 78.7),
        ("cca_10", 90, 250, 97.8),
        ("cca_15", 70, 160, 80.4),
        ("cca_15", 90, 250, 99.9),
    ],
)
def test_k_of_clad_aluminium(material: str, start: float, end: float, value: float) -> None:
    """Clad aluminium, heat mixed by volume and the resistivity of its class: a little above aluminium."""
    assert fuses.adiabatic_k(material, start, end) / 1e6 == pytest.approx(value, abs=0.2)


@pytest.mark.published
@pytest.mark.parametrize(
    ("material", "start", "end", "seconds"),
    [("copper", 70, 160, 1.3225), ("copper", 90, 250, 2.0449), ("aluminium", 70, 160, 0.5776)],
)
def test_withstand_worked_values(material: str, start: float, end: float, seconds: float) -> None:
    """50 mm2 at 5000 A with k = 115, 143 and 76: t = (k S/I)^2; ours within the rounding of k."""
    assert fuses.withstand_time(50e-6, 5000, material, start, end) == pytest.approx(seconds, rel=5e-3)


@pytest.mark.analytic
def test_withstand_ends_at_the_final_temperature() -> None:
    """After its withstand time the adiabatic temperature is the final one: two formulas, one physics."""
    seconds = fuses.withstand_time(25e-6, 3000, "copper", 70, 160)
    assert adiabatic_temperature(25e-6, "copper", 70, 3000**2 * seconds) == pytest.approx(160, abs=0.5)


@pytest.mark.published
def test_icea_form_agrees() -> None:
    """ICEA P-32-382, read: (I/A)^2 t = 0.0297 log10((T2 + 234)/(T1 + 234)), A in circular mil; within 1.5 %."""
    area = 66370 * CIRCULAR_MIL
    printed = 0.0297 * log10((150 + 234) / (75 + 234)) * 66370**2 / 5000**2
    assert fuses.withstand_time(area, 5000, "copper", 75, 150) == pytest.approx(printed, rel=0.015)


@pytest.mark.published
def test_minimum_rating() -> None:
    """75 % at 25 degC and 0.5 %/K above it: at 50 degC a fuse carries 0.656 of its rating."""
    assert 1 / fuses.minimum_rating(1.0) == pytest.approx(0.75)
    assert 1 / fuses.minimum_rating(1.0, 50) == pytest.approx(0.656, abs=5e-4)
    assert fuses.minimum_rating(1.0, -10) == fuses.minimum_rating(1.0, 25)
    with pytest.raises(OutsideKnownError, match="rating"):
        fuses.minimum_rating(10.0, 230)


@pytest.mark.analytic
def test_next_rating() -> None:
    """The next rating is the first that is enough; beyond the series none."""
    assert fuses.next_rating(151, "strip") == 175
    assert fuses.next_rating(150, "strip") == 150
    assert fuses.next_rating(501, "strip") is None


@pytest.mark.analytic
def test_clearing_time_between_and_beyond_points() -> None:
    """Log-log between the points, I^2 t constant beyond, never below the first, not faster than 5 ms."""
    points = BRACKETS["slow"].points
    assert fuses.clearing_time(134, 100, points) is None
    for multiple, seconds in ((1.35, 1800), (2, 100), (3.5, 15), (6, 1)):
        assert fuses.clearing_time(100 * multiple, 100, points) == pytest.approx(seconds)
    middle = fuses.clearing_time(100 * (2 * 3.5) ** 0.5, 100, points)
    assert middle == pytest.approx((100 * 15) ** 0.5)
    assert fuses.clearing_time(1200, 100, points) == pytest.approx(0.25)
    assert fuses.clearing_time(1e6, 100, points) == 0.005
    with pytest.raises(ValueError, match="time falls"):
        fuses.clearing_time(200, 100, [(2.0, 1.0), (3.0, 5.0)])


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("style", "multiple"), [("slow", 4.36), ("blade_large", 3.84), ("strip", 2.64), ("blade", 2.00)]
)
def test_multiple_that_clears_in_five_seconds(style: str, multiple: float) -> None:
    """Log-log in the brackets: 5 s is reached at these multiples."""
    points = BRACKETS[style].points
    assert fuses.clearing_time(multiple, 1.0, points) == pytest.approx(5.0, rel=0.02)


def test_every_bracket_is_flagged_as_unpublished() -> None:
    """No time-current bracket claims to be a published limit: each is recalled or an assumption."""
    for bracket in BRACKETS.values():
        assert bracket.source.status.value in ("not checked against the document", "assumption")
        assert bracket.note


@pytest.mark.analytic
def test_the_slow_bracket_is_the_safe_side() -> None:
    """The slow bracket is at or above every other one, so an unknown fuse is never taken as faster."""
    slow = BRACKETS["slow"].points
    for other in BRACKETS.values():
        for multiple in (1.36, 1.6, 2.0, 2.7, 3.5, 4.5, 6.0):
            theirs = fuses.clearing_time(multiple, 1.0, other.points)
            ours = fuses.clearing_time(multiple, 1.0, slow)
            assert ours is not None
            assert theirs is None or ours >= theirs * (1 - 1e-9)


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("gauge", "ratio"),
    [("18", 0.47), ("14", 0.98), ("12", 1.5), ("8", 3.04), ("4", 4.85), ("0", 9.78), ("0000", 16.13)],
)
def test_withstand_at_six_times_the_rating(gauge: str, ratio: float) -> None:
    """(100 S)^2 over (6 Iz)^2 x 1 s by arithmetic: from 12 AWG up the cable outlasts the slow bracket."""
    k = 100.0 / fuses.adiabatic_k("copper", 90, 160) * 1e6
    seconds = fuses.withstand_time(awg_area(gauge), 6 * TABLE5[gauge][4], "copper", 90, 160) * k**2
    assert seconds == pytest.approx(ratio, rel=0.012)


def test_large_blades_take_the_slower_bracket() -> None:
    """A blade fuse above 40 A is of the larger, slower type."""
    assert fuses.bracket_for("blade", 40) is BRACKETS["blade"]
    assert fuses.bracket_for("blade", 60) is BRACKETS["blade_large"]
    assert fuses.bracket_for("strip", 60) is BRACKETS["strip"]


@pytest.mark.published
def test_fuse_resistance_against_a_read_point() -> None:
    """A cold 10 A blade fuse was read as 1 mV at 130 mA, 7.7 mohm: inside the band; hot is higher, large lower."""
    cold = fuses.fuse_resistance("blade", 10, hot=False)
    assert cold.low < 7.7e-3 < cold.high
    assert cold.typical == pytest.approx(7.7e-3, rel=0.01)
    assert fuses.fuse_resistance("blade", 10).typical > cold.typical
    assert fuses.fuse_resistance("bolt_in", 200).typical == pytest.approx(0.425e-3, abs=1e-6)
