"""The ripple fraction from what a multimeter would have shown of a run of ngspice, every cycle resolved."""

from __future__ import annotations

import shutil

import numpy as np
import pytest
from synthetic import network_of, one, one_battery, truth

from dossier.circuit.small_signal import ripple_fractions

TRUE = 0.6  # ripple fraction of the amplifier in the deck, see data/one_battery.yaml
# ngspice 39, the network of synthetic.py: mean and rms of the ripple at the amplifier over 0.1 s (eight cycles) about
READ = {1.5: (13.0896, 0.4372), 5.5: (12.5982, 0.4206), 9.5: (12.1663, 0.4064)}


def meter(table: np.ndarray, at: float) -> tuple[float, float]:
    """DC and AC volts of a tenth of a second about an instant."""
    grid = np.arange(at - 0.05, at + 0.05, 1e-4)
    volts = np.interp(grid, table[:, 0], table[:, 2])
    return float(volts.mean()), float(volts.std())


@pytest.mark.independent
@pytest.mark.parametrize("at", READ)
def test_the_fraction_of_the_deck_is_recovered(at: float) -> None:
    """From the DC and AC volts of the ngspice run the amplifier's ripple fraction comes out within 2 %."""
    dc, ac = READ[at]
    network = network_of(one_battery(), truth())
    found = ripple_fractions(network, 80.0, {"amplifiers.bass": dc}, {"amplifiers.bass": ac})
    assert found["amplifiers.bass"][0] == pytest.approx(TRUE, rel=0.02)


@pytest.mark.long
@pytest.mark.independent
@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_the_recorded_readings_are_what_ngspice_gives() -> None:
    """The readings can be made again within 2 mV of ripple and 20 mV of mean."""
    table = one()
    for at, (dc, ac) in READ.items():
        mean, ripple = meter(table, at)
        assert mean == pytest.approx(dc, abs=0.02)
        assert ripple == pytest.approx(ac, abs=0.002)
