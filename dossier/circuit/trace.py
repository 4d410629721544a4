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
    """Quantities over the ripple cycles of a run, arrays (T, B) or (T, B, count); read-only.

    Attributes:
        mean: mean over the cycle: what a voltmeter shows.
        trough: smallest value within the cycle: what an oscilloscope shows.
        crest: largest value within the cycle.
        rms: root mean square over the cycle, for the heating of conductors.
    """

    mean: Array
    trough: Array
    crest: Array
    rms: Array

    def of(self, index: int) -> Cycle:
        """One of the quantities."""
        return Cycle(*(getattr(self, f.name)[..., index] for f in fields(self)))


@dataclass(frozen=True, eq=False)
class Transient:
    """A finished run. Times (T,); values (T, B, count), NaN from the instant a sample collapsed. Read-only.

    Currents flow p to n inside an element: a discharging battery has a negative one.

    Attributes:
        network: what was simulated.
        t: s; an instant at which something switched stands twice, before and after.
        ports: ids, see ``network.Network.ports``.
        volts: V across the ports.
        amps: A through the ports.
        node_volts: V of the nodes against ground, in the order of ``network.nodes``; None without details.
        branch_amps: A through the resistors a to b, in their order; None without details.
        amplifiers: ids.
        output: (T, B, amplifiers) W into the loudspeakers, cycle mean.
        charge: A s delivered by each source port (taken: by each other port) over the run, (B,).
        energy: J likewise.
        ended: (B,) s at which the sample collapsed, NaN if it ran to the end.
        outcomes: amplifier id -> one outcome per sample.
        switchings: per sample, what relays and battery managements did.
        moving: ids of the storage elements that move within a ripple cycle (``ripple.needs_resolving``).
        steps: accepted steps.
    """

    network: Network
    t: Array
    ports: tuple[str, ...]
    volts: Cycle
    amps: Cycle
    node_volts: Cycle | None
    branch_amps: Cycle | None
    amplifiers: tuple[str, ...]
    output: Array
    charge: Mapping[str, Array]
    energy: Mapping[str, Array]
    ended: Array
    outcomes: Mapping[str, tuple[Outcome, ...]]
    switchings: tuple[tuple[Switching, ...], ...]
    moving: tuple[str, ...]
    steps: int

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
