"""Allowable current against 33 CFR 183.425 and independent published tables."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

import pytest

from dossier.electrical.ampacity import (
    allowable,
    ambient_factor,
    base_ampacity,
    bundling_factor,
    cautious_60,
    insulation_column,
    material_factor,
    touching_factor,
)
from dossier.electrical.refusal import InsulationOutsideTableError, SizeOutsideTableError
from dossier.reference.conductors import awg_area

COLUMNS = (60, 75, 80, 90, 105, 125, 200)
# 33 CFR 183.425 Table 5, read whole
TABLE = {
    "18": (10, 10, 15, 20, 20, 25, 25), "16": (15, 15, 20, 25, 25, 30, 35), "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55), "10": (40, 40, 50, 55, 60, 70, 70), "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135), "4": (105, 125, 130, 135, 160, 170, 180),
    "3": (120, 145, 150, 155, 180, 195, 210), "2": (140, 170, 175, 180, 210, 225, 240),
    "1": (165, 195, 210, 210, 245, 265, 280), "0": (195, 230, 245, 245, 285, 305, 325),
    "00": (225, 265, 285, 285, 330, 355, 370), "000": (260, 310, 330, 330, 385, 410, 430),
    "0000": (300, 360, 385, 385, 445, 475, 510),
}  # fmt: skip
# The same source at 50 degC, 105 degC insulation (factor 0.85), read second-hand
AT_50 = {
    "18": 17, "16": 21, "14": 30, "12": 38, "10": 51, "8": 68, "6": 102, "4": 136, "3": 153, "2": 178, "1": 208,
    "0": 242, "00": 280, "000": 327, "0000": 378,
}  # fmt: skip
# NEC Table 310.15(B)(1), read: upper end of each ambient step -> factor at 60, 75, 90 degC
NEC_AMBIENT = {
    35: (0.91, 0.94, 0.96), 40: (0.82, 0.88, 0.91), 45: (0.71, 0.82, 0.87), 50: (0.58, 0.75, 0.82),
    55: (0.41, 0.67, 0.76), 60: (None, 0.58, 0.71), 65: (None, 0.47, 0.65), 70: (None, 0.33, 0.58),
    75: (None, None, 0.50), 80: (None, None, 0.41), 85: (None, None, 0.29),
}  # fmt: skip
# IEC 60364-5-52 single-core copper at 30 degC, read: method G (spaced, free air) and F (three touching)
METHOD_G_70 = {25: 146, 35: 181, 50: 219, 70: 281, 95: 341}
METHOD_G_90 = {25: 182, 35: 226, 50: 275, 70: 353}  # BS 7671 Table 4E1A, read
METHOD_F_90 = {25: 135, 35: 169, 50: 207, 70: 268, 95: 328}


@pytest.mark.published
@pytest.mark.parametrize("gauge", TABLE)
def test_published_rows(gauge: str) -> None:
    """Every published size and column gives exactly its published current."""
    assert tuple(base_ampacity(awg_area(gauge), c) for c in COLUMNS) == TABLE[gauge]


@pytest.mark.published
@pytest.mark.parametrize("gauge", AT_50)
def test_published_engine_space_row(gauge: str) -> None:
    """105 degC cable at 50 degC carries what the published corrected table says, within its rounding."""
    assert allowable(awg_area(gauge), 105, ambient=50).allowed == pytest.approx(AT_50[gauge], abs=0.51)


@pytest.mark.published
@pytest.mark.parametrize("ambient", NEC_AMBIENT)
def test_ambient_law_against_the_nec_ladder(ambient: int) -> None:
    """The square-root law agrees with every step of the NEC ladder within 0.005."""
    for insulation, printed in zip((60, 75, 90), NEC_AMBIENT[ambient], strict=True):
        if printed is not None:
            assert ambient_factor(insulation, ambient).value == pytest.approx(printed, abs=0.005)


@pytest.mark.published
@pytest.mark.parametrize("size", METHOD_G_90)
def test_metric_sizes_stay_below_spaced_free_air(size: int) -> None:
    """Between the gauges a metric size never gets more than IEC and BS allow a cable in free air."""
    assert base_ampacity(size * 1e-6, 70) < METHOD_G_70[size]
    assert base_ampacity(size * 1e-6, 90) < METHOD_G_90[size]


@pytest.mark.published
@pytest.mark.parametrize("size", METHOD_F_90)
def test_three_together_stay_below_three_touching(size: int) -> None:
    """With the bundling factor for three, a metric size never gets more than IEC method F, three touching."""
    assert allowable(size * 1e-6, 90, bundle=bundling_factor(3)).allowed < METHOD_F_90[size]


@pytest.mark.analytic
@pytest.mark.parametrize("insulation", COLUMNS)
def test_interpolation_is_monotone_and_bounded(insulation: int) -> None:
    """Between two published rows the current lies between theirs and rises with area."""
    gauges = list(TABLE)
    column = COLUMNS.index(insulation)
    for thin, thick in pairwise(gauges):
        a0, a1 = awg_area(thin), awg_area(thick)
        steps = [base_ampacity(a0 + (a1 - a0) * k / 10, insulation) for k in range(1, 10)]
        assert steps == sorted(steps)
        assert TABLE[thin][column] <= steps[0]
        assert steps[-1] <= TABLE[thick][column]


@pytest.mark.published
def test_clad_aluminium_factor() -> None:
    """ASTM B566 resistivities: sqrt gives 0.793 and 0.803; with the warmer coefficient 0.790 and 0.800."""
    assert material_factor("cca_10", 105).value == pytest.approx(0.790, abs=1e-3)
    assert material_factor("cca_15", 105).value == pytest.approx(0.800, abs=1e-3)
    assert material_factor("aluminium", 105).value == pytest.approx(0.778, abs=1e-3)
    assert material_factor("cca_10", 60).value < (0.0172414 / 0.02743) ** 0.5
    assert material_factor("copper", 105).value == 1.0


@pytest.mark.published
def test_bundling_never_exceeds_the_nec() -> None:
    """NEC 310.15(B)(3)(a), read: 4-6 0.80, 7-9 0.70, 10-20 0.50, 21-30 0.45, 31-40 0.40, 41 up 0.35."""
    printed = {
        4: 0.8,
        6: 0.8,
        7: 0.7,
        9: 0.7,
        10: 0.5,
        20: 0.5,
        21: 0.45,
        30: 0.45,
        31: 0.4,
        40: 0.4,
        41: 0.35,
    }
    for count, factor in printed.items():
        assert bundling_factor(count).value <= factor
    assert bundling_factor(21).value == 0.45
    assert bundling_factor(41).value == 0.35
    assert bundling_factor(1).value == bundling_factor(2).value == 1.0
    with pytest.raises(ValueError, match="at least one"):
        bundling_factor(0)


def test_no_factor_ever_raises_a_current() -> None:
    """Cool air gives nothing extra, and no rating between two columns is taken as the higher one."""
    assert ambient_factor(105, -20).value == 1.0
    assert insulation_column(89.9) == 80.0
    assert base_ampacity(awg_area("4"), 104) == 135
    assert base_ampacity(500e-6, 105) == 445  # thicker than 4/0: no more than 4/0
    assert ambient_factor(200, 50).value <= 0.94  # the recalled factor of 1.00 is not used


def test_no_current_when_the_air_is_as_hot_as_the_insulation() -> None:
    """At the insulation's own temperature nothing may be carried."""
    assert allowable(50e-6, 75, ambient=75).allowed == 0.0


