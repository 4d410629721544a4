"""Ripple fractions from alternating volts: closed forms, and a run of ngspice with every cycle resolved."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.small_signal import ripple_fractions

HERTZ = 80.0


def amplifier(id_: str = "A", exponent: float = 0.0, at: str = "b") -> el.Amplifier:
    """An amplifier that draws 1200 W at 12 V whatever is asked beyond its rail."""
    return el.Amplifier(id_, at, "gnd", 960.0, 12.0, exponent, 9600.0, 0.8, 0.0, 5.0)


@pytest.mark.analytic
@pytest.mark.parametrize(("exponent", "slope"), [(0.0, -100.0 / 12.0), (1.0, 0.0), (2.0, 100.0 / 12.0)])
def test_one_source_and_one_amplifier(exponent: float, slope: float) -> None:
    """100 A behind 10 mohm: V_ac = k 100 A R / (sqrt 2 (1 + g R)), for constant power, current and resistance."""
    network = Network([el.Battery("B", "b", "gnd", 13.0, 0.01), amplifier(exponent=exponent)])
    ac = 0.6 * 100.0 * 0.01 / (1.0 + slope * 0.01) / np.sqrt(2.0)
    assert ripple_fractions(network, HERTZ, {"A": 12.0}, {"A": ac})["A"][0] == pytest.approx(0.6, rel=1e-4)


@pytest.mark.analytic
def test_a_bank_takes_its_part_of_the_ripple() -> None:
    """With 1 F of 2 mohm beside the battery the impedance is that of both in parallel."""
    parts: list[el.Element] = [el.Battery("B", "b", "gnd", 13.0, 0.01), el.Capacitor("C", "b", "gnd", 1.0, 2e-3)]
    z = 1.0 / (100.0 + 1.0 / (2e-3 + 1.0 / (2j * np.pi * HERTZ)))
    ac = 0.5 * 100.0 * abs(z) / np.sqrt(2.0)
    found = ripple_fractions(Network([*parts, amplifier(exponent=1.0)]), HERTZ, {"A": 12.0}, {"A": ac})
    assert found["A"][0] == pytest.approx(0.5, rel=1e-3)


@pytest.mark.analytic
def test_two_amplifiers_share_a_feed() -> None:
    """Two amplifiers behind a common 5 mohm with 2 mohm each of their own: both are found from both readings."""
    parts: list[el.Element] = [
        el.Battery("B", "b", "gnd", 13.0, 5e-3),
        el.Resistor("1", "b", "x", 2e-3),
        el.Resistor("2", "b", "y", 2e-3),
        amplifier("X", 1.0, "x"),
        amplifier("Y", 1.0, "y"),
    ]
    k = {"X": 0.3, "Y": 0.8}
    common = (k["X"] + k["Y"]) * 100.0 * 5e-3
    ac = {id_: (common + k[id_] * 100.0 * 2e-3) / np.sqrt(2.0) for id_ in k}
    found = ripple_fractions(Network(parts), HERTZ, {"X": 12.0, "Y": 12.0}, ac)
    assert {id_: float(found[id_][0]) for id_ in k} == pytest.approx(k, rel=1e-3)


def test_every_sample_has_its_own() -> None:
    """The same reading is more ripple where there is less resistance."""
    ohms = np.array([0.008, 0.01, 0.012])
    network = Network([el.Battery("B", "b", "gnd", 13.0, ohms), amplifier(exponent=1.0)])
    found = ripple_fractions(network, HERTZ, {"A": 12.0}, {"A": 0.4})["A"]
    assert np.allclose(found, np.sqrt(2.0) * 0.4 / 100.0 / ohms, rtol=1e-3)
