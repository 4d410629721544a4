"""Whole builds against ngspice, every demo build and option as the program wires it, and networks nobody chose."""

from __future__ import annotations

from pathlib import Path

import ngspice
import numpy as np
import pytest
import random_networks
from as_deck import Deck, settled

from dossier.assessment.sag.programmes import programme_of
from dossier.buildfile.reader import option_build, read_build
from dossier.circuit.elements import Values
from dossier.circuit.network import Network
from dossier.circuit.programme import Programme
from dossier.circuit.sampler import InputSampler, Samples, nominal
from dossier.circuit.settings import Settings
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import wire
from dossier.equipment.installed import installed, running
from dossier.equipment.value import Value

pytestmark = pytest.mark.independent

DEMOS = Path(__file__).parents[2] / "demo_builds"
EDGE_S = 5e-3  # s about a vertex where the level jumps: straight lines between the points of both differ there
BEFORE_S = 0.05  # s before a collapse, whose slope is infinite
ENVELOPE_V, RIPPLE_V = 4e-3, 10e-3  # V, the bars of the reference circuits
BUILDS = [
    ("hatchback-first-amp", "", "long_note"),
    ("pickup-plan", "", "bursts"),
    *(
        pytest.param(*which, marks=pytest.mark.long)
        for which in (
            ("pickup-plan", "", "long_note"),
            ("pickup-plan", "", "music"),
            ("pickup-plan", "copper", "long_note"),
            ("pickup-plan", "second_agm", "bursts"),
            ("pickup-plan", "second_agm", "music"),
            ("pickup-plan", "bank", "bursts"),
            ("pickup-plan", "alternator_250", "long_note"),
            ("estate-handover", "", "long_note"),
            ("estate-handover", "", "bursts"),
            ("estate-handover", "", "music"),
            ("unsafe-findings", "", "long_note"),
            ("van-competition", "", "run"),
            ("van-competition", "", "long"),
            ("van-competition", "", "demo"),
        )
    ),
]


def wired(name: str, option: str, case_id: str, draw: InputSampler = nominal) -> tuple[Network, Programme]:
    """The network of a load case and what is played through it."""
    build = read_build(DEMOS / f"{name}.yaml")
    build = option_build(build, option) if option else build
    case = build.load_cases[case_id]
    return wire(build, installed(build), running(build, case.engine), case, draw).network, programme_of(case)


def edges_of(programme: Programme) -> np.ndarray:
    """Instants at which the level jumps, and the start [s]."""
    steep = np.abs(np.diff(programme.levels)) / np.diff(programme.times) > 5.0
    return np.unique(np.concatenate([programme.times[:-1][steep], programme.times[1:][steep], [0.0]]))


def differences(network: Network, programme: Programme, folder: Path) -> dict[str, float]:
    """Largest difference of the cycle mean across every device outside the edges and before a collapse [V]."""
    initial = settled(network, programme)
    ours = simulate(network, programme, settings=Settings(ripple=False), initial=initial)
    deck = Deck(programme, initial, ours, ripple=False)
    waves = ngspice.run(deck.text, folder)
    away = np.abs(ours.t[:, None] - edges_of(programme)).min(1) > EDGE_S
    away &= ours.t < np.nan_to_num(ours.ended[0] - BEFORE_S, nan=np.inf)
    found = {}
    for port in network.ports:
        theirs = np.interp(ours.t[away], waves["time"], deck.across(waves, port.p, port.n))
        found[port.id] = float(np.abs(ours.voltage(port.id).mean[away, 0] - theirs).max())
    return found


@pytest.mark.parametrize(("name", "option", "case_id"), BUILDS)
def test_means(name: str, option: str, case_id: str, tmp_path: Path) -> None:
    """Cycle means across every device lie within 4 mV outside the edges."""
    ngspice.required()
    found = differences(*wired(name, option, case_id), tmp_path)
    assert max(found.values()) < ENVELOPE_V, found


