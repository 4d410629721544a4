"""Conductor resistance against printed wire tables and standards."""

from __future__ import annotations

from itertools import pairwise

import pytest

from dossier.electrical.conductors import awg_of, resistance, temperature_factor
from dossier.reader.gauges import FOOT
from dossier.reference.conductors import awg_area

# HyperPhysics wire gauge table, read: solid annealed copper at 20 degC [ohm/1000 ft]
SOLID_20 = {
    "0000": 0.049, "000": 0.0618, "00": 0.078, "0": 0.0983, "1": 0.124, "2": 0.1563, "3": 0.197, "4": 0.2485,
    "6": 0.3951, "8": 0.6282, "10": 0.9989, "12": 1.588, "14": 2.525, "16": 4.016, "18": 6.385,
}  # fmt: skip
# NFPA 70 (NEC) 2011, chapter 9 Table 8, read second-hand: stranded uncoated copper at 75 degC [ohm/1000 ft]
NEC_75 = {
    "18": 7.95, "16": 4.99, "14": 3.14, "12": 1.98, "10": 1.24, "8": 0.778, "6": 0.491, "4": 0.308, "3": 0.245,
    "2": 0.194, "1": 0.154, "0": 0.122, "00": 0.0967, "000": 0.0766, "0000": 0.0608,
}  # fmt: skip
# FAA AC 43.13-1B, Table 11-9, largest of tinned copper at 20 degC, ohm per 1000 ft
FAA_LARGEST = {
    "18": 6.23, "16": 4.81, "14": 3.06, "12": 2.02, "10": 1.26, "8": 0.70, "6": 0.44, "4": 0.28, "2": 0.18, "1": 0.15,
    "0": 0.12, "00": 0.09, "000": 0.07, "0000": 0.06,
}  # fmt: skip
NEC_75_ALUMINIUM = {"8": 1.28, "4": 0.508, "0": 0.201, "0000": 0.1}
# IEC 60228:2004 class 5 plain copper, read second-hand (three pages agree): nominal mm2 -> ohm/km at 20 degC
CLASS_5 = {
    1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.3, 10: 1.91, 16: 1.21, 25: 0.78, 35: 0.554, 50: 0.386, 70: 0.272, 95: 0.206,
    120: 0.161, 150: 0.129, 185: 0.106, 240: 0.0801,
}  # fmt: skip
CLASS_2_ALUMINIUM: dict[float, float] = {10: 3.08, 25: 1.2, 50: 0.641, 95: 0.32, 240: 0.125}


@pytest.mark.published
@pytest.mark.parametrize("gauge", SOLID_20)
def test_solid_copper_at_20(gauge: str) -> None:
    """A solid bar agrees with the printed 20 degC table within its rounding (0.1 %)."""
    assert resistance(awg_area(gauge), 1000 * FOOT).low == pytest.approx(SOLID_20[gauge], rel=1.2e-3)


@pytest.mark.published
@pytest.mark.parametrize("gauge", NEC_75)
def test_stranded_copper_at_75(gauge: str) -> None:
    """NEC Table 8 at 75 degC, class B of plain copper: between the solid bar and flexible cable."""
    band = resistance(awg_area(gauge), 1000 * FOOT, "copper", 75.0)
    assert band.low < NEC_75[gauge] < band.typical == pytest.approx(NEC_75[gauge], rel=0.04)


@pytest.mark.published
@pytest.mark.parametrize("gauge", NEC_75_ALUMINIUM)
def test_stranded_aluminium_at_75(gauge: str) -> None:
    """Aluminium of NEC Table 8 at 75 degC lies there, too."""
    band = resistance(awg_area(gauge), 1000 * FOOT, "aluminium", 75.0)
    assert band.low < NEC_75_ALUMINIUM[gauge] < band.typical == pytest.approx(NEC_75_ALUMINIUM[gauge], rel=0.04)


