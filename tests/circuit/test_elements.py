"""Each element by itself in a small network: its equation, its limits, its switching."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.circuit import elements as el
from dossier.circuit.network import Network, NetworkError
from dossier.circuit.outcome import Ending
from dossier.circuit.programme import Programme, polyline, tone
from dossier.circuit.settings import Settings
from dossier.circuit.trace import Transient
from dossier.circuit.transient import simulate

REST = polyline([(0.0, 0.0), (1.0, 0.0)])


def amplifier(**changes: object) -> el.Amplifier:
    """An amplifier of 1 kW at its rail, asked for 1 kW."""
    fields: dict[str, object] = {
        "id": "A",
        "p": "b",
        "n": "gnd",
        "rated_w": 1000.0,
        "vref": 14.4,
        "exponent": 0.0,
        "ask_w": 1000.0,
        "efficiency": 0.8,
        "idle_w": 20.0,
        "v_low": 8.0,
        "ripple_fraction": 0.0,
    }
    return el.Amplifier(**{**fields, **changes})  # type: ignore[arg-type]


def held(*parts: el.Element, programme: Programme | None = None, volts: float = 12.0) -> Transient:
    """Parts on a source of ``volts`` so stiff that nothing moves it."""
    source = el.Battery("S", "b", "gnd", volts, 1e-6)
    return simulate(Network([source, *parts]), programme or tone(2.0, None))


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("changes", "output", "drawn"),
    [
        ({}, 1000.0, 1270.0),
        ({"ask_w": 400.0}, 400.0, 520.0),
        ({"exponent": 2.0}, 1000.0 * (12 / 14.4) ** 2, 20.0 + 1250.0 * (12 / 14.4) ** 2),
        ({"exponent": 2.0, "ask_w": 500.0}, 500.0, 645.0),
        ({"clipped": True}, 2000.0, 2520.0),
        ({"clipped": True, "exponent": 2.0}, 2000.0 * (12 / 14.4) ** 2, 20.0 + 2500.0 * (12 / 14.4) ** 2),
        ({"root_share": 1.0}, 1000.0, 1270.0),
        ({"root_share": 1.0, "ask_w": 250.0}, 250.0, 20.0 + 500.0 / 0.8),
        ({"root_share": 0.4, "ask_w": 250.0}, 250.0, 20.0 + (0.4 * 500.0 + 0.6 * 250.0) / 0.8),
        ({"root_share": 0.4, "clipped": True}, 2000.0, 20.0 + (0.4 * np.sqrt(2.0) + 0.6 * 2.0) * 1000.0 / 0.8),
        (
            {"root_share": 1.0, "exponent": 2.0, "ask_w": 250.0},
            250.0,
            20.0 + np.sqrt(250.0 * 1000.0) * (12 / 14.4) / 0.8,
        ),
    ],
)
def test_amplifier_output_and_input(changes: dict[str, object], output: float, drawn: float) -> None:
    """Output is the lesser of asked and allowed; input goes with it, or with its root, or with some of both."""
    run = held(amplifier(**changes))
    k = int(np.searchsorted(run.t, 2.0))
    assert run.output[k, 0, 0] == pytest.approx(output, rel=1e-4)
    assert run.current("A").mean[k, 0] * 12.0 == pytest.approx(drawn, rel=1e-3)
    assert run.output[0, 0, 0] == 0.0
    assert run.current("A").mean[0, 0] * 12.0 == pytest.approx(20.0, rel=1e-6)


@pytest.mark.analytic
@pytest.mark.parametrize("alpha", [0.0, 1.0, 2.0])
def test_load_exponents(alpha: float) -> None:
    """Constant power, constant current and resistance, by the exponent."""
    run = held(el.Load("L", "b", "gnd", 450.0, vref=13.5, alpha=alpha), programme=REST)
    assert run.current("L").mean[-1, 0] == pytest.approx(450.0 / 12.0 * (12.0 / 13.5) ** alpha, rel=1e-4)


@pytest.mark.analytic
def test_alternator_regulates_and_limits() -> None:
    """Below its limit it holds its set-point less droop; at the limit it gives its most; it takes nothing back."""
    machine = el.Alternator("G", "b", "gnd", 14.4, 0.003, 100.0, 0.15)
    light = simulate(Network([machine, el.Load("L", "b", "gnd", 2.0 * 14.25**2, vref=14.25, alpha=2.0)]), REST)
    volts = 14.4 / (1.0 + 0.003 * 2.0)
    assert light.voltage("G").mean[-1, 0] == pytest.approx(volts, rel=1e-6)
    full = simulate(Network([machine, el.Resistor("R", "b", "gnd", 0.05)]), REST)
    assert full.current("G").mean[-1, 0] == pytest.approx(-100.0, rel=1e-6)
    none = held(machine, programme=REST, volts=15.0)
    assert none.current("G").mean[-1, 0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.analytic
def test_load_response_limits_the_rise_only() -> None:
    """With 10 A/s the alternator rises 20 A in 2 s of a note that wants far more, and falls freely after it."""
    machine = el.Alternator("G", "b", "gnd", 14.0, 0.01, 150.0, 0.1, ramp=10.0)
    battery = el.Battery("B", "b", "gnd", 12.7, 0.01)
    run = simulate(Network([machine, battery, amplifier(v_low=5.0)]), tone(2.0, None))
    current = -run.current("G").mean[:, 0]
    before, end = current[np.searchsorted(run.t, 1.0)], current[np.searchsorted(run.t, 3.0)]
    assert before < 150.0 - 20.0
    assert end - before == pytest.approx(20.0, abs=0.3)
    after = current[np.searchsorted(run.t, 3.6)]
    assert after == pytest.approx(before, abs=1.0)


@pytest.mark.analytic
def test_settled_states_are_a_steady_state() -> None:
    """A settled network at rest stays as it is for a minute, but for the battery's slow charge."""
    battery = el.Battery("B", "b", "gnd", 12.8, 0.004, 0.003, 4000.0, 0.001, 0.4, 400.0, 262000.0)
    parts: list[el.Element] = [
        el.Alternator("G", "b", "gnd", 14.4, 0.003, 120.0, 0.15),
        battery,
        el.Capacitor("C", "c", "gnd", 500.0, 0.002),
        el.Resistor("R", "b", "c", 0.001),
        el.Load("L", "b", "gnd", 400.0),
    ]
    run = simulate(Network(parts), polyline([(0.0, 0.0), (60.0, 0.0)]))
    float_current = (14.4 - 12.8) / 0.4
    assert run.current("B").mean[0, 0] == pytest.approx(float_current, rel=0.1)
    assert np.ptp(run.voltage("B").mean[:, 0]) < 1e-3
    assert run.current("C").mean[0, 0] == pytest.approx(0.0, abs=1e-3)


