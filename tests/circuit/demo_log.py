"""Makes the voltage log of the demo van with ngspice: its build with every input drawn anew, and noise added.

Run as a script to write ``demo_builds/assets/van-run.csv`` again. The van does not exist, and nothing was measured.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import ngspice
import numpy as np
from as_deck import Deck, settled

from dossier.assessment.sag.programmes import programme_of
from dossier.buildfile.reader import read_build
from dossier.circuit.elements import Values
from dossier.circuit.sampler import Samples
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import wire
from dossier.equipment.installed import installed, running
from dossier.equipment.value import Value

DEMOS = Path(__file__).parents[2] / "demo_builds"
LOG = DEMOS / "assets" / "van-run.csv"
SEED, SAMPLE, OF = 7, 8, 8  # a van whose half minute ends near the reading that its build file states
WINDOW_S = 0.1  # s, over which the logger averages its 1 kHz samples
NOISE_V, NOISE_A = 0.008, 1.5
CLOCK_S = 11.4  # s that the log's clock is ahead of the programme's
CHANNELS = {"bank": "batteries.lto", "left 1": "amplifiers.left_1", "right 2": "amplifiers.right_2"}
CLAMPED = "amplifiers.left_1"


def draw(value: Value) -> Values:
    """One number within the tolerance of an input."""
    drawn = np.ravel(np.asarray(Samples(OF, SEED)(value)))
    return float(drawn[min(SAMPLE, len(drawn) - 1)])


def as_csv() -> str:
    """The log as text."""
    build = read_build(DEMOS / "van-competition.yaml")
    case = build.load_cases["long"]
    programme = programme_of(case)
    network = wire(build, installed(build), running(build, case.engine), case, draw).network
    initial = settled(network, programme)
    deck = Deck(programme, initial, simulate(network, programme, initial=initial), ripple=True)
    with tempfile.TemporaryDirectory() as folder:
        waves = ngspice.run(deck.text, Path(folder))
    ports = {port.id: port for port in network.ports}
    amplifier = next(e for e in network.elements if e.id == CLAMPED)
    columns = [deck.across(waves, ports[id_].p, ports[id_].n) for id_ in CHANNELS.values()]
    columns.append(deck.drawn(waves, amplifier))
    starts = np.arange(0.0, waves["time"][-1] - WINDOW_S, WINDOW_S)
    noise = np.random.default_rng(SEED).normal(0.0, 1.0, (len(starts), len(columns)))
    noise *= [NOISE_V] * len(CHANNELS) + [NOISE_A]
    means = np.stack([_averaged(waves["time"], one, starts) for one in columns], axis=1) + noise
    lines = [f"time [s],{','.join(f'{name} [V]' for name in CHANNELS)},left 1 feed [A]"]
    for t, row in zip(starts + 0.5 * WINDOW_S + CLOCK_S, means, strict=True):
        lines.append(f"{t:.2f},{','.join(f'{v:.3f}' for v in row[:-1])},{row[-1]:.1f}")
    return "\n".join(lines) + "\n"


def _averaged(t: np.ndarray, values: np.ndarray, starts: np.ndarray) -> np.ndarray:
    """Means over the windows that begin at ``starts``."""
    area = np.concatenate([[0.0], np.cumsum(0.5 * (values[1:] + values[:-1]) * np.diff(t))])
    means: np.ndarray = (np.interp(starts + WINDOW_S, t, area) - np.interp(starts, t, area)) / WINDOW_S
    return means


if __name__ == "__main__":
    LOG.write_text(as_csv())
