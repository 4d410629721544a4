"""Alternators against published machines and the EU efficiency baseline."""

from __future__ import annotations

import pytest

from dossier.electrical import alternators
from dossier.electrical.mechanics import belt_change
from dossier.reference.alternators import EU_BASELINE_EFFICIENCY, EU_SPEED, EU_WEIGHT

# Sarafianos 2015, read second-hand: a 180 A machine at 25 degC and 13.5 V
MEASURED = ((2000.0, 120.0), (4000.0, 170.0), (6000.0, 180.0))


@pytest.mark.published
@pytest.mark.parametrize(("speed", "amps"), MEASURED)
def test_fraction_table_holds_the_measured_machine(speed: float, amps: float) -> None:
    """The band from the rating alone contains the measured output."""
    band = alternators.output_from_rating(180, speed)
    assert band.low <= amps <= band.high


@pytest.mark.published
@pytest.mark.parametrize(("speed", "fraction"), [(1300, 0.32), (2500, 0.82), (5000, 0.96)])
def test_hot_band_holds_a_marine_machine(speed: float, fraction: float) -> None:
    """16, 41 and 48 A hot of a 50 A marine machine (service manual, read) lie in the band, cold or hot."""
    band = alternators.output_from_rating(1.0, speed)
    assert band.low * alternators.hot_factor(speed) <= fraction <= band.high


@pytest.mark.published
def test_hot_factor() -> None:
    """Hot over cold of the marine machine: 16/24 at 1300, 41/50 at 2500 r/min."""
    assert alternators.hot_factor(1300) == pytest.approx(16 / 24, abs=0.005)
    assert alternators.hot_factor(2500) == pytest.approx(41 / 50, abs=0.005)
    assert alternators.hot_factor(500) == 0.67


@pytest.mark.analytic
def test_stated_points() -> None:
    """Stated points come back, between them nothing is above the chord, below they fall to zero at 1050 r/min."""
    points = [(6000.0, 180.0), (1800.0, 70.0)]
    assert alternators.output_at(points, 1800) == 70.0
    assert alternators.output_at(points, 3900) == pytest.approx(125.0)
    assert alternators.output_at(points, 9000) == 180.0
    assert alternators.output_at(points, 1425) == pytest.approx(35.0)
    assert alternators.output_at(points, 1050) == 0.0
    assert alternators.output_at([(1000.0, 20.0)], 999) == 0.0
    with pytest.raises(ValueError, match="different speeds"):
        alternators.output_at([(1800.0, 70.0), (1800.0, 80.0)], 2000)
    with pytest.raises(ValueError, match="different speeds"):
        alternators.output_at([], 2000)


@pytest.mark.published
def test_chord_is_the_safe_side() -> None:
    """Between two measured points of the 180 A machine the chord promises less than the third measurement."""
    assert alternators.output_at([MEASURED[0], MEASURED[2]], 4000) < MEASURED[1][1]


@pytest.mark.analytic
def test_output_never_falls_with_speed() -> None:
    """From the rating alone, each edge of the band rises with speed and is zero at standstill."""
    bands = [alternators.output_from_rating(180, 100.0 * k) for k in range(120)]
    for edge in ("low", "typical", "high"):
        values = [getattr(b, edge) for b in bands]
        assert values == sorted(values)
        assert values[0] == 0.0


@pytest.mark.published
def test_eu_baseline_efficiency() -> None:
    """Weighted over the speeds of Decision (EU) 2017/785 at half load, the map is within 1 point of 67 %."""
    assert sum(EU_WEIGHT) == pytest.approx(1.0)
    weighted = sum(w * alternators.efficiency(n, 0.5) for n, w in zip(EU_SPEED, EU_WEIGHT, strict=True))
    assert EU_BASELINE_EFFICIENCY == 0.67
    assert weighted == pytest.approx(0.67, abs=0.01)
    assert alternators.efficiency(2000, 1.0) < alternators.efficiency(2000, 0.5)


@pytest.mark.practice
def test_engine_power_at_idle() -> None:
    """180 A at 14.1 V and 55 % is about 4.6 kW, 55 N m at 800 r/min."""
    power = alternators.mechanical_power(14.1, 180, 0.55)
    assert power == pytest.approx(4600, rel=0.01)
    assert alternators.engine_torque(power, 800) == pytest.approx(55, rel=0.01)


@pytest.mark.practice
def test_a_smaller_pulley_raises_idle_output_and_needs_a_shorter_belt() -> None:
    """60 to 50 mm on a 150 mm crank pulley: more current at 800 r/min, and a shorter belt."""
    old, new = (800 * 150 / d for d in (60, 50))
    assert alternators.output_from_rating(180, new).typical > alternators.output_from_rating(180, old).typical
    assert belt_change(0.150, 0.060, 0.050, 0.250) < 0