@pytest.mark.long
@pytest.mark.parametrize("name", ["estate-handover", "hatchback-first-amp", "pickup-plan", "van-competition"])
@pytest.mark.parametrize("sample", [1, 2, 3, 4])
def test_means_with_other_inputs(name: str, sample: int, tmp_path: Path) -> None:
    """The same with every input drawn from its tolerance: other batteries, cables, machines and amplifiers."""
    ngspice.required()

    def draw(value: Value) -> Values:
        drawn = np.ravel(samples(value))
        return float(drawn[min(sample, len(drawn) - 1)])

    samples = Samples(4, 11)
    case_id = "long" if name == "van-competition" else "long_note"
    found = differences(*wired(name, "", case_id, draw), tmp_path)
    assert max(found.values()) < ENVELOPE_V, found


@pytest.mark.long
@pytest.mark.parametrize("seed", range(60))
def test_means_of_random_networks(seed: int, tmp_path: Path) -> None:
    """Networks nobody chose, with diodes, converters, rings, banks from 1 F and every kind of amplifier: 4 mV."""
    ngspice.required()
    found = differences(random_networks.network(seed), random_networks.programme(seed), tmp_path)
    assert max(found.values()) < ENVELOPE_V, found


def trough_differences(network: Network, programme: Programme, folder: Path) -> dict[str, float]:
    """Largest difference of the lowest instant of every cycle with sound across every device, away from edges [V].

    On an edge ours is a bound, as if the cycle had its crest there: of the whole run it may not be above theirs.
    """
    initial = settled(network, programme)
    ours = simulate(network, programme, initial=initial)
    deck = Deck(programme, initial, ours, ripple=True)
    waves = ngspice.run(deck.text, folder)
    assert programme.ripple_hz is not None
    t, cycle = waves["time"], 1.0 / programme.ripple_hz
    end = np.nan_to_num(ours.ended[0] - BEFORE_S, nan=t[-1])
    starts = np.arange(0.0, end - cycle, cycle)
    middle = starts + 0.5 * cycle
    loud = np.interp(middle, programme.times, programme.levels) > 0.0  # without sound there is no ripple
    starts = starts[loud & (np.abs(middle[:, None] - edges_of(programme)).min(1) > 2.0 * cycle)]
    bounds = [np.searchsorted(t, each) for each in (starts, starts + cycle)]
    found = {}
    for port in network.ports:
        theirs, mine = deck.across(waves, port.p, port.n), ours.voltage(port.id).trough[:, 0]
        lowest = np.array([a + np.argmin(theirs[a:b]) for a, b in zip(*bounds, strict=True)])
        apart = float(np.abs(np.interp(t[lowest], ours.t, mine) - theirs[lowest]).max())
        found[port.id] = max(apart, float(np.nanmin(mine) - theirs[t < end].min()))
    return found


@pytest.mark.parametrize(("name", "option", "case_id"), [b for b in BUILDS if "music" not in str(b)])
@pytest.mark.long
def test_troughs(name: str, option: str, case_id: str, tmp_path: Path) -> None:
    """The lowest instant of every cycle lies within 10 mV across every device."""
    ngspice.required()
    network, programme = wired(name, option, case_id)
    if programme.ripple_hz is None:
        pytest.skip("music of a load case is computed without a tone")
    found = trough_differences(network, programme, tmp_path)
    assert max(found.values()) < RIPPLE_V, found


@pytest.mark.long
@pytest.mark.parametrize("seed", [s for s in range(60) if random_networks.programme(s).tone_hz is not None])
def test_troughs_of_random_networks(seed: int, tmp_path: Path) -> None:
    """The same of networks nobody chose, some with a bank so small that it moves within the cycle."""
    ngspice.required()
    found = trough_differences(random_networks.network(seed), random_networks.programme(seed), tmp_path)
    assert max(found.values()) < RIPPLE_V, found
