"""Capacitor banks against worked numbers and an independent circuit simulator."""

from __future__ import annotations

import pytest

from dossier.electrical import capacitors


@pytest.mark.practice
def test_eight_in_series() -> None:
    """Eight 3000 F cells in series make 375 F; a second string doubles it."""
    assert capacitors.bank(8, 1, 3000.0, 0.25e-3, 2.7).capacitance == 375.0
    assert capacitors.bank(8, 2, 3000.0, 0.25e-3, 2.7).capacitance == 750.0


@pytest.mark.analytic
def test_worked_bank() -> None:
    """Six cells of 1000 F, 0.5 mohm, 2.7 V: 166.7 F, 3.0 mohm, 16.2 V, 21870 J."""
    bank = capacitors.bank(6, 1, 1000.0, 0.5e-3, 2.7)
    assert (bank.capacitance, bank.resistance, bank.rated_voltage) == pytest.approx((166.6667, 3.0e-3, 16.2))
    assert capacitors.stored_energy(bank.capacitance, 16.2) == pytest.approx(21870.0)


@pytest.mark.published
def test_iec_62576_currents_give_95_percent() -> None:
    """IEC 62576: discharge at U/(40 R) is 95 % efficient over the full range, 1 - 2 I R/U."""
    voltage, resistance, capacitance = 2.7, 0.25e-3, 3000.0
    current = voltage / (40 * resistance)
    # terminal energy of a full constant-current discharge of an R-C cell, by the closed forms used here
    duration = capacitance * voltage / current
    lost = current**2 * resistance * duration
    assert 1 - lost / capacitors.stored_energy(capacitance, voltage) == pytest.approx(0.95)


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("ohms", "amps", "watts", "t95", "t99"),
    [(1.0, 14.4, 207.4, 1497.9, 2302.6), (4.7, 3.064, 44.1, 7039.9, 10822.2)],
)
def test_precharge_of_500_farad(ohms: float, amps: float, watts: float, t95: float, t99: float) -> None:
    """500 F to 14.4 V: 51.84 kJ in any resistor; times to 95 and 99 % are 2.996 and 4.605 RC."""
    assert capacitors.stored_energy(500, 14.4) == pytest.approx(51840)
    assert 14.4 / ohms == pytest.approx(amps, abs=5e-4)
    assert capacitors.resistor_power(ohms, 14.4) == pytest.approx(watts, abs=0.05)
    assert capacitors.charge_time(ohms, 500, 14.4, 0.05 * 14.4) == pytest.approx(t95, rel=1e-4)
    assert capacitors.charge_time(ohms, 500, 14.4, 0.01 * 14.4) == pytest.approx(t99, rel=1e-4)


@pytest.mark.analytic
def test_discharge_of_500_farad() -> None:
    """2 ohm: 2667 s to 1 V, 3472 s to 50 J, which is 0.447 V; at 1 V still 250 J. 1 ohm reaches 1 V in 1333 s."""
    assert capacitors.charge_time(2, 500, 14.4, 1.0) == pytest.approx(2667.2, abs=0.1)
    low = capacitors.voltage_at_energy(500, 50)
    assert low == pytest.approx(0.4472, abs=5e-5)
    assert capacitors.charge_time(2, 500, 14.4, low) == pytest.approx(3471.9, abs=0.1)
    assert capacitors.stored_energy(500, 1.0) == 250.0
    with pytest.raises(ValueError, match="falls"):
        capacitors.charge_time(2, 500, 14.4, 0.0)
