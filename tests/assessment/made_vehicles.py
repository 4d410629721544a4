"""Vehicles made with ngspice: a load case of a build with other truths, and what a meter shows of it.

ngspice settles each (a long rest with every battery at its state of charge) and plays it; of the program only the
network is taken, as in ``tests/circuit/as_deck.py``, nothing of its solver.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from dossier.assessment.sag.programmes import programme_of, sound_ends
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.programme import LEAD_IN_S, Programme
from dossier.circuit.sampler import InputSampler
from dossier.circuit.wiring import Wired, wire
from dossier.equipment.installed import Installed, running

sys.path.append(str(Path(__file__).parents[1] / "circuit"))
import ngspice as ngspice
from as_deck import Deck, number

STEP_S = 2e-3
REST_S = 1000.0  # several time constants of a surface charge


@dataclass(frozen=True)
class Guess:
    """A network with the voltages that a search for its operating point starts from: what ``Deck`` asks of a run."""

    network: Network
    volts: Mapping[str, float]

    def node_voltage(self, node: str) -> Any:
        """The voltage of a node, where a run has a trace."""
        return type("Cycle", (), {"mean": np.array([[self.volts.get(node, 0.0)]])})


def settled(
    network: Network, programme: Programme, folder: Path
) -> tuple[dict[str, dict[str, float]], dict[str, float]]:
    """Initial states and node voltages at rest, ``REST_S`` later in ngspice: every battery as charged as it is."""
    start = max(number(part.e0) for part in network.of(el.Battery))
    guess = {node: start if node.endswith("+") else 0.0 for node in network.nodes}
    deck = Deck(programme, {}, Guess(network, guess), ripple=False)  # type: ignore[arg-type]
    text = re.sub(r"^C(\S+b) (\S+) (\S+) .*$", r"V\1 \2 \3 0", deck.text, flags=re.MULTILINE)  # the charge stays
    text = re.sub(r"^Vlev lev 0 .*$", "Vlev lev 0 0", text, flags=re.MULTILINE)
    text = re.sub(r"^\.tran.*$", f".tran 0.2 {REST_S} 0 0.2 uic", text, flags=re.MULTILINE)
    found = {name: float(wave[-1]) for name, wave in ngspice.run(text, folder).items()}
    states: dict[str, dict[str, float]] = {}
    for part in network.elements:
        name = deck.names[part.id]
        if isinstance(part, el.Battery):
            b = found[f"v({name}b)"]
            c = found.get(f"v({name}c)", b)
            states[part.id] = {"de": 0.0, "v1": b - c, "vs": c - found.get(f"v({name}d)", c)}
        elif isinstance(part, el.Alternator):
            states[part.id] = {"x": found[f"v({name}x)"]}
    volts = {node: 0.0 if deck.nodes[node] == "0" else found[f"v({deck.nodes[node]})"] for node in network.nodes}
    return states, volts


@dataclass(frozen=True)
class Truth:
    """A load case of a vehicle as ngspice plays it."""

    programme: Programme
    wired: Wired
    deck: Deck
    waves: Mapping[str, np.ndarray]

    def volts(self, port: str) -> np.ndarray:
        """Across a device."""
        part = self._part(port)
        found: np.ndarray = self.deck.across(self.waves, part.p, part.n)  # type: ignore[union-attr]
        return found

    def amps(self, cable: str) -> np.ndarray:
        """Through a cable."""
        a, b, _ = self.wired.conductors[cable]
        found: np.ndarray = np.abs(self.deck.across(self.waves, a, b)) / self.ohms(cable)
        return found

    def ohms(self, cable: str) -> float:
        """Of a cable."""
        return number(self.wired.conductors[cable][2])

    def drawn(self, amplifier: str) -> np.ndarray:
        """Into an amplifier."""
        return self.deck.drawn(self.waves, self._part(f"amplifiers.{amplifier}"))

    def output(self, amplifier: str) -> np.ndarray:
        """Watts into its loudspeakers: the equation of the element."""
        a = self._part(f"amplifiers.{amplifier}")
        assert isinstance(a, el.Amplifier)
        held = np.maximum(self.volts(a.id), number(a.v_low))
        allowed = number(a.rated_w) * (held / number(a.vref)) ** number(a.exponent)
        level = np.interp(self.waves["time"], self.programme.times, self.programme.levels)
        found: np.ndarray = np.minimum(number(a.ask_w) * level, allowed)
        return found

    def shown(self, values: np.ndarray, moment: str) -> float:
        """What a meter shows of it: rest | end | mean | playing, its lowest."""
        t, end = self.waves["time"], sound_ends(self.programme)
        if moment == "rest":
            return float(np.interp(0.5 * LEAD_IN_S, t, values))
        if moment == "end":
            return float(np.interp(end - 0.01, t, values))
        inside = (t >= LEAD_IN_S) & (t <= end)
        if moment == "mean":
            return float(np.trapezoid(values[inside], t[inside]) / (t[inside][-1] - t[inside][0]))
        return float(values[inside].min())

    def _part(self, id_: str) -> el.Element:
        return next(part for part in self.wired.network.elements if part.id == id_)


def made(build: Build, fit: Installed, case: LoadCase, draw: InputSampler, folder: Path) -> Truth:
    """A load case of a build with its inputs as ``draw`` has them."""
    wired, programme = wire(build, fit, running(build, case.engine), case, draw), programme_of(case)
    states, volts = settled(wired.network, programme, folder)
    deck = Deck(programme, states, Guess(wired.network, volts), ripple=False)  # type: ignore[arg-type]
    return Truth(programme, wired, deck, ngspice.run(ngspice.stepped(deck.text, STEP_S), folder))
