"""The tables in the project are the published ones, digit for digit."""

from __future__ import annotations

from math import log10

import pytest

from dossier.reader.gauges import INCH
from dossier.reference.ampacity import NOTE1_FACTORS, TABLE5
from dossier.reference.conductors import AWG_NUMBERS, CIRCULAR_MIL, METALS, awg_area, awg_diameter
from dossier.reference.exposure import EU_LIMIT, EU_LOWER, EU_UPPER, NIOSH, OSHA, THIRD_OCTAVES, WEIGHTINGS, Criterion
from dossier.reference.fuses import ABYC_BREAKING, BLADE_LARGEST, BREAKING_CAPACITY, RATINGS, STRIP_LARGEST
from dossier.reference.placement import BATTERY, GENERAL, SHEATHED, TRADE

# Lessons in Electric Circuits, vol. I, ch. 12 wire table, read: diameter [in], area [circular mil]
AWG_TABLE = {
    "0000": (0.46, 211600), "000": (0.4096, 167800), "00": (0.3648, 133100), "0": (0.3249, 105500),
    "1": (0.2893, 83690), "2": (0.2576, 66370), "3": (0.2294, 52630), "4": (0.2043, 41740), "6": (0.162, 26250),
    "8": (0.1285, 16510), "10": (0.1019, 10380), "12": (0.08081, 6530), "14": (0.06408, 4107), "16": (0.05082, 2583),
    "18": (0.0403, 1624),
}  # fmt: skip


@pytest.mark.published
@pytest.mark.parametrize("gauge", AWG_TABLE)
def test_awg_geometry(gauge: str) -> None:
    """Diameter and area of every gauge agree with a printed wire table to its last digit."""
    diameter, area = AWG_TABLE[gauge]
    assert awg_diameter(gauge) / INCH == pytest.approx(
        diameter, abs=0.6 * 10 ** -(4 if diameter >= 0.1 else 5)
    )
    assert awg_area(gauge) / CIRCULAR_MIL == pytest.approx(area, rel=6e-4)


@pytest.mark.published
def test_awg_law_ends() -> None:
    """ASTM B258: 36 AWG is 0.005 in, 4/0 is 0.46 in, 39 steps of 92^(1/39) = 1.1229322 between them."""
    assert awg_diameter("36") / INCH == pytest.approx(0.005, rel=1e-12)
    assert awg_diameter("0000") / INCH == pytest.approx(0.46, rel=1e-12)
    assert awg_diameter("3") / awg_diameter("4") == pytest.approx(1.1229322, rel=1e-7)
    assert len(AWG_NUMBERS) == 40


@pytest.mark.published
def test_resistivities() -> None:
    """IACS 0.01724138 ohm mm2/m; ASTM B566 classes at 62.9 and 64.4 % IACS; 61 % IACS aluminium 0.028264."""
    copper = METALS["copper"].rho20
    assert copper * 1e6 == pytest.approx(0.01724138, abs=5e-9)
    assert 100 * copper / METALS["cca_10"].rho20 == pytest.approx(62.9, abs=0.05)
    assert 100 * copper / METALS["cca_15"].rho20 == pytest.approx(64.4, abs=0.05)
    assert METALS["aluminium"].rho20 * 1e6 == pytest.approx(0.0172414 / 0.61, abs=1e-5)


@pytest.mark.analytic
@pytest.mark.parametrize(("metal", "share", "percent"), [("cca_10", 0.10, 64.9), ("cca_15", 0.15, 66.85)])
def test_clad_wire_is_not_better_than_its_metals(metal: str, share: float, percent: float) -> None:
    """The standard minimum lies below ideal parallel conduction of the two metals."""
    ideal = share * 100.0 + (1.0 - share) * 61.0
    assert ideal == pytest.approx(percent, abs=0.01)
    assert 100.0 * METALS["copper"].rho20 / METALS[metal].rho20 < ideal


