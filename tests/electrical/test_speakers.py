"""Speaker loads and leads."""

from __future__ import annotations

import pytest

from dossier.electrical.conductors import resistance
from dossier.electrical.speakers import (
    combined,
    lead_loss,
    needs_cover,
    net_impedance,
    operating_impedance,
    reachable_impedances,
    terminal_current,
    terminal_voltage,
)
from dossier.reference.conductors import awg_area


@pytest.mark.practice
def test_two_coils_in_parallel_halve_the_impedance() -> None:
    """Two 4 ohm coils make 2 ohm in parallel and 8 ohm in series."""
    assert combined(4.0, 2, "parallel") == 2.0
    assert combined(4.0, 2, "series") == 8.0


@pytest.mark.practice
def test_usual_wirings() -> None:
    """Two dual 4 ohm drivers: coils in series, drivers in parallel 4 ohm; all in parallel 1 ohm."""
    assert net_impedance(4.0, 2, "series", 2, "parallel") == pytest.approx(4.0)
    assert net_impedance(4.0, 2, "parallel", 2, "parallel") == pytest.approx(1.0)
    assert net_impedance(2.0, 2, "parallel", 4, "parallel") == pytest.approx(0.25)


@pytest.mark.practice
def test_a_strapped_pair_sees_half_the_load() -> None:
    """Each amplifier of a strapped pair works into half the load."""
    assert net_impedance(2.0, 1, "series", 1, "series", amplifiers=2) == 1.0


@pytest.mark.practice
def test_gain_setting_voltage() -> None:
    """2200 W into 1 ohm is 46.9 V and 46.9 A rms."""
    assert terminal_voltage(2200, 1.0) == pytest.approx(46.9, abs=0.01)
    assert terminal_current(2200, 1.0) == pytest.approx(46.9, abs=0.01)


@pytest.mark.practice
def test_fifty_volts() -> None:
    """50 V rms is reached at 2500 W into 1 ohm and 625 W into 4 ohm; above it terminals are covered."""
    assert terminal_voltage(2500, 1.0) == pytest.approx(50.0)
    assert terminal_voltage(625, 4.0) == pytest.approx(50.0)
    assert not needs_cover(2499, 1.0)
    assert needs_cover(2501, 1.0)


@pytest.mark.practice
def test_lead_loss_of_a_long_thin_lead() -> None:
    """2200 W / 1 ohm through 2.5 m of 12 AWG, out and back, loses about 58 W and 0.23 dB."""
    loss = lead_loss(2200, 1.0, 1.02 * resistance(awg_area("12"), 5.0).low)
    assert loss.heat == pytest.approx(58.0, abs=1.0)
    assert loss.level == pytest.approx(0.23, abs=0.005)


def test_impossible_loads_are_refused() -> None:
    """No coil, another word than series or parallel, an impedance below the IEC 60268-5 floor."""
    with pytest.raises(ValueError, match="at least one"):
        combined(4.0, 0, "series")
    with pytest.raises(ValueError, match="series or parallel"):
        combined(4.0, 2, "strapped")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=r"0\.8"):
        operating_impedance(4.0, 0.5)
    assert operating_impedance(4.0, 1.5) == 6.0


def test_every_wiring_of_two_dual_coils() -> None:
    """Two drivers of two coils of 2 ohm make a quarter, one or four times that; 2 ohm in two ways."""
    assert reachable_impedances(2.0, 2, 2) == {0.5: ((1, 1),), 2.0: ((1, 2), (2, 1)), 8.0: ((2, 2),)}
