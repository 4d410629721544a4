"""Every reference circuit against what ngspice 39 recorded for it (fine step; see data/README.md)."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from reference_circuits import load, recorded

from dossier.assessment.sag.traces import time_below
from dossier.circuit.outcome import Ending
from dossier.circuit.settings import Settings
from dossier.circuit.trace import Transient
from dossier.circuit.transient import simulate

pytestmark = pytest.mark.independent

ENVELOPE = ("a1", "a2", "b1", "b2", "c", "d_burst", "d_long", "d_music", "e_burst", "e_long", "f2")
TONES = ("d_burst", "d_long", "e_burst")
RUNS = [
    *((name, "envelope") for name in ENVELOPE),
    *((name, "ripple") for name in TONES),
    pytest.param("d_music", "ripple", marks=pytest.mark.long),
]
MUSIC_BOUND_V = 0.2


@cache
def played(name: str, mode: str) -> Transient:
    """The circuit, simulated once."""
    case = load(name)
    return simulate(case.network, case.programme, settings=Settings(ripple=mode == "ripple"), initial=case.initial)


@pytest.mark.parametrize("name", ENVELOPE)
def test_lowest_and_final_voltages(name: str) -> None:
    """Lowest voltage at every node and across every element to 3 mV, final node voltages to 1 mV."""
    run, ngspice = played(name, "envelope"), recorded(name)["envelope"]["ngspice"]
    for port, (volts, _) in ngspice["min_across"].items():
        assert np.nanmin(run.voltage(port).mean) == pytest.approx(volts, abs=3e-3), port
    for node, (volts, _) in ngspice["min_node"].items():
        assert np.nanmin(run.node_voltage(node).mean) == pytest.approx(volts, abs=3e-3), node
    for node, volts in ngspice["final_node"].items():
        assert run.node_voltage(node).mean[-1, 0] == pytest.approx(volts, abs=1e-3), node


@pytest.mark.parametrize(("name", "mode"), RUNS)
def test_charge_and_energy_of_the_sources(name: str, mode: str) -> None:
    """Charge and energy of every source to 0.1 % of the largest, energy into every amplifier to 0.1 %."""
    run, ngspice = played(name, mode), recorded(name)[mode]["ngspice"]
    for ours, theirs in ((run.charge, "source_charge_C"), (run.energy, "source_energy_J")):
        largest = max(abs(v) for v in ngspice[theirs].values())
        for source, value in ngspice[theirs].items():
            assert ours[source][0] == pytest.approx(value, abs=1e-3 * largest), source
    for amplifier, joules in ngspice["amp_energy_J"].items():
        assert run.energy[amplifier][0] == pytest.approx(joules, rel=1e-3), amplifier


@pytest.mark.parametrize("name", ENVELOPE)
@pytest.mark.parametrize("limit", [12, 11])
def test_time_below_a_limit(name: str, limit: int) -> None:
    """How long each load is below 12 V and 11 V, to 20 ms."""
    run = played(name, "envelope")
    for load_id, seconds in recorded(name)["envelope"]["ngspice"][f"below_{limit}V_s"].items():
        ours = time_below(run.t, run.voltage(load_id).mean[:, 0], float(limit))
        assert ours == pytest.approx(seconds, abs=0.02), load_id


@pytest.mark.parametrize("name", TONES)
def test_lowest_trough_of_a_tone(name: str) -> None:
    """The lowest instantaneous voltage at every node and element with full ripple, to 10 mV."""
    run, ngspice = played(name, "ripple"), recorded(name)["ripple"]["ngspice"]
    for port, (volts, _) in ngspice["min_across"].items():
        assert np.nanmin(run.voltage(port).trough) == pytest.approx(volts, abs=0.01), port
    for node, (volts, _) in ngspice["min_node"].items():
        assert np.nanmin(run.node_voltage(node).trough) == pytest.approx(volts, abs=0.01), node


@pytest.mark.long
def test_trough_of_music_is_a_bound() -> None:
    """With music the trough is never above ngspice's and at most 0.2 V below: any cycle may peak with the envelope."""
    run, ngspice = played("d_music", "ripple"), recorded("d_music")["ripple"]["ngspice"]
    for amplifier in ("AMP1", "AMP2"):
        below = ngspice["min_across"][amplifier][0] - np.nanmin(run.voltage(amplifier).trough)
        assert 0.0 <= below <= MUSIC_BOUND_V, amplifier


COLLAPSES = [("b3", "envelope"), ("e_long", "ripple"), ("f1", "envelope")]


@pytest.mark.parametrize(("name", "mode"), COLLAPSES)
def test_collapse_instants(name: str, mode: str) -> None:
    """A collapse is flagged within 20 ms of ngspice's crossing of the lowest working voltage."""
    run, theirs = played(name, mode), recorded(name)[mode]
    instant = theirs["t_collapse_ngspice_crossing"]
    assert run.ended[0] == pytest.approx(instant, abs=0.02)
    assert run.t[-1] <= run.ended[0]
    assert {o[0].ending for o in run.outcomes.values()} == {Ending.FALLS_BELOW_LOWEST}


@pytest.mark.parametrize(("name", "mode"), COLLAPSES)
def test_voltages_on_the_way_to_a_collapse(name: str, mode: str) -> None:
    """At ngspice's last good instant every load has its voltage, to 3 mV of the mean and 10 mV of the trough."""
    run, ngspice = played(name, mode), recorded(name)[mode]["ngspice"]
    for load_id in ngspice["below_12V_s"]:
        volts, when = ngspice["min_across"][load_id]
        cycle = run.voltage(load_id)
        ours = np.interp(when, run.t, (cycle.mean if mode == "envelope" else cycle.trough)[:, 0])
        assert ours == pytest.approx(volts, abs=3e-3 if mode == "envelope" else 0.01), load_id


@pytest.mark.parametrize(("name", "mode"), RUNS)
def test_no_collapse_elsewhere(name: str, mode: str) -> None:
    """No collapse is flagged where ngspice has none."""
    run = played(name, mode)
    assert np.isnan(run.ended).all()
    expected = Ending.SHUTDOWN_CYCLES if name == "f2" else Ending.HOLDS
    assert all(o[0].ending is expected for o in run.outcomes.values())


def test_shut_down_cycles() -> None:
    """Off below 10 V, on again 1 s after 11.5 V is passed: 17 cycles, 10 V at each shut-down to 1 mV, 1 s off."""
    run = played("f2", "envelope")
    events = run.outcomes["AMP"][0].switchings
    assert [e.on for e in events] == [False, True] * 17
    assert events[0].t == pytest.approx(recorded("f2")["envelope"]["events_proto"][0][0], abs=2e-3)
    amp = run.voltage("AMP").mean[:, 0]
    for off, on in zip(events[::2], events[1::2], strict=True):
        assert amp[np.flatnonzero(run.t == off.t)[0]] == pytest.approx(10.0, abs=1e-3)
        assert on.t - off.t == pytest.approx(1.0, abs=1e-3)