@pytest.mark.published
@pytest.mark.parametrize("gauge", FAA_LARGEST)
def test_the_high_end_of_a_gauge_reaches_tinned_wire(gauge: str) -> None:
    """FAA AC 43.13-1B, Table 11-9, largest of tinned wire at 20 degC: no gauge is taken as better."""
    assert resistance(awg_area(gauge), 1000 * FOOT).high >= FAA_LARGEST[gauge] * 0.9999


@pytest.mark.published
@pytest.mark.parametrize(
    ("gauge", "written"), [("4", 21.2), ("4", 21.0), ("0", 53.5), ("2", 33.6), ("6", 13.3), ("10", 5.26)]
)
def test_one_size_named_two_ways_is_one_conductor(gauge: str, written: float) -> None:
    """ASTM B258 areas as they are rounded in print: 21.2 mm2 is 4 AWG and has its resistance, to the last digit."""
    assert resistance(written * 1e-6, 1.0) == resistance(awg_area(gauge), 1.0)


@pytest.mark.published
@pytest.mark.parametrize("size", CLASS_5)
def test_metric_flexible_takes_the_published_limit(size: float) -> None:
    """A nominal metric size takes the IEC 60228 class 5 limit, the highest resistance that may be sold."""
    band = resistance(size * 1e-6, 1000.0)
    assert band.high == band.typical == pytest.approx(CLASS_5[size], rel=1e-9)


@pytest.mark.published
@pytest.mark.parametrize("size", CLASS_2_ALUMINIUM)
def test_metric_aluminium_takes_the_published_limit(size: float) -> None:
    """Stranded aluminium takes the IEC 60228 class 2 limit."""
    computed = resistance(size * 1e-6, 1000.0, "aluminium", 20.0, "stranded").typical
    assert computed == pytest.approx(CLASS_2_ALUMINIUM[size], rel=1e-9)


@pytest.mark.published
def test_temperature_law_against_iec_factors() -> None:
    """IEC 60228 prints factors to 20 degC of 0.980 at 25 and 0.833 at 70 degC; ours agree within 0.4 %."""
    printed: dict[float, float] = {5: 1.064, 25: 0.980, 50: 0.893, 70: 0.833, 100: 0.758}
    for temperature, factor in printed.items():
        assert 1.0 / temperature_factor("copper", temperature) == pytest.approx(factor, rel=4e-3)


@pytest.mark.published
@pytest.mark.parametrize(("material", "ohm_mm2_per_m"), [("cca_10", 0.02743), ("cca_15", 0.02676)])
def test_clad_aluminium_resistivity(material: str, ohm_mm2_per_m: float) -> None:
    """A solid bar of copper-clad aluminium has the resistivity of the B566 specification table."""
    assert resistance(1e-6, 1.0, material).low == pytest.approx(ohm_mm2_per_m, rel=1e-9)


@pytest.mark.analytic
def test_between_sizes_resistance_never_rises_with_area() -> None:
    """Between and beyond the published metric sizes a thicker conductor never has more resistance."""
    areas = [1e-6 * (1.0 + 0.37 * i) for i in range(900)]
    plain = [a for a in areas if awg_of(a) is None]
    values = [resistance(a, 1.0).typical for a in plain]
    assert all(b < a for a, b in pairwise(values))


def test_a_gauge_is_recognised_by_its_area() -> None:
    """53.5 mm2 is 1/0 AWG; no size of IEC 60228 is taken for a gauge."""
    assert awg_of(53.5e-6) == "0"
    assert not [size for size in CLASS_5 if awg_of(size * 1e-6)]


def test_impossible_conductors_are_refused() -> None:
    """No area, a negative length or an unknown metal is refused, not computed."""
    with pytest.raises(ValueError, match="positive area"):
        resistance(0.0, 1.0)
    with pytest.raises(ValueError, match="positive factor"):
        resistance(1e-6, -1.0)
    with pytest.raises(KeyError):
        resistance(1e-6, 1.0, "silver")
