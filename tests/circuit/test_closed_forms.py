"""Cases with an answer on paper: one source and one load, and a capacitor bank on its own."""

from __future__ import annotations

import numpy as np
import pytest
from reference_circuits import load
from scipy.optimize import brentq

from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.outcome import Ending
from dossier.circuit.programme import polyline
from dossier.circuit.transient import simulate

EMF, LOOP = 12.8, 0.008  # V, ohm of circuits a1 to a3: 6 + 1.2 + 0.8 mohm


def operating_point(watts: float) -> float:
    """The upper root of V (E - V) = P R."""
    return 0.5 * (EMF + float(np.sqrt(EMF**2 - 4.0 * watts * LOOP)))


@pytest.mark.analytic
@pytest.mark.parametrize(("name", "watts"), [("a1", 1500.0), ("a2", 4000.0)])
def test_constant_power_meets_the_quadratic(name: str, watts: float) -> None:
    """One battery and a constant-power amplifier sit on the upper root of the quadratic, to 1 uV."""
    case = load(name)
    run = simulate(case.network, case.programme, initial=case.initial)
    assert np.abs(run.voltage("AMP").mean - operating_point(watts)).max() < 1e-6
    assert run.charge["BAT"][0] == pytest.approx(watts / operating_point(watts), rel=1e-9)


@pytest.mark.analytic
def test_more_than_the_source_can_give_is_a_collapse_at_once() -> None:
    """5200 W from E^2/4R = 5120 W has no operating point; no voltage is made up and the limit is stated."""
    case = load("a3")
    run = simulate(case.network, case.programme, initial=case.initial)
    outcome = run.outcomes["AMP"][0]
    assert outcome.ending is Ending.NO_OPERATING_POINT
    assert outcome.t == 0.0
    assert outcome.demand_w == pytest.approx(5200.0, abs=0.01)
    assert outcome.deliverable_w == pytest.approx(EMF**2 / (4.0 * LOOP), abs=1.0)
    assert np.isnan(run.volts.mean).all()


@pytest.mark.analytic
def test_the_fold_lies_at_5120_watts() -> None:
    """Raising the power watt by watt, 5119 W is the last that has an operating point and 5121 W the first without."""
    watts = np.array([5000.0, 5100.0, 5119.0, 5119.9, 5120.1, 5121.0, 5150.0, 5300.0])
    case = load("a3", {"AMP": {"ask_w": watts}})
    run = simulate(case.network, case.programme, initial=case.initial)
    collapsed = [o.ending is Ending.NO_OPERATING_POINT for o in run.outcomes["AMP"]]
    assert collapsed == [bool(w > 5120.0) for w in watts]
    assert run.voltage("AMP").mean[-1, 2] == pytest.approx(operating_point(5119.0), abs=1e-5)


@pytest.mark.analytic
def test_falling_below_the_lowest_voltage_is_told_from_the_fold() -> None:
    """5000 W could be delivered at 7.38 V, but the amplifier needs 8 V: it falls below, there is an operating point."""
    case = load("a3", {"AMP": {"ask_w": 5000.0, "v_low": 8.0}})
    outcome = simulate(case.network, case.programme, initial=case.initial).outcomes["AMP"][0]
    assert outcome.ending is Ending.FALLS_BELOW_LOWEST
    assert outcome.by == "AMP"
    assert outcome.deliverable_w is None


@pytest.mark.analytic
def test_constant_current_from_a_bank() -> None:
    """200 A for 10 s cost I ESR + I t / C = 0.348 + 4.0 V, to 0.1 mV."""
    case = load("b1")
    run = simulate(case.network, case.programme, initial=case.initial)
    bank = run.voltage("CAP").mean[:, 0]
    exact = 14.4 - 200.0 * (0.00174 + (10.0 + 0.0005) / 500.0)  # half of the 1 ms edge counts
    assert bank[np.searchsorted(run.t, 10.501)] == pytest.approx(exact, abs=1e-4)


def time_to_reach(volts: float) -> float:
    """When a bank of 500 F, 1.74 mohm, 14.4 V under 2000 W reaches a terminal voltage [s] (note of circuit b2)."""
    farads, ohms, watts, full = 500.0, 0.00174, 2000.0, 14.4
    start = 0.5 * (full + np.sqrt(full**2 - 4.0 * ohms * watts))
    return float(farads / watts * (0.5 * (start**2 - volts**2) - ohms * watts * np.log(start / volts)))


@pytest.mark.analytic
def test_constant_power_from_a_bank() -> None:
    """A bank under 2 kW follows its closed form t(v) over 10 s, to 0.5 mV."""
    case = load("b2")
    run = simulate(case.network, case.programme, initial=case.initial)
    volts = run.voltage("AMP").mean[:, 0]
    for k in range(1, len(run.t), 7):
        exact = brentq(lambda v, t=run.t[k]: time_to_reach(v) - t, 6.0, 14.2)
        assert volts[k] == pytest.approx(exact, abs=5e-4)


@pytest.mark.analytic
def test_a_bank_collapses_when_its_closed_form_says() -> None:
    """The terminal reaches the lowest voltage of 6 V at 19.796 s, to 20 ms; nothing is given after that."""
    case = load("b3")
    run = simulate(case.network, case.programme, initial=case.initial)
    outcome = run.outcomes["AMP"][0]
    assert outcome.ending is Ending.FALLS_BELOW_LOWEST
    assert outcome.t == pytest.approx(time_to_reach(6.0), abs=0.02)
    assert run.t[-1] <= run.ended[0] == outcome.t


@pytest.mark.analytic
def test_a_resistor_divider_and_energy_balance() -> None:
    """A battery on two resistances delivers E^2/R; what it loses inside makes up the balance."""
    network = Network(
        [
            el.Battery("B", "b", "gnd", 12.0, 0.1),
            el.Resistor("R", "b", "m", 0.5),
            el.Load("L", "m", "gnd", 144.0 * 0.4, vref=12.0, alpha=2.0),  # a resistance of 2.5 ohm
        ]
    )
    run = simulate(network, polyline([(0.0, 0.0), (2.0, 0.0)]))
    amps = 12.0 / 3.1
    assert run.branch_current("R").mean[-1, 0] == pytest.approx(amps, rel=1e-9)
    assert run.node_voltage("m").mean[-1, 0] == pytest.approx(2.5 * amps, rel=1e-9)
    assert run.energy["B"][0] == pytest.approx(2.0 * amps * (12.0 - 0.1 * amps), rel=1e-9)
    assert run.energy["L"][0] == pytest.approx(2.0 * 2.5 * amps**2, rel=1e-9)