@pytest.mark.analytic
def test_given_capacitor_voltage_is_kept() -> None:
    """A bank with a stated voltage starts there and discharges into the network with its time constant."""
    network = Network([el.Capacitor("C", "b", "gnd", 10.0, 0.01, v0=12.0), el.Resistor("R", "b", "gnd", 0.09)])
    run = simulate(network, REST)
    assert run.voltage("C").mean[0, 0] == pytest.approx(12.0 * 0.9, rel=1e-6)
    assert run.voltage("C").mean[-1, 0] == pytest.approx(12.0 * 0.9 * np.exp(-1.0), rel=1e-4)


@pytest.mark.analytic
def test_diode_conducts_one_way() -> None:
    """A diode isolator passes current less its drop one way and less than a milliampere the other."""
    diode = el.Diode("D", "b", "c", 0.5, 0.01)
    run = held(diode, el.Resistor("R", "c", "gnd", 1.14), programme=REST)
    assert run.current("D").mean[-1, 0] == pytest.approx((12.0 - 0.5) / 1.15, rel=1e-4)
    battery = el.Battery("B", "c", "gnd", 13.0, 0.01)
    blocked = held(diode, battery, programme=REST)
    assert abs(blocked.current("D").mean[-1, 0]) < 1e-3


@pytest.mark.analytic
def test_converter_balances_power_and_stops() -> None:
    """A DC-DC converter gives its current limit, draws power over efficiency, and nothing below its lowest input."""
    converter = el.Converter("D", "b", "c", "gnd", 14.2, 0.01, 50.0, 0.9, 11.0)
    battery = el.Battery("B", "c", "gnd", 12.4, 0.02)
    run = held(converter, battery, programme=REST, volts=12.5)
    out = -run.current("D.out").mean[-1, 0]
    volts = run.voltage("D.out").mean[-1, 0]
    assert out == pytest.approx(50.0, rel=1e-6)
    assert run.current("D.in").mean[-1, 0] * 12.5 == pytest.approx(out * volts / 0.9, rel=1e-4)
    low = held(converter, battery, programme=REST, volts=10.9)
    assert low.current("D.in").mean[-1, 0] == pytest.approx(0.0, abs=1e-6)
    assert low.current("D.out").mean[-1, 0] == pytest.approx(0.0, abs=1e-6)


def relay(delay: float, initially_closed: bool) -> el.Switch:
    """A voltage-sensing relay between b and c: closes at 13.3 V, opens at 12.8 V."""
    return el.Switch("K", "b", "c", 0.0003, el.VoltageSensing("b", "gnd", 13.3, 12.8, delay, initially_closed))


