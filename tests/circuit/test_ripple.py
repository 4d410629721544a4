"""Ripple within the cycles: phases against waveforms stepped through, and what moves within a cycle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from reference_circuits import load
from resolved import resolve

from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.programme import tone
from dossier.circuit.ripple import PHASES, needs_resolving, phases
from dossier.circuit.settings import Settings, for_batch
from dossier.circuit.transient import simulate

HERTZ = 80.0


def with_bank(farads: float, esr: float, samples: int = 1) -> Network:
    """Circuit d_long with a capacitor at the amplifiers' distribution."""
    spread = farads if samples == 1 else np.full(samples, farads)
    return Network([*load("d_long").network.elements, el.Capacitor("C", "dist", "chr", spread, esr)])


@pytest.mark.analytic
def test_phases_average_exactly() -> None:
    """The mean over the phases of a polynomial in the cosine up to its tenth power is that over the whole cycle."""
    found = phases(load("d_long").network, HERTZ)
    exact = {2: 1 / 2, 4: 3 / 8, 6: 5 / 16, 8: 35 / 128, 10: 63 / 256}
    assert len(found.wave) == PHASES
    for power, mean in exact.items():
        assert found.weights @ found.wave**power == pytest.approx(mean, rel=1e-12)
        assert found.weights @ found.wave ** (power - 1) == pytest.approx(0.0, abs=1e-12)


def test_no_depth_is_the_envelope() -> None:
    """With a ripple depth of zero the phases give what the plain envelope gives."""
    case = load("d_long", {a: {"ripple_fraction": 0.0} for a in ("AMP1", "AMP2")})
    with_phases = simulate(case.network, case.programme, initial=case.initial)
    plain = simulate(case.network, case.programme, settings=Settings(ripple=False), initial=case.initial)
    assert np.allclose(with_phases.voltage("AMP2").mean, plain.voltage("AMP2").mean, atol=1e-6)
    assert np.allclose(with_phases.voltage("AMP2").trough, plain.voltage("AMP2").mean, atol=1e-6)
    assert np.allclose(with_phases.current("AMP2").rms, plain.current("AMP2").mean, atol=1e-3)


@pytest.mark.analytic
def test_constant_current_ripple_is_arithmetic() -> None:
    """A battery of 10 mohm under 100 A (1 - cos): trough 2 V below, crest as at rest, rms 100 sqrt 1.5 A."""
    amp = el.Amplifier("A", "b", "gnd", 1e9, 1.0, 0.0, 1200.0, 1.0, 0.0, 5.0)
    stiff = el.Battery("B", "b", "gnd", 12.0, 1e-6)
    run = simulate(Network([stiff, amp]), tone(1.0, 40.0))
    k = int(np.searchsorted(run.t, 1.9))
    current = run.current("A")
    assert current.mean[k, 0] == pytest.approx(100.0, rel=1e-3)
    assert current.crest[k, 0] == pytest.approx(200.0, rel=1e-3)
    assert current.trough[k, 0] == pytest.approx(0.0, abs=1e-6)
    assert current.rms[k, 0] == pytest.approx(100.0 * np.sqrt(1.5), rel=1e-3)


@pytest.mark.parametrize(("farads", "esr"), [(0.0, 0.0), (0.024, 4e-3), (1.0, 1.5e-3), (5.0, 1e-3)])
def test_phases_agree_with_cycles_stepped_through(farads: float, esr: float) -> None:
    """Large, small and missing capacitors: trough to 10 mV, rms current to 1 %, of every cycle stepped through."""
    programme = load("d_long").programme
    network = with_bank(farads, esr) if farads else load("d_long").network
    run = simulate(network, programme)
    assert run.moving == (("C",) if farads else ())
    waves = resolve(network, programme, 3.0, 2)
    middle = 0.5 * (waves.t[0] + waves.t[-1])
    for port in ("AMP2", "BAT_R", *(("C",) if farads else ())):
        trough = np.interp(waves.t[-1], run.t, run.voltage(port).trough[:, 0])
        assert trough == pytest.approx(waves.trough(port)[0], abs=0.01), port
        rms = np.interp(middle, run.t, run.current(port).rms[:, 0])
        stepped = np.sqrt((waves.i[:-1, 0, waves.ports.index(port)] ** 2).mean())
        assert rms == pytest.approx(stepped, rel=1e-2), port


@pytest.mark.analytic
def test_capacitor_takes_its_share_of_the_ripple() -> None:
    """A capacitor beside a battery takes the ripple current by the ratio of admittances, amplitude and phase."""
    farads, esr, ohms, amps = 2.0, 1e-3, 5e-3, 20.0
    stiff = el.Amplifier("A", "b", "gnd", 1e9, 1.0, 0.0, 13.0 * amps, 1.0, 0.0, 5.0, ripple_fraction=0.5)
    network = Network([el.Battery("B", "b", "gnd", 13.0, ohms), el.Capacitor("C", "b", "gnd", farads, esr), stiff])
    run = simulate(network, tone(2.0, 40.0))
    k = int(np.searchsorted(run.t, 2.9))
    y_c = 1.0 / (esr + 1.0 / (2j * np.pi * HERTZ * farads))
    share = abs(y_c / (y_c + 1.0 / ohms))
    assert np.sqrt(2.0) * run.current("C").rms[k, 0] == pytest.approx(0.5 * amps * share, rel=0.03)


def test_what_moves_within_a_cycle() -> None:
    """Farads move, hundreds of farads do not; a fast alternator does; one sample is enough."""
    assert needs_resolving(load("d_long").network, HERTZ) == ()
    assert needs_resolving(load("e_long").network, HERTZ) == ()
    assert needs_resolving(with_bank(1.0, 1e-3), HERTZ) == ("C",)
    assert needs_resolving(with_bank(1.0, 1e-3), 8000.0) == ()
    assert needs_resolving(load("d_long", {"ALT": {"tau": 0.01}}).network, HERTZ) == ("ALT",)
    mixed = load("e_long", {"CAP_R": {"farads": np.array([500.0, 1.0])}})
    assert needs_resolving(mixed.network, HERTZ) == ("CAP_R",)


def test_moving_capacitor_in_a_batch() -> None:
    """A batch with a moving capacitor gives each sample what it gets alone."""
    programme = load("d_long").programme
    esr = np.array([1e-3, 3e-3])
    network = Network([*load("d_long").network.elements, el.Capacitor("C", "dist", "chr", 1.0, esr)])
    many = simulate(network, programme, settings=replace(for_batch(), tol_v=3e-4))
    for k in range(2):
        alone = simulate(with_bank(1.0, float(esr[k])), programme)
        ours, theirs = (np.nanmin(r.voltage("AMP2").trough[:, j]) for r, j in ((many, k), (alone, 0)))
        assert ours == pytest.approx(theirs, abs=2e-3)