@pytest.mark.published
def test_table5_is_transcribed() -> None:
    """33 CFR 183.425 Table 5, the 60 and 105 degC columns, as read (the 105 column on two pages)."""
    column_60 = [10, 15, 20, 25, 40, 55, 80, 105, 120, 140, 165, 195, 225, 260, 300]
    column_105 = [20, 25, 35, 45, 60, 80, 120, 160, 180, 210, 245, 285, 330, 385, 445]
    assert [row[0] for row in TABLE5.values()] == column_60
    assert [row[4] for row in TABLE5.values()] == column_105
    for row in TABLE5.values():
        assert list(row) == sorted(row)


@pytest.mark.published
def test_note1_against_the_nec() -> None:
    """The recalled factors at 50 degC agree with NEC 310.15(B)(1), 46 to 50 degC, where both have the column."""
    assert {t: NOTE1_FACTORS[t] for t in (60.0, 75.0, 90.0)} == {60.0: 0.58, 75.0: 0.75, 90.0: 0.82}


@pytest.mark.published
def test_fuse_scopes() -> None:
    """ISO 8820-3: blades to 100 A, 1000 A; ISO 8820-5: strips 30 to 500 A, 2000 A. Nothing is claimed beyond."""
    assert BREAKING_CAPACITY["blade"].current == 1000.0
    assert BREAKING_CAPACITY["strip"].current == 2000.0
    assert BREAKING_CAPACITY["cartridge"].current is None
    assert max(RATINGS["blade"]) == BLADE_LARGEST == 100.0
    assert (min(RATINGS["strip"]), max(RATINGS["strip"])) == (30.0, STRIP_LARGEST)
    for style, ratings in RATINGS.items():
        assert list(ratings) == sorted(set(ratings)), style


@pytest.mark.published
def test_abyc_interrupting_capacity() -> None:
    """ABYC E-11 Table V-A: 1500/750, 3000/1500, 5000/2500 A."""
    assert [row[1:] for row in ABYC_BREAKING] == [(1500.0, 750.0), (3000.0, 1500.0), (5000.0, 2500.0)]


@pytest.mark.published
def test_placement_distances() -> None:
    """33 CFR 183.455: 7 in = 177.8 mm, 40 in = 1016 mm sheathed; 183.460: 72 in = 1828.8 mm; the trade's 18 in."""
    assert [1e3 * rule.length for rule in (GENERAL, SHEATHED, BATTERY, TRADE)] == pytest.approx(
        [177.8, 1016.0, 1828.8, 457.2]
    )


@pytest.mark.published
def test_weighting_table_spots() -> None:
    """IEC 61672-1: A at 40 Hz -34.6 dB, C at 40 Hz -2.0 dB."""
    at_40 = THIRD_OCTAVES.index(40.0)
    assert (WEIGHTINGS["A"][at_40], WEIGHTINGS["C"][at_40]) == (-34.6, -2.0)


@pytest.mark.published
@pytest.mark.parametrize(
    ("criterion", "level", "pascal"), [(EU_LIMIT, 87, 200), (EU_UPPER, 85, 140), (EU_LOWER, 80, 112)]
)
def test_eu_values(criterion: Criterion, level: float, pascal: float) -> None:
    """Directive 2003/10/EC, Article 3(1): 87, 85 and 80 dB(A) a day, peaks of 200, 140 and 112 Pa, weighted C."""
    assert (criterion.level, criterion.duration, criterion.peak_weighting) == (level, 8 * 3600.0, "C")
    assert criterion.peak == pytest.approx(20 * log10(pascal / 20e-6), abs=0.1)
    assert criterion.action is (criterion is not EU_LIMIT)


@pytest.mark.published
def test_ceilings_of_the_united_states() -> None:
    """29 CFR 1910.95 Table G-16 ends at 115 dB(A), a quarter of an hour, and names 140 dB peak; NIOSH 140 dB(A)."""
    assert (OSHA.ceiling, OSHA.peak, OSHA.peak_weighting) == (115.0, 140.0, "Z")
    assert OSHA.seconds(115.0) == pytest.approx(900.0)
    assert (NIOSH.peak, NIOSH.peak_weighting) == (140.0, "A")
