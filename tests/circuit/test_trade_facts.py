"""What the trade knows from experience, without a published source, comes out of the model."""

from __future__ import annotations

import numpy as np
import pytest
from reference_circuits import load

from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.settings import Settings
from dossier.circuit.transient import simulate

pytestmark = pytest.mark.practice

MEAN = Settings(ripple=False)


def lowest(name: str, changes: dict[str, dict[str, el.Values]] | None = None, mean: bool = True) -> float:
    """Lowest mean (or trough) voltage at the second amplifier, from the settled network."""
    case = load(name, changes)
    run = simulate(case.network, case.programme, settings=MEAN if mean else Settings())
    cycle = run.voltage("AMP2")
    return float(np.nanmin(cycle.mean if mean else cycle.trough))


def test_two_batteries_under_four_kilowatts() -> None:
    """Two AGM batteries and a stock alternator under 4 kW fall to near 11 V within 20 s."""
    assert 10.8 < lowest("d_long") < 11.4


def test_a_bank_with_more_resistance_than_the_battery_never_wins() -> None:
    """A bank of 5 mohm in place of a rear battery of 3.5 mohm is below it at every moment of a long note."""
    battery, bank = load("d_long"), load("e_long", {"CAP_R": {"esr": 5e-3}})
    runs = [simulate(case.network, case.programme, settings=MEAN) for case in (battery, bank)]
    for t in (1.1, 1.4, 2.0, 3.0, 6.0, 11.0, 20.9):
        with_battery, with_bank = (float(np.interp(t, r.t, r.voltage("AMP2").mean[:, 0])) for r in runs)
        assert not with_bank > with_battery, t


def test_a_good_bank_wins_short_notes_and_loses_long_ones() -> None:
    """500 F at 2.2 mohm is above the battery for the first seconds of a note and below it after ten."""
    runs = [simulate(case.network, case.programme, settings=MEAN) for case in (load("d_long"), load("e_long"))]
    (battery_soon, battery_late), (bank_soon, bank_late) = (
        np.interp([1.4, 11.0], r.t, r.voltage("AMP2").mean[:, 0]) for r in runs
    )
    assert bank_soon > battery_soon + 0.1
    assert bank_late < battery_late - 0.5


def test_a_bank_only_delays_an_engine_off_collapse() -> None:
    """Engine off, a tired battery under 2.8 kW collapses; with 500 F beside it later, but it still collapses."""
    case = load("f1")
    alone = simulate(case.network, case.programme)
    longer = [(0.0, 0.0), (0.5, 0.0), (0.502, 1.0), (80.0, 1.0)]
    programme = type(case.programme)(*np.array(longer).T)
    bank = el.Capacitor("C", "ap", "an", 500.0, 2.2e-3)
    with_bank = simulate(Network([*case.network.elements, bank]), programme)
    assert alone.outcomes["AMP"][0].collapsed
    assert with_bank.outcomes["AMP"][0].collapsed
    assert with_bank.ended[0] > alone.ended[0] + 10.0


def test_a_bigger_alternator_barely_moves_short_notes() -> None:
    """Twice the alternator is worth little in a burst of 0.4 s, and several times that in a run of 20 s."""
    bigger, stock = (load("d_burst", changes) for changes in ({"ALT": {"imax": 360.0}}, None))
    runs = [simulate(case.network, case.programme, settings=MEAN) for case in (bigger, stock)]
    with_bigger, with_stock = (float(r.voltage("AMP2").mean[r.t < 0.95].min()) for r in runs)
    bursts = with_bigger - with_stock
    tone = lowest("d_long", {"ALT": {"imax": 360.0}}) - lowest("d_long")
    assert 0.0 <= bursts < 0.15
    assert tone > 3.0 * bursts


def test_the_last_milliohm_counts_most() -> None:
    """A milliohm in an amplifier's own feed costs more than one in the front battery, most of all in the trough."""
    base = {m: lowest("d_long", mean=m) for m in (True, False)}
    feed = {m: base[m] - lowest("d_long", {"W_a2": {"ohms": 0.0017}}, mean=m) for m in (True, False)}
    front = {m: base[m] - lowest("d_long", {"BAT_F": {"r0": 0.0055}}, mean=m) for m in (True, False)}
    assert feed[True] > 2.0 * front[True] > 0.0
    assert feed[False] > 2.0 * feed[True]
