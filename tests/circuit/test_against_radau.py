"""Against an independent integrator: scipy's Radau on the nodal equations read from the YAML (see ``radau``)."""

from __future__ import annotations

import numpy as np
import pytest
from radau import integrate, shut_downs
from reference_circuits import load, points

from dossier.circuit.settings import Settings
from dossier.circuit.transient import simulate

pytestmark = pytest.mark.independent

TIGHT = Settings(ripple=False, tol_v=1e-6, tol_i=1e-3, max_step=0.02)
LONG = pytest.mark.long
CASES = [
    ("b2", 10.0, 20),
    pytest.param("c", 44.0, 60, marks=LONG),
    ("f1", 13.8, 60),
    ("d_long", 2.0, 30),
    pytest.param("d_long", 30.0, 80, marks=LONG),
    pytest.param("e_long", 30.0, 80, marks=LONG),
    pytest.param("d_burst", 3.0, 80, marks=LONG),
    pytest.param("e_burst", 3.0, 80, marks=LONG),
]


def largest_difference(name: str, until: float, count: int, settings: Settings) -> float:
    """Largest difference across any element at about ``count`` of our own points up to ``until`` s [V]."""
    case = load(name)
    run = simulate(case.network, case.programme, settings=settings, initial=case.initial)
    mine = np.flatnonzero(run.t <= until)
    mine = mine[:: max(1, len(mine) // count)]
    played = next(iter(case.spec["programmes"].values()))
    theirs = integrate(case.spec, points(played, case.spec["t_stop"]), run.t[mine])
    ports = [port for port in run.ports if port in theirs.across]
    return max(float(np.abs(run.voltage(port).mean[mine, 0] - theirs.across[port]).max()) for port in ports)


@pytest.mark.long
@pytest.mark.parametrize(("name", "until", "count"), CASES)
def test_default_tolerance(name: str, until: float, count: int) -> None:
    """At the default tolerance every voltage is within 3 mV, edges included."""
    assert largest_difference(name, until, count, Settings(ripple=False)) < 3e-3


@pytest.mark.long
@pytest.mark.parametrize(("name", "until", "count"), CASES)
def test_tight_tolerance(name: str, until: float, count: int) -> None:
    """At a tight tolerance every voltage is within 0.1 mV: the method converges to the equations."""
    assert largest_difference(name, until, count, TIGHT) < 1e-4


def test_shut_down_instants() -> None:
    """The first shut-downs of the cycling amplifier fall within 2 ms of the independent integrator's."""
    case = load("f2")
    vertices = points(next(iter(case.spec["programmes"].values())), case.spec["t_stop"])
    theirs = shut_downs(case.spec, vertices, "AMP", 8)
    run = simulate(case.network, case.programme, initial=case.initial)
    ours = [s.t for s in run.outcomes["AMP"][0].switchings if not s.on][:8]
    assert np.allclose(ours, theirs, atol=2e-3)


@LONG
def test_trough_of_a_resolved_waveform() -> None:
    """With every cycle of the ripple integrated, each cycle's lowest voltage is within 10 mV of the phases' trough."""
    case = load("d_long")
    hertz = 80.0
    grid = np.union1d([0.0, 1.0, 1.002], np.arange(1.05, 1.2, 1.0 / (24.0 * hertz)))
    played = next(iter(case.spec["programmes"].values()))
    theirs = integrate(case.spec, points(played, case.spec["t_stop"]), grid, hertz, rtol=1e-6)
    run = simulate(case.network, case.programme, initial=case.initial)
    for port in ("AMP2", "BAT_R", "BASE"):
        for start in np.arange(1.1, 1.18, 1.0 / hertz):
            inside = (theirs.t >= start) & (theirs.t < start + 1.0 / hertz)
            at = theirs.t[inside][np.argmin(theirs.across[port][inside])]
            trough = np.interp(at, run.t, run.voltage(port).trough[:, 0])
            assert trough == pytest.approx(theirs.across[port][inside].min(), abs=0.01)