@pytest.mark.analytic
def test_voltage_sensing_relay_waits_and_closes() -> None:
    """Charged to 14 V, the relay closes after its delay and the second battery takes current; at 12.6 V it stays."""
    second = el.Battery("B2", "c", "gnd", 12.6, 0.005)
    run = held(relay(0.4, False), second, programme=REST, volts=14.0)
    assert [(s.id, s.on) for s in run.switchings[0]] == [("K", True)]
    assert run.switchings[0][0].t == pytest.approx(0.4, abs=1e-3)
    assert run.current("B2").mean[0, 0] == pytest.approx(0.0, abs=1e-3)
    assert run.current("B2").mean[-1, 0] == pytest.approx((14.0 - 12.6) / 0.0053, rel=1e-3)
    assert held(relay(0.4, False), second, programme=REST, volts=12.6).switchings == ((),)


def test_voltage_sensing_relay_opens_under_bass() -> None:
    """A note that pulls the bus below the opening threshold for the delay opens the relay within the note."""
    first, second = el.Battery("B", "b", "gnd", 12.7, 0.006), el.Battery("B2", "c", "gnd", 12.7, 0.006)
    machine = el.Alternator("G", "b", "gnd", 14.2, 0.005, 80.0, 0.15)
    run = simulate(
        Network([first, second, machine, relay(0.5, True), amplifier(ask_w=1800.0, rated_w=2000.0)]), tone(3.0, None)
    )
    opened = run.switchings[0][0]
    assert (opened.id, opened.on) == ("K", False)
    assert 1.5 < opened.t < 2.5
    k = int(np.searchsorted(run.t, opened.t))
    assert run.voltage("A").mean[k + 1, 0] < run.voltage("A").mean[k, 0] - 0.1


@pytest.mark.analytic
def test_fixed_switch() -> None:
    """An open switch carries nothing and a closed one is its resistance."""
    rest = el.Resistor("R", "c", "gnd", 0.999)
    for closed, amps in ((True, 12.0), (False, 0.0)):
        run = held(el.Switch("K", "b", "c", 0.001, el.Fixed(closed)), rest, programme=REST)
        assert run.current("K").mean[-1, 0] == pytest.approx(amps, rel=1e-4, abs=1e-4)


def lithium(**limits: float) -> el.Battery:
    """A lithium battery with a management."""
    fields = {"continuous_a": 1e9, "peak_a": 1e9, "peak_s": 3.0, "low_voltage": 0.0}
    return el.Battery("B", "b", "gnd", 13.3, 0.003, trip=el.Trip(**{**fields, **limits}))


@pytest.mark.parametrize(
    ("limits", "after"),
    [({"peak_a": 80.0}, 0.01), ({"continuous_a": 80.0, "peak_s": 0.5}, 0.5), ({"low_voltage": 13.1}, 0.0)],
)
def test_battery_management_trips(limits: dict[str, float], after: float) -> None:
    """Over its peak for 10 ms, over its continuous current for the peak time, or below its voltage, it opens."""
    helper = el.Battery("H", "b", "gnd", 12.6, 0.01)
    run = simulate(Network([lithium(**limits), helper, amplifier()]), tone(2.0, None))
    trip = run.outcomes["A"][0].trips
    assert len(trip) == 1
    assert trip[0].t == pytest.approx(1.002 + after, abs=0.003)
    assert run.outcomes["A"][0].ending is Ending.BATTERY_TRIPPED
    late = run.t > trip[0].t
    assert np.abs(run.current("B").mean[late]).max() < 1e-3
    assert run.t[-1] == pytest.approx(7.0, abs=0.01)


def test_trip_of_the_only_source_is_a_collapse() -> None:
    """When nothing else feeds the bus, the trip takes the amplifier with it; nothing can be delivered any more."""
    run = simulate(Network([lithium(peak_a=80.0), amplifier()]), tone(2.0, None))
    outcome = run.outcomes["A"][0]
    assert outcome.ending is Ending.NO_OPERATING_POINT
    assert outcome.trips[0].id == "B"
    assert outcome.deliverable_w == pytest.approx(0.0, abs=1.0)
    assert run.t[-1] < 1.1


def test_short_excess_does_not_trip() -> None:
    """Bursts of half the peak time over the continuous current do not trip; the clock starts anew each time."""
    programme = polyline(
        [(0, 0), (1, 0), (1.002, 1), (1.25, 1), (1.252, 0), (1.5, 0), (1.502, 1), (1.75, 1), (1.752, 0), (3, 0)]
    )
    helper = el.Battery("H", "b", "gnd", 12.6, 0.01)
    run = simulate(Network([lithium(continuous_a=80.0, peak_s=0.5), helper, amplifier()]), programme)
    assert run.outcomes["A"][0].ending is Ending.HOLDS