def test_outside_the_table_is_refused() -> None:
    """Thinner than 18 AWG and below 60 degC no value is published, and none is invented."""
    with pytest.raises(SizeOutsideTableError, match="18 AWG"):
        base_ampacity(0.5e-6, 105)
    with pytest.raises(InsulationOutsideTableError, match="60 degC"):
        base_ampacity(50e-6, 55)


@pytest.mark.analytic
def test_runs_that_touch() -> None:
    """Perimeter of a tight bundle over that of its cables alone: (pi + n)/(n pi) for two to six equal circles."""
    for n in range(2, 7):
        assert touching_factor(n).value == pytest.approx(sqrt((pi + n) / (n * pi)))
    assert [round(touching_factor(n).value, 3) for n in (1, 2, 3, 4, 7)] == [1.0, 0.905, 0.807, 0.754, 0.645]
    assert touching_factor(10).value == 0.5


@pytest.mark.published
def test_the_lower_table_for_60_degc() -> None:
    """ISO 10133 (recalled, not checked against the document) lies below 33 CFR 183.425 in the 60 degC column."""
    for size, amperes in {2.5: 17, 10: 40, 25: 71, 50: 105, 95: 165}.items():
        assert cautious_60(size * 1e-6) == pytest.approx(amperes)
        assert base_ampacity(size * 1e-6, 60) > amperes
    assert cautious_60(0.5e-6) is None


def test_every_factor_is_listed_with_its_source() -> None:
    """The result shows base, each factor and its source, and their product."""
    result = allowable(50e-6, 105, 50, bundling_factor(4), "cca_10")
    assert [f.name for f in result.factors] == ["ambient", "bundling", "material"]
    product = result.base
    for factor in result.factors:
        assert factor.source.document
        product *= factor.value
    assert result.allowed == pytest.approx(product)
