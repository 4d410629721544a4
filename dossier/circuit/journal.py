"""The books of a run: what was recorded, what switched and what ended, sample by sample."""

from __future__ import annotations

import numpy as np

from dossier.circuit.ending import Collapse, Starved, outcome
from dossier.circuit.network import Network
from dossier.circuit.newton import Point
from dossier.circuit.outcome import Switching
from dossier.circuit.recorder import Recorder
from dossier.circuit.ripple import needs_resolving
from dossier.circuit.running import Running
from dossier.circuit.trace import Transient


class Journal:
    """What happened so far; samples count as in the network, whichever still run."""

    def __init__(self, network: Network, running: Running, detail: bool) -> None:
        self.network, self.detail = network, detail
        self.recorder = Recorder(network, running.folded, running.time_step.direct, running.phases, detail)
        self.collapses: dict[int, Collapse] = {}
        self.starved: dict[tuple[int, str], Starved] = {}  # of sample and amplifier, if its protection saved it first
        self.switchings: list[list[Switching]] = [[] for _ in range(network.samples)]
        self.steps = 0

    def record(self, running: Running, middle: Point | None = None, dt: float = 0.0) -> None:
        """Where the samples stand; with ``middle``, after a step of ``dt`` s through that inner stage."""
        now = running.now
        self.recorder.add(now.t, running.programme.level(now.t), now.point, running.on.copy(), middle, dt)
        self.steps += middle is not None

    def transient(self, running: Running, start: float, hertz: float | None) -> Transient:
        """The finished run from ``start`` s; ``hertz``: of its ripple, None: not computed."""
        network = self.network
        t, cycles, output = self.recorder.finish(start)
        nodes, branches = cycles[2:] if self.detail else (None, None)
        sign = np.where(np.arange(len(network.ports)) < running.m, -1.0, 1.0)
        ids = tuple(port.id for port in network.ports)
        own = tuple(a.id for a in running.amps)
        samples = range(network.samples)
        return Transient(
            network=network,
            t=t,
            ports=ids,
            volts=cycles[0],
            amps=cycles[1],
            node_volts=nodes,
            branch_amps=branches,
            amplifiers=own,
            output=output,
            charge={name: self.recorder.charge[:, k] * sign[k] for k, name in enumerate(ids)},
            energy={name: self.recorder.energy[:, k] * sign[k] for k, name in enumerate(ids)},
            ended=np.array([self.collapses[b].t if b in self.collapses else np.nan for b in samples]),
            outcomes={
                amp: tuple(
                    outcome(network, amp, self.switchings[b], self.collapses.get(b), self.starved.get((b, amp)))
                    for b in samples
                )
                for amp in own
            },
            switchings=tuple(tuple(s for s in each if s.id not in own) for each in self.switchings),
            moving=() if hertz is None else needs_resolving(network, hertz),
            steps=self.steps,
        )