def test_shut_down_saves_from_collapse() -> None:
    """On a step beyond what the source can give, an amplifier with a protection shuts down; one without collapses."""
    source = el.Battery("S", "b", "gnd", 12.8, 0.03)
    asked = {"ask_w": 1200.0, "rated_w": 1200.0}
    without = simulate(Network([source, amplifier(**asked)]), tone(2.0, None)).outcomes["A"][0]
    assert without.ending is Ending.NO_OPERATING_POINT
    assert without.deliverable_w == pytest.approx(12.8**2 / 0.12, rel=1e-3)
    protected = amplifier(**asked, v_cut=10.0, v_restart=11.0, restart_delay=0.7)
    run = simulate(Network([source, protected]), tone(2.0, None))
    outcome = run.outcomes["A"][0]
    assert outcome.ending is Ending.SHUTDOWN_CYCLES
    assert len(outcome.switchings) == 6  # off at 1.0, 1.7 and 2.4 s, on 0.7 s after each
    assert np.isnan(run.ended[0])


def test_amplifier_that_is_not_asked_never_collapses() -> None:
    """An amplifier that plays no part may sit below its lowest voltage without ending the run."""
    source = el.Battery("S", "b", "gnd", 7.0, 0.001)
    run = simulate(Network([source, amplifier(ask_w=0.0)]), tone(1.0, None))
    assert run.outcomes["A"][0].ending is Ending.HOLDS


def test_networks_that_hang_in_the_air_are_refused() -> None:
    """A part that cannot reach ground is named with its nodes, as are double ids and sensing at unknown nodes."""
    lost: list[el.Element] = [el.Resistor("R", "x", "y", 1.0), el.Load("L", "x", "y", 10.0)]
    with pytest.raises(NetworkError, match="not connected to ground") as caught:
        Network([el.Battery("B", "b", "gnd", 12.0, 0.01), *lost])
    assert set(caught.value.nodes) == {"x", "y"}
    assert set(caught.value.elements) == {"R", "L"}
    with pytest.raises(NetworkError, match="two elements are called B"):
        Network([el.Battery("B", "b", "gnd", 12.0, 0.01), el.Resistor("B", "b", "gnd", 1.0)])
    sensing = el.VoltageSensing("zz", "gnd", 13.3, 12.8, 0.1, True)
    with pytest.raises(NetworkError, match="zz"):
        Network([el.Battery("B", "b", "gnd", 12.0, 0.01), el.Switch("K", "b", "gnd", 1.0, sensing)])


def test_results_cannot_be_written_to() -> None:
    """Arrays of a finished run are read-only."""
    run = held(amplifier())
    for array in (run.t, run.volts.mean, run.amps.rms, run.output):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.0


@pytest.mark.analytic
def test_kirchhoff_and_power_balance() -> None:
    """At every point the currents into each node cancel and what the sources give the rest takes."""
    parts: list[el.Element] = [
        el.Battery("B", "b", "gnd", 12.8, 0.004, 0.003, 4000.0, 0.001, 0.4, 400.0, 262000.0),
        el.Alternator("G", "g", "gnd", 14.4, 0.003, 120.0, 0.15),
        el.Resistor("RG", "g", "b", 0.001),
        el.Resistor("RF", "b", "d", 0.002),
        el.Resistor("RR", "e", "gnd", 0.001),
        el.Capacitor("C", "d", "e", 2.0, 0.001),
        el.Diode("D", "d", "f", 0.3, 0.002),
        el.Load("L", "f", "gnd", 200.0),
        amplifier(p="d", n="e", ripple_fraction=0.8),
    ]
    network = Network(parts)
    run = simulate(network, tone(2.0, 40.0), settings=Settings(max_step=0.1))
    total = {node: np.zeros(len(run.t)) for node in (*network.nodes, "gnd")}
    for port in network.ports:
        total[port.p] += run.current(port.id).mean[:, 0]
        total[port.n] -= run.current(port.id).mean[:, 0]
    lost = np.zeros(len(run.t))
    for resistor in network.of(el.Resistor):
        amps = run.branch_current(resistor.id)
        total[resistor.a] += amps.mean[:, 0]
        total[resistor.b] -= amps.mean[:, 0]
        lost = lost + amps.rms[:, 0] ** 2 * resistor.ohms
    assert max(np.abs(t).max() for t in total.values()) < 2e-5  # the Newton stop, 1e-5 V, seen through the conductances
    middle = (run.t[1:] + run.t[:-1]) > 0.0
    heat = float((0.5 * np.diff(run.t) * (lost[1:] + lost[:-1]))[middle].sum())
    given = run.energy["B"][0] + run.energy["G"][0] + run.energy["C"][0]
    taken = run.energy["L"][0] + run.energy["A"][0] + run.energy["D"][0]
    assert given == pytest.approx(taken + heat, rel=1e-3)
