"""What a run leaves behind: voltages and currents over time, read-only, and the sums over the run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np

from dossier.circuit.elements import Array, Resistor
from dossier.circuit.network import Network
from dossier.circuit.outcome import Outcome, Switching


@dataclass(frozen=True, eq=False)
class Cycle:
    """Quantities over the ripple cycles of a run, arrays (T, B) or (T, B, count); read-only."""

    mean: Array  # mean over the cycle: what a voltmeter shows
    trough: Array  # smallest value within the cycle: what an oscilloscope shows
    crest: Array  # largest value within the cycle
    rms: Array  # root mean square over the cycle, for the heating of conductors

    def of(self, index: int) -> Cycle:
        """One of the quantities."""
        return Cycle(*(getattr(self, f.name)[..., index] for f in fields(self)))


@dataclass(frozen=True, eq=False)
class Transient:
    """A finished run. Times (T,); values (T, B, count), NaN from the instant a sample collapsed. Read-only.

    Currents flow p to n inside an element: a discharging battery has a negative one.
    """

    network: Network  # what was simulated
    t: Array  # s; an instant at which something switched stands twice, before and after
    ports: tuple[str, ...]  # ids, see ``network.Network.ports``
    volts: Cycle  # V across the ports
    amps: Cycle  # A through the ports
    node_volts: Cycle | None  # V of the nodes against ground, in the order of ``network.nodes``; None without details
    branch_amps: Cycle | None  # A through the resistors a to b, in their order; None without details
    amplifiers: tuple[str, ...]  # ids
    output: Array  # (T, B, amplifiers) W into the loudspeakers, cycle mean
    charge: Mapping[str, Array]  # A s delivered by each source port (taken: by each other port) over the run, (B,)
    energy: Mapping[str, Array]  # J likewise
    ended: Array  # (B,) s at which the sample collapsed, NaN if it ran to the end
    outcomes: Mapping[str, tuple[Outcome, ...]]  # amplifier id -> one outcome per sample
    switchings: tuple[tuple[Switching, ...], ...]  # per sample, what relays and battery managements did
    moving: tuple[str, ...]  # ids of the storage elements that move within a ripple cycle (``ripple.needs_resolving``)
    steps: int  # accepted steps

    def voltage(self, port: str) -> Cycle:
        """Voltage across a port [V], arrays (T, B)."""
        return self.volts.of(self.ports.index(port))

    def current(self, port: str) -> Cycle:
        """Current through a port, p to n [A], arrays (T, B)."""
        return self.amps.of(self.ports.index(port))

    def node_voltage(self, node: str) -> Cycle:
        """Voltage of a node against ground [V], arrays (T, B); zero for ground itself.

        Raises:
            LookupError: the run was made without details.
        """
        if self.node_volts is None:
            raise LookupError("the run was made without details of nodes")
        if node == self.network.ground:
            zero = np.zeros(self.volts.mean.shape[:2])
            return Cycle(*[zero for _ in fields(Cycle)])
        return self.node_volts.of(self.network.nodes.index(node))

    def branch_current(self, resistor: str) -> Cycle:
        """Current through a resistor, a to b [A], arrays (T, B).

        Raises:
            LookupError: the run was made without details.
        """
        if self.branch_amps is None:
            raise LookupError("the run was made without details of branches")
        return self.branch_amps.of([r.id for r in self.network.of(Resistor)].index(resistor))
