"""Capacitor banks against worked numbers and an independent circuit simulator."""

from __future__ import annotations

import pytest
from scipy.integrate import solve_ivp

from dossier.electrical import capacitors
from dossier.electrical.refusal import NoOperatingPointError


@pytest.mark.practice
def test_eight_in_series() -> None:
    """Eight 3000 F cells in series make 375 F; a second string doubles it."""
    assert capacitors.bank(8, 1, 3000.0, 0.25e-3, 2.7).capacitance == 375.0
    assert capacitors.bank(8, 2, 3000.0, 0.25e-3, 2.7).capacitance == 750.0


@pytest.mark.analytic
def test_worked_bank() -> None:
    """Six cells of 1000 F, 0.5 mohm, 2.7 V: 166.7 F, 3.0 mohm, 16.2 V, 21870 J; 5280 J from 14.4 to 12.0 V."""
    bank = capacitors.bank(6, 1, 1000.0, 0.5e-3, 2.7)
    assert (bank.capacitance, bank.resistance, bank.rated_voltage) == pytest.approx((166.6667, 3.0e-3, 16.2))
    assert capacitors.stored_energy(bank.capacitance, 16.2) == pytest.approx(21870.0)
    assert capacitors.energy_between(bank.capacitance, 14.4, 12.0) == pytest.approx(5280.0)
    assert 14.4 - capacitors.voltage_after(
        bank.capacitance, bank.resistance, 14.4, 300, 1.0
    ) == pytest.approx(2.7)
    assert capacitors.time_constant_power(bank.capacitance, 0.0, 14.4, 12.0, 2000) == pytest.approx(2.64)


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
    assert capacitors.resistor_energy(500, 14.4) == pytest.approx(51840)
    assert 14.4 / ohms == pytest.approx(amps, abs=5e-4)
    assert capacitors.resistor_power(ohms, 14.4) == pytest.approx(watts, abs=0.05)
    assert capacitors.charge_time(ohms, 500, 14.4, 0.05 * 14.4) == pytest.approx(t95, rel=1e-4)
    assert capacitors.charge_time(ohms, 500, 14.4, 0.01 * 14.4) == pytest.approx(t99, rel=1e-4)


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("residual", "amps", "joule"), [(0.72, 144, 25920), (0.144, 28.8, 1036.8), (14.4, 2880, 1.0368e7)]
)
def test_closing_on_a_residual_voltage(residual: float, amps: float, joule: float) -> None:
    """Closing 500 F through 5 mohm: current dV/R and I^2 t = C dV^2/(2 R)."""
    assert capacitors.residual_voltage(amps, 0.005) == pytest.approx(residual)
    assert capacitors.joule_integral(500, residual, 0.005) == pytest.approx(joule)


@pytest.mark.analytic
def test_discharge_of_500_farad() -> None:
    """2 ohm: 2667 s to 1 V, 3472 s to 50 J, which is 0.447 V; at 1 V still 250 J. 1 ohm reaches 1 V in 1333 s."""
    assert capacitors.charge_time(2, 500, 14.4, 1.0) == pytest.approx(2667.2, abs=0.1)
    low = capacitors.voltage_at_energy(500, 50)
    assert low == pytest.approx(0.4472, abs=5e-5)
    assert capacitors.charge_time(2, 500, 14.4, low) == pytest.approx(3471.9, abs=0.1)
    assert capacitors.stored_energy(500, 1.0) == 250.0
    assert capacitors.discharge_voltage(2, 500, 14.4, 2667.2) == pytest.approx(1.0, abs=1e-4)
    with pytest.raises(ValueError, match="falls"):
        capacitors.charge_time(2, 500, 14.4, 0.0)


@pytest.mark.independent
def test_constant_current_against_a_circuit_simulator() -> None:
    """500 F, 1.74 mohm, 200 A for 10 s from 14.4 V: 10.0518 V in ngspice 39."""
    assert capacitors.voltage_after(500, 1.74e-3, 14.4, 200, 10) == pytest.approx(10.0518, abs=3e-4)
    assert capacitors.time_constant_current(500, 1.74e-3, 14.4, 10.052, 200) == pytest.approx(10.0, abs=1e-6)


@pytest.mark.independent
def test_constant_power_against_a_circuit_simulator() -> None:
    """500 F, 1.74 mohm, 2 kW: 10.88635 V after 10 s in ngspice 39; 6.0 V is reached after 19.796 s."""
    # the simulated load ramps up within 2 ms, so the instants agree to that
    assert capacitors.time_constant_power(500, 1.74e-3, 14.4, 10.88635, 2000) == pytest.approx(10.0, abs=3e-3)
    assert capacitors.time_constant_power(500, 1.74e-3, 14.4, 6.0, 2000) == pytest.approx(19.796, abs=1e-3)


@pytest.mark.analytic
def test_no_power_below_the_fold() -> None:
    """Neither more than V^2/4R at the start, nor down to a voltage that cannot be held, is promised."""
    with pytest.raises(NoOperatingPointError):
        capacitors.time_constant_power(500, 3e-3, 14.4, 10.0, 17281.0)
    with pytest.raises(NoOperatingPointError):
        capacitors.time_constant_power(500, 1.74e-3, 14.4, 1.0, 2000)


@pytest.mark.independent
def test_lamp_against_an_integrator() -> None:
    """Through a 12 V 55 W lamp 500 F reach 95 % in 2338 s; the closed form agrees with scipy."""
    closed = capacitors.lamp_charge_time(500, 14.4, 55, 12)
    assert closed == pytest.approx(2338, rel=2e-3)

    def charge(_: float, v: list[float]) -> list[float]:
        return [55 / 12 * (max(14.4 - v[0], 0.0) / 12) ** 0.55 / 500]

    solved = solve_ivp(charge, (0.0, closed), [0.0], rtol=1e-9, atol=1e-9)
    assert solved.y[0, -1] == pytest.approx(0.95 * 14.4, rel=1e-5)


@pytest.mark.practice
def test_cell_voltage_of_short_strings() -> None:
    """Six cells at 14.4 V carry 2.40 V each, five carry 2.88 V."""
    assert capacitors.cell_voltage(14.4, 6) == pytest.approx(2.40)
    assert capacitors.cell_voltage(14.4, 5) == pytest.approx(2.88)
    assert capacitors.resistance_from_tau(0.7, 3000.0) == pytest.approx(0.2333e-3, rel=1e-3)
