"""Amplifiers: rated power into other loads, supply current, the constant-power load."""

from __future__ import annotations

from math import pi

import pytest

from dossier.electrical import amplifiers
from dossier.electrical.refusal import BelowRatedImpedanceError

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
@pytest.mark.parametrize(("share", "efficiency"), [(1.0, 0.7854), (0.25, 0.3927), (0.5, 0.5554)])
def test_all_root_is_class_b(share: float, efficiency: float) -> None:
    """Class B: 78.54 % at full, 39.27 % at half the voltage swing, 55.54 % at half the power."""
    drawn = amplifiers.input_power(1000.0 * share, 1000.0, pi / 4.0, 1.0)
    assert 1000.0 * share / drawn == pytest.approx(efficiency, abs=5e-5)


@pytest.mark.published
@pytest.mark.parametrize(
    ("full", "eighth", "third", "low", "high"),
    [(0.80, 0.58, 0.69, 0.62, 0.82), (0.56, 0.21, 0.36, 0.28, 0.42)],
)
def test_a_third_follows_from_full_and_an_eighth(
    full: float, eighth: float, third: float, low: float, high: float
) -> None:
    """What lies between is not asked for: 0.69 of a switching unit and the band of class AB are met at 1/3 power.

    Class D: power table of one mains-fed professional amplifier (0.69 at 1/3, 0.52 to 0.55 at 1/8 with its idle
    power), read second-hand; class AB: pi/4 sqrt(P/Pmax) times a converter of 0.88, less bias.
    """
    share = amplifiers.root_share(full, eighth, 1.0 / 8.0)
    there = (1000.0 / 3.0) / amplifiers.input_power(1000.0 / 3.0, 1000.0, full, share)
    assert low <= there <= high
    assert there == pytest.approx(third, abs=0.03)
    assert 125.0 / amplifiers.input_power(125.0, 1000.0, full, share) == pytest.approx(eighth)
    assert 1000.0 / amplifiers.input_power(1000.0, 1000.0, full, share) == pytest.approx(full)


@pytest.mark.analytic
def test_partial_efficiency_is_held_between_constant_and_class_b() -> None:
    """No better at an eighth than at full, no worse than class B: the law stays rising and finite."""
    assert amplifiers.root_share(0.8, 0.9, 1.0 / 8.0) == 0.0
    assert amplifiers.root_share(0.8, 0.1, 1.0 / 8.0) == 1.0
    assert amplifiers.input_power(0.0, 1000.0, 0.56, 1.0, 15.0) == 15.0


@pytest.mark.practice
def test_on_board_fuses_support() -> None:
    """Two 30 A fuses at 14.4 V and 75 % support about 650 W continuous."""
    assert amplifiers.supported_by_fuses(60.0, 0.75) == pytest.approx(650.0, rel=0.01)


@pytest.mark.analytic
def test_supply_side() -> None:
    """2200 W at 80 % and 25 W idle is 2775 W whatever the share; an efficiency above 1 is refused."""
    assert amplifiers.input_power(2200, 2200, 0.8, 0.3, 25) == pytest.approx(2775)
    with pytest.raises(ValueError, match="efficiency"):
        amplifiers.input_power(100, 100, 78.0, 0.0)


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
