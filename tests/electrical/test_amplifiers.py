"""Amplifiers: rated power into other loads, supply current, the constant-power load."""

from __future__ import annotations

import pytest

from dossier.electrical import amplifiers
from dossier.electrical.refusal import BelowRatedImpedanceError, NoOperatingPointError

RATINGS = [(4.0, 800.0), (2.0, 1400.0), (1.0, 2200.0)]


@pytest.mark.analytic
def test_ratings_are_met_and_bounded_between() -> None:
    """At a rated impedance the rating comes back; between two it lies between them; order does not matter."""
    for impedance, power in RATINGS:
        assert amplifiers.available_power(RATINGS[::-1], impedance) == pytest.approx(power)
    assert amplifiers.available_power(RATINGS, 3.0) == pytest.approx(800 + 600 * (1 / 3 - 1 / 4) / (1 / 4))
    assert 1400 < amplifiers.available_power(RATINGS, 1.5) < 2200


@pytest.mark.analytic
def test_a_constant_voltage_amplifier_is_reproduced() -> None:
    """Ratings of an ideal voltage source give V^2/Z at every load in between and above."""
    ideal = [(z, 40.0**2 / z) for z in (1.0, 4.0)]
    for impedance in (1.0, 1.3, 2.0, 3.7, 4.0, 8.0, 16.0):
        assert amplifiers.available_power(ideal, impedance) == pytest.approx(1600.0 / impedance)


def test_a_load_below_every_rating_is_refused() -> None:
    """Half the lowest rated impedance is not extrapolated to more power; rounding of 0.1 % is forgiven."""
    with pytest.raises(BelowRatedImpedanceError) as caught:
        amplifiers.available_power(RATINGS, 0.5)
    assert (caught.value.impedance, caught.value.lowest) == (0.5, 1.0)
    assert amplifiers.available_power(RATINGS, 0.9995) == 2200.0
    with pytest.raises(ValueError, match="positive"):
        amplifiers.available_power([], 4.0)


@pytest.mark.published
@pytest.mark.parametrize(
    ("power", "current", "voltage"),
    [(500, 40.333, 12.3967), (1000, 83.583, 11.9642), (2000, 182.179, 10.9782), (4000, 542.02, 7.3798)],
)
def test_constant_power_points(power: float, current: float, voltage: float) -> None:
    """E 12.8 V behind 10 mohm: the low-current root of the quadratic; worked from the read limit U^2/4r."""
    point = amplifiers.constant_power_point(12.8, 0.010, power)
    assert point[0] == pytest.approx(current, rel=2e-5)
    assert point[1] == pytest.approx(voltage, rel=2e-5)


@pytest.mark.published
def test_constant_power_limit() -> None:
    """No operating point exists above U^2/(4 r) = 4096 W (quadratic-discriminant derivation, read)."""
    assert amplifiers.constant_power_point(12.8, 0.010, 4096.0)[1] == pytest.approx(6.4)
    with pytest.raises(NoOperatingPointError) as caught:
        amplifiers.constant_power_point(12.8, 0.010, 4096.1)
    assert caught.value.deliverable == pytest.approx(4096.0)


@pytest.mark.independent
@pytest.mark.parametrize(("power", "voltage"), [(1500.0, 11.781450), (4000.0, 9.393326)])
def test_constant_power_against_a_circuit_simulator(power: float, voltage: float) -> None:
    """12.8 V behind 8 mohm: voltages across the load as ngspice 39 finds them."""
    assert amplifiers.constant_power_point(12.8, 0.008, power)[1] == pytest.approx(voltage, abs=1e-5)


@pytest.mark.published
def test_class_b_efficiency() -> None:
    """Class B: 78.54 % at full, 39.27 % at half the voltage swing, 55.54 % at half the power."""
    assert 100 * amplifiers.class_b_efficiency(1.0) == pytest.approx(78.54, abs=0.005)
    assert 100 * amplifiers.class_b_efficiency(0.25) == pytest.approx(39.27, abs=0.005)
    assert 100 * amplifiers.class_b_efficiency(0.5) == pytest.approx(55.54, abs=0.005)


@pytest.mark.analytic
def test_class_ab_law_scales_the_full_power_value() -> None:
    """At a quarter of the power half the full-power efficiency is left, and input follows sqrt(P)."""
    assert amplifiers.class_ab_efficiency(0.56, 0.25) == pytest.approx(0.28)
    assert amplifiers.class_ab_input_power(250, 1000, 0.56) == pytest.approx(250 / 0.28)
    assert amplifiers.class_ab_input_power(0.0, 1000, 0.56, 15.0) == 15.0


@pytest.mark.practice
def test_on_board_fuses_support() -> None:
    """Two 30 A fuses at 14.4 V and 75 % support about 650 W continuous."""
    assert amplifiers.supported_by_fuses(60.0, 0.75) == pytest.approx(650.0, rel=0.01)


@pytest.mark.analytic
def test_supply_side() -> None:
    """2200 W at 80 % and 25 W idle is 2775 W, 192.7 A at 14.4 V; an efficiency above 1 is refused."""
    assert amplifiers.input_power(2200, 0.8, 25) == pytest.approx(2775)
    assert amplifiers.supply_current(2200, 14.4, 0.8, 25) == pytest.approx(2775 / 14.4)
    with pytest.raises(ValueError, match="efficiency"):
        amplifiers.input_power(100, 78.0)


@pytest.mark.analytic
def test_rail_limited_power() -> None:
    """Unregulated output falls with the square of supply voltage (-1.5 dB at 11.85/14), regulated stays."""
    assert amplifiers.rail_limited_power(1000, 11.85, 14.0, 2.0) == pytest.approx(716.4, abs=0.1)
    assert amplifiers.rail_limited_power(1000, 11.85, 14.0, 0.0) == 1000.0
    assert amplifiers.rail_limited_power(1000, -1.0, 14.0, 2.0) == 0.0


@pytest.mark.analytic
def test_ripple_fraction_limits() -> None:
    """No storage means full ripple; 15 mohm and 1.0 F leave a tenth at 50 Hz."""
    assert amplifiers.ripple_fraction(50, 0.015, 0.0) == 1.0
    assert amplifiers.ripple_fraction(50, 0.015, 1.0) == pytest.approx(0.106, abs=0.001)
