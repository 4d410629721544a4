"""Waveforms against ngspice run here and now on the decks; skipped where ngspice is not installed."""

from __future__ import annotations

import re
from pathlib import Path

import ngspice
import numpy as np
import pytest
from reference_circuits import DATA, NAMES, Case, load

from dossier.circuit.settings import Settings
from dossier.circuit.transient import simulate

pytestmark = pytest.mark.independent

LONG = pytest.mark.long
EDGE_S = 2e-3  # edges are left out: straight lines between ngspice's points differ there
CASES = [
    "a2",
    "b1",
    "d_long",
    *(pytest.param(name, marks=LONG) for name in ("b2", "b3", "c", "d_burst", "d_music", "e_burst", "e_long", "f1")),
]


def deck(name: str, mode: str = "") -> str:
    """Text of a deck."""
    return (DATA / f"{NAMES.get(name, name)}{mode}.cir").read_text()


def elsewhere(t: np.ndarray, case: Case) -> np.ndarray:
    """Times that are not within 2 ms of a vertex at which the level jumps."""
    times, levels = case.programme.times, case.programme.levels
    steep = np.abs(np.diff(levels)) / np.diff(times) > 50.0
    edges = np.unique(np.concatenate([times[:-1][steep], times[1:][steep]]))
    if not len(edges):
        return np.ones(len(t), dtype=bool)
    away: np.ndarray = np.abs(t[:, None] - edges).min(1) > EDGE_S
    return away


@pytest.mark.parametrize("name", CASES)
def test_waveforms(name: str, tmp_path: Path) -> None:
    """Every node voltage at our points outside the edges: 4 mV at most, 0.5 mV rms (unless it collapses)."""
    ngspice.required()
    case = load(name)
    waves = ngspice.run(deck(name), tmp_path)
    ours = simulate(case.network, case.programme, settings=Settings(ripple=False), initial=case.initial)
    # the collapse itself has an infinite slope: the last 50 ms before it are judged by its instant
    ends = np.isfinite(ours.ended[0])
    picked = elsewhere(ours.t, case) & (ours.t < (ours.ended[0] - 0.05 if ends else np.inf))
    for node in case.network.nodes:
        theirs = np.interp(ours.t[picked], waves["time"], waves[f"v({node.lower()})"])
        difference = ours.node_voltage(node).mean[picked, 0] - theirs
        assert np.abs(difference).max() < 4e-3, node
        if not ends:
            assert np.sqrt((difference**2).mean()) < 0.5e-3, node


@pytest.mark.parametrize("name", [pytest.param(n, marks=LONG) for n in ("d_long", "d_burst", "e_burst", "e_long")])
def test_trough_of_every_cycle(name: str, tmp_path: Path) -> None:
    """The lowest voltage across each amplifier in every cycle that lies within a steady stretch, to 10 mV."""
    ngspice.required()
    case = load(name)
    hertz = case.programme.ripple_hz
    assert hertz is not None
    waves = ngspice.run(ngspice.stepped(deck(name, "_ripple"), 1.0 / (60.0 * hertz)), tmp_path)
    ours = simulate(case.network, case.programme, initial=case.initial)
    end = ours.ended[0] - 0.02 if np.isfinite(ours.ended[0]) else waves["time"][-1]
    starts = np.arange(0.0, end - 1.0 / hertz, 1.0 / hertz)
    # the trough is defined where the level stands still over the cycle
    times = case.programme.times
    before = np.searchsorted(times, starts - EDGE_S)
    steady = starts[before == np.searchsorted(times, starts + 1.0 / hertz + EDGE_S)]
    assert len(steady) > 250
    bounds = [np.searchsorted(waves["time"], each) for each in (steady, steady + 1.0 / hertz)]
    for amp in ("AMP1", "AMP2"):
        port = next(p for p in case.network.ports if p.id == amp)
        volts = ngspice.across(waves, port.p, port.n)
        lowest = np.array([a + np.argmin(volts[a:b]) for a, b in zip(*bounds, strict=True)])
        trough = np.interp(waves["time"][lowest], ours.t, ours.voltage(amp).trough[:, 0])
        assert np.abs(trough - volts[lowest]).max() < 0.01, amp


@LONG
def test_voltage_at_our_shut_down_instants(tmp_path: Path) -> None:
    """Given our own switching instants, ngspice finds the threshold of 10 V at every shut-down, to 1 mV."""
    ngspice.required()
    case = load("f2")
    ours = simulate(case.network, case.programme, settings=Settings(tol_v=3e-5, tol_i=0.02), initial=case.initial)
    events = ours.outcomes["AMP"][0].switchings
    switched = (f"{e.t:.9f} {int(not e.on)} {e.t + 1e-5:.9f} {int(e.on)}" for e in events)
    points = ["0 1", *switched]
    text = re.sub(r"^VAMPon.*$", f"VAMPon AMP_on 0 PWL({' '.join(points)})", deck("f2"), flags=re.MULTILINE)
    waves = ngspice.run(text, tmp_path)
    amp = ngspice.across(waves, "ap", "an")
    for event in events:
        if not event.on:
            assert np.interp(event.t, waves["time"], amp) == pytest.approx(10.0, abs=1e-3)


def test_ngspice_says_nothing_of_a_collapse(tmp_path: Path) -> None:
    """Where there is no operating point ngspice lands on the guard branch without a word; we say so instead."""
    ngspice.required()
    case = load("a3")
    waves = ngspice.run(deck("a3"), tmp_path)
    assert ngspice.across(waves, "ap", "an")[-1] < 6.0  # the amplifier's lowest working voltage
    assert simulate(case.network, case.programme, initial=case.initial).outcomes["AMP"][0].collapsed
