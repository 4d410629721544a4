"""A network of elements, checked, and its resistors folded into a map between port voltages and currents.

Everything but a resistor is a port: two nodes and a law i(v). Adding a reference conductance g0 to the resistor
network at every port and taking g0 v off the port's current changes nothing and makes the reduced network
regular: with j = i - g0 v, node voltages are -N j and port voltages -Z j (Z = A'N, A the incidence matrix).
g0 of a storage port is its fast conductance 1/R0 or 1/ESR, so its j is an ideal source (Norton's theorem).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np

from dossier.circuit.elements import (
    LEAST_OHMS,
    Alternator,
    Amplifier,
    Array,
    Battery,
    Capacitor,
    Converter,
    Diode,
    Element,
    Load,
    Resistor,
    Switch,
    Values,
    VoltageSensing,
)

Kind = TypeVar("Kind")

REFERENCE_S = 10.0  # S, reference conductance of ports without a fast conductance of their own; any value would do
LARGEST_CONDITION = 1e13  # the folded network is refused beyond this (rounding would reach 1 mV)


class NetworkError(ValueError):
    """The elements do not make a network that can be solved.

    Attributes:
        nodes: the nodes concerned.
        elements: the ids of the elements concerned.
    """

    def __init__(self, message: str, nodes: Iterable[str] = (), elements: Iterable[str] = ()) -> None:
        super().__init__(message)
        self.nodes = tuple(nodes)
        self.elements = tuple(elements)


@dataclass(frozen=True, slots=True)
class Port:
    """Two nodes between which an element that is no resistor sits."""

    id: str
    p: str
    n: str


def spread(value: Values, samples: int) -> Array:
    """``value`` as an array of shape (samples,)."""
    return np.broadcast_to(np.asarray(value, dtype=np.float64), (samples,))


@dataclass(frozen=True)
class Network:
    """Elements joined at named nodes.

    Raises:
        NetworkError: an id is used twice, a parameter array has another length, or nodes cannot reach ground.
    """

    elements: Sequence[Element]
    ground: str = "gnd"
    ports: tuple[Port, ...] = field(init=False)
    nodes: tuple[str, ...] = field(init=False)
    samples: int = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "elements", tuple(self.elements))
        seen: set[str] = set()
        for element in self.elements:
            if element.id in seen:
                raise NetworkError(f"two elements are called {element.id}", elements=[element.id])
            seen.add(element.id)
        object.__setattr__(self, "samples", self._count_samples())
        object.__setattr__(self, "ports", tuple(self._list_ports()))
        object.__setattr__(self, "nodes", self._check_nodes())

    def of(self, kind: type[Kind]) -> list[Kind]:
        """The elements of one class, in the order given."""
        return [element for element in self.elements if isinstance(element, kind)]

    def port_index(self, port_id: str) -> int:
        """Position of a port in every array with a port axis."""
        return next(i for i, port in enumerate(self.ports) if port.id == port_id)

    def _count_samples(self) -> int:
        """The common length of all parameter arrays, 1 if there are none."""
        lengths: dict[int, str] = {}
        for element in self.elements:
            for part in (element, getattr(element, "control", None), getattr(element, "trip", None)):
                for name in getattr(part, "__dataclass_fields__", ()):
                    value = getattr(part, name)
                    if isinstance(value, np.ndarray) and value.size != 1:
                        lengths.setdefault(value.size, element.id)
        if len(lengths) > 1:
            raise NetworkError("parameter arrays of different lengths", elements=lengths.values())
        return next(iter(lengths), 1)

    def _list_ports(self) -> Iterable[Port]:
        """Storage first (batteries, capacitors, alternators), then what answers at once, amplifiers last."""
        yield from (Port(battery.id, battery.p, battery.n) for battery in self.of(Battery))
        yield from (Port(bank.id, bank.p, bank.n) for bank in self.of(Capacitor))
        yield from (Port(machine.id, machine.p, machine.n) for machine in self.of(Alternator))
        for switch in self.of(Switch):
            yield Port(switch.id, switch.a, switch.b)
        for diode in self.of(Diode):
            yield Port(diode.id, diode.a, diode.b)
        for switch in self.of(Switch):
            if isinstance(switch.control, VoltageSensing):
                yield Port(f"{switch.id}.sense", switch.control.sense_p, switch.control.sense_n)
        for converter in self.of(Converter):
            yield Port(f"{converter.id}.in", converter.in_p, converter.n)
            yield Port(f"{converter.id}.out", converter.out_p, converter.n)
        yield from (Port(load.id, load.p, load.n) for load in self.of(Load))
        yield from (Port(amp.id, amp.p, amp.n) for amp in self.of(Amplifier))

    def _check_nodes(self) -> tuple[str, ...]:
        """Names of the nodes without ground, once every one of them is known to reach it."""
        joins = [(r.a, r.b, r.id) for r in self.of(Resistor)]
        joins += [(p.p, p.n, p.id) for p in self.ports if not p.id.endswith(".sense")]
        neighbours: dict[str, list[tuple[str, str]]] = {}
        for a, b, name in joins:
            neighbours.setdefault(a, []).append((b, name))
            neighbours.setdefault(b, []).append((a, name))
        if self.ground not in neighbours:
            raise NetworkError(f"nothing is connected to the ground node {self.ground}", nodes=[self.ground])
        reached, frontier = {self.ground}, [self.ground]
        while frontier:
            for other, _ in neighbours[frontier.pop()]:
                if other not in reached:
                    reached.add(other)
                    frontier.append(other)
        lost = [node for node in neighbours if node not in reached]
        sensed = [n for p in self.ports if p.id.endswith(".sense") for n in (p.p, p.n) if n not in neighbours]
        if lost or sensed:
            names = sorted({name for node in lost for _, name in neighbours[node]})
            raise NetworkError(
                f"not connected to ground: {', '.join(lost + sensed)}", nodes=lost + sensed, elements=names
            )
        return tuple(node for node in neighbours if node != self.ground)


@dataclass(frozen=True, slots=True)
class Folded:
    """The resistors of a network folded between its ports, for B samples."""

    z: Array  # (B, p, p) ohm, port voltages are -z j
    node_map: Array  # (B, nodes, p) ohm, node voltages are -node_map j
    branch_map: Array  # (B, resistors, p), currents from a to b are -branch_map j
    g0: Array  # (B, p) S, reference conductance of each port


def fold(network: Network, g0: Array) -> Folded:
    """Fold the resistors of ``network`` between its ports, with reference conductances ``g0`` (B, p).

    Raises:
        NetworkError: the network is singular (a node hangs on sources of current only).
    """
    samples, nodes, ports = len(g0), network.nodes, network.ports
    position = {node: i for i, node in enumerate(nodes)}

    def incidence(pairs: Sequence[tuple[str, str]]) -> Array:
        matrix = np.zeros((len(nodes), len(pairs)))
        for column, (plus, minus) in enumerate(pairs):
            if plus in position:
                matrix[position[plus], column] += 1.0
            if minus in position:
                matrix[position[minus], column] -= 1.0
        return matrix

    resistors = network.of(Resistor)
    at_port = incidence([(port.p, port.n) for port in ports])
    at_resistor = incidence([(r.a, r.b) for r in resistors])
    siemens = np.zeros((samples, len(resistors)))
    for column, resistor in enumerate(resistors):
        siemens[:, column] = 1.0 / np.maximum(resistor.ohms, LEAST_OHMS)
    matrix = (at_resistor * siemens[:, None, :]) @ at_resistor.T + (at_port * g0[:, None, :]) @ at_port.T
    if not np.all(np.linalg.cond(matrix) < LARGEST_CONDITION):
        raise NetworkError("the network is singular: a node hangs on current sources only", nodes=nodes)
    node_map: Array = np.linalg.inv(matrix) @ at_port
    branch_map = siemens[:, :, None] * (at_resistor.T @ node_map)
    return Folded(at_port.T @ node_map, node_map, branch_map, g0.copy())


def fast_ohms(battery: Battery, samples: int) -> Array:
    """Resistance a battery shows to fast changes, shape (B,) in ohm: r0, with r1 where nothing lags it."""
    instant = np.where(spread(battery.c1, samples) > 0.0, 0.0, spread(battery.r1, samples))
    return np.maximum(spread(battery.r0, samples) + instant, LEAST_OHMS)


def reference_conductance(network: Network) -> Array:
    """g0 of every port, shape (B, p) in S; see the module docstring."""
    samples = network.samples
    columns = [1.0 / fast_ohms(battery, samples) for battery in network.of(Battery)]
    columns += [1.0 / np.maximum(spread(c.esr, samples), LEAST_OHMS) for c in network.of(Capacitor)]
    columns += [np.zeros(samples) for _ in network.of(Alternator)]
    sensing = {port.id for port in network.ports if port.id.endswith(".sense")}
    for port in network.ports[len(columns) :]:
        columns.append(np.full(samples, 0.0 if port.id in sensing else REFERENCE_S))
    return np.stack(columns, axis=-1)
