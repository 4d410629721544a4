"""Makes logs with ngspice: a build with other truths, written as a deck, ripple resolved.

Run as a script to make ``data/*.csv`` again: a tone, bursts of the same network, and the tone with an amplifier of
another efficiency and a current clamp. Only the element equations and the settled state are shared with the program;
the time integration is ngspice's.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.sag.programmes import programme_of
from dossier.buildfile.logs.log import LogColumn
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build_text
from dossier.circuit.network import Network
from dossier.circuit.programme import LEAD_IN_S
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import wire
from dossier.equipment.installed import installed, running
from dossier.fitting.parameters import Adjusted, parameters_of

sys.path.append(str(Path(__file__).parents[1] / "circuit"))
import ngspice
from as_deck import Deck, settled

HERE = Path(__file__).parent / "data"
TRUE_SET_POINT_SHIFT = -0.08  # V
TRUTH = {"battery.starter": 1.25, "wiring": 0.82, "surface.starter": 0.8, "output.alternator": 0.94}  # factors
TRUE_EFFICIENCY = 0.92  # factor on the amplifier's, in the run with a current clamp
REST_S, AFTER_S = LEAD_IN_S, 4.0
SAMPLE_S, NOISE_V, NOISE_A = 0.05, 0.010, 1.0
CLOCK_S = 3.37  # the log's own time at the start of the sound
BURSTS = "signal: {tone: 40 Hz, burst: 0.4 s, every: 0.8 s, for: 10 s}"


def one_battery(*, bursts: bool = False) -> Build:
    """The build of the logs beside this file."""
    text = (HERE / "one_battery.yaml").read_text()
    text = text.replace("signal: {tone: 40 Hz, for: 10 s}", BURSTS) if bursts else text
    return read_build_text(text.encode(), "one", "one.yaml")


def network_of(build: Build, truth: Mapping[str, float]) -> Network:
    """The network with other truths: factors by parameter; of a set-point, volts to add."""
    case = next(iter(build.load_cases.values()))
    fit, run = installed(build), running(build, case.engine)
    channel = Channel(LogColumn("I", "current", ()), "amplifiers.any", "", "current")  # so that efficiencies are there
    parameters = parameters_of(build, fit, run, case, [channel])
    unknown = set(truth) - {p.id for p in parameters}
    assert not unknown, unknown
    theta = [truth.get(p.id, 0.0 if p.shifts else 1.0) - (0.0 if p.shifts else 1.0) for p in parameters]
    return wire(build, fit, run, case, Adjusted(parameters, np.array([theta]))).network


def truth(*, efficiency: bool = False) -> dict[str, float]:
    """What is true of the build of the logs beside this file."""
    more = {"efficiency.bass": TRUE_EFFICIENCY} if efficiency else {}
    return {**TRUTH, "set_point.alternator": TRUE_SET_POINT_SHIFT, **more}


def played(build: Build, of: Network, voltages: Sequence[str], currents: Sequence[str] = ()) -> np.ndarray:
    """Rows of (s from the start of the sound, volts at each port, amperes of each amplifier), every step of ngspice."""
    programme = programme_of(next(iter(build.load_cases.values())))
    initial = settled(of, programme)
    deck = Deck(programme, initial, simulate(of, programme, initial=initial), ripple=True)
    with tempfile.TemporaryDirectory() as folder:
        waves = ngspice.run(deck.text, Path(folder))
    ports, parts = {p.id: p for p in of.ports}, {e.id: e for e in of.elements}
    columns = [deck.across(waves, ports[id_].p, ports[id_].n) for id_ in voltages]
    columns += [deck.drawn(waves, parts[id_]) for id_ in currents]
    return np.stack([waves["time"] - REST_S, *columns], axis=1)


def means(table: np.ndarray, sample: float = SAMPLE_S) -> np.ndarray:
    """Means over windows of ``sample`` s, stamped at their middle: what a meter logs."""
    t = np.arange(table[0, 0] + sample, table[-1, 0] - sample, sample)
    area = np.cumsum(0.5 * (table[1:, 1:] + table[:-1, 1:]) * np.diff(table[:, :1], axis=0), axis=0)
    area = np.concatenate([np.zeros((1, area.shape[1])), area])
    parts = [
        (np.interp(t + sample / 2, table[:, 0], a) - np.interp(t - sample / 2, table[:, 0], a)) / sample for a in area.T
    ]
    return np.stack([t, *parts], axis=1)


def as_csv(table: np.ndarray, seed: int = 7) -> str:
    """A log as a German meter would write it: semicolons, decimal commas, a unit in the header, its own clock."""
    noise = np.random.default_rng(seed).normal(0.0, NOISE_V, (len(table), 2))
    lines = ["Aufzeichnung;;", "Zeit [s];starter [V];bass [mV]"]
    for (t, battery, amplifier, *_), (n1, n2) in zip(table, noise, strict=True):
        lines.append(f"{t + CLOCK_S:.2f};{battery + n1:.3f};{1e3 * (amplifier + n2):.0f}".replace(".", ","))
    return "\n".join(lines) + "\n"


def with_current(table: np.ndarray, seed: int = 8) -> str:
    """A log with a clamp on the amplifier's feed."""
    noise = np.random.default_rng(seed).normal(0.0, 1.0, (len(table), 3)) * (NOISE_V, NOISE_V, NOISE_A)
    lines = ["time [s],starter [V],bass [V],bass [A]"]
    for (t, battery, amplifier, current), (n1, n2, n3) in zip(table, noise, strict=True):
        lines.append(f"{t + CLOCK_S:.2f},{battery + n1:.3f},{amplifier + n2:.3f},{current + n3:.1f}")
    return "\n".join(lines) + "\n"


def exact(table: np.ndarray) -> str:
    """What was really there: s from the start of the sound, battery V, amplifier V."""
    return "time [s],starter [V],bass [V]\n" + "".join(f"{t:.3f},{b:.4f},{a:.4f}\n" for t, b, a, *_ in table)


def one(*, bursts: bool = False, efficiency: bool = False) -> np.ndarray:
    """A run of the build of the logs beside this file: battery V, amplifier V and A."""
    build = one_battery(bursts=bursts)
    ports = ("batteries.starter", "amplifiers.bass")
    return played(build, network_of(build, truth(efficiency=efficiency)), ports, ports[1:])


if __name__ == "__main__":
    HERE.joinpath("run.csv").write_text(as_csv(means(one())))
    HERE.joinpath("bursts.csv").write_text(exact(means(one(bursts=True))))
    HERE.joinpath("current.csv").write_text(with_current(means(one(efficiency=True))))
