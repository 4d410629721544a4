"""Prospective short-circuit currents: three sets of resistances, every location, every fuse.

Battery systems add their sources by superposition (method authority: IEC 61660-1, scope read). The largest currents,
for breaking capacity, take every source charged and every resistance low; the smallest, for clearing, take the weakest
battery alone, aged and low, with hot cables.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import exp, hypot, log
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.protection.cranking import connected_cranking
from dossier.buildfile.model import Build
from dossier.electrical import batteries as law
from dossier.electrical import conductors
from dossier.electrical.fuses import table_breaking
from dossier.electrical.prospective import CurrentSource, VoltageSource, faulted
from dossier.equipment.conductors import WARM_RISE, Conductor
from dossier.equipment.feeding import joined, most_output
from dossier.equipment.installed import Installed, Running, home
from dossier.equipment.storage import StorageBattery
from dossier.equipment.value import Value
from dossier.frozen import dataclass
from dossier.reader.promised import load_a
from dossier.reference.batteries import LEAD_ACID
from dossier.reference.defaults import DEFAULTS
from dossier.results.protection import PlaceFault, Share

LEAK: Final = 1e-6  # S from every node: keeps parts that an open coupling leaves alone defined; 15 uA
FAULT: Final = 1e-5  # ohm, a bolted fault
HOTTEST_CABLE: Final = 105.0  # degC of a cable in the smallest current where its rating is not stated

Edge = tuple[str, int, int, float]
AnySource = VoltageSource | CurrentSource


@dataclass(frozen=True, slots=True)
class FaultNet:
    """The network under one set of assumptions.

    Attributes:
        nodes: location -> number of its positive node; its negative is the next.
        returns: location -> node that a fault there goes to: its negative, or the body where it has none of its own.
        edges: by path (path, node, node, ohm) of every conductor and closed coupling.
        sources: every source.
        matrix: conductances of all edges and the leaks [S].
    """

    nodes: Mapping[str, int]
    returns: Mapping[str, int]
    edges: Mapping[str, Edge]
    sources: tuple[AnySource, ...]
    matrix: NDArray[np.float64]

    def edge(self, path: str) -> Edge:
        """One branch by its path."""
        return self.edges[path]

    def without(self, path: str, share: float) -> NDArray[np.float64]:
        """Conductances with a share of one branch taken away [S]."""
        _, a, b, ohms = self.edge(path)
        matrix = self.matrix.copy()
        for i, j in ((a, b), (b, a)):
            matrix[i, i] -= share / ohms
            matrix[i, j] += share / ohms
        return matrix

    def fault(self, location: str, matrix: NDArray[np.float64], sources: Sequence[AnySource]) -> NDArray[np.float64]:
        """Node voltages with a fault at a location, one column per source."""
        return faulted(matrix, sources, self.nodes[location], self.returns[location], FAULT)

    def fault_shares(
        self, location: str, matrix: NDArray[np.float64], sources: Sequence[AnySource]
    ) -> NDArray[np.float64]:
        """Current of a fault at a location from every source [A]."""
        volts = self.fault(location, matrix, sources)
        shares: NDArray[np.float64] = (volts[self.nodes[location]] - volts[self.returns[location]]) / FAULT
        return shares


@dataclass(frozen=True, slots=True)
class FaultNets:
    """The three sets."""

    most: FaultNet
    likely: FaultNet
    least: FaultNet

    @property
    def highest(self) -> float:
        """The highest voltage behind any source of the largest currents [V]."""
        return max((s.emf for s in self.most.sources if isinstance(s, VoltageSource)), default=0.0)


def fault_nets(build: Build, fit: Installed, states: Mapping[str, Running]) -> FaultNets:
    """Networks for the largest, the likely and the smallest fault currents."""
    nodes = {id_: 2 * k for k, id_ in enumerate(build.locations)}
    charging = {id_: _charging(build, states, id_) for id_ in build.locations}
    made = []
    for kind in ("most", "likely", "least"):
        edges = [_edge(c, nodes, kind) for c in fit.conductors.values()]
        edges += [
            (f"couplings.{j.id}", nodes[j.coupling.start], nodes[j.coupling.end], _end(j.resistance, kind))
            for j in fit.couplings.values()
        ]
        matrix = np.eye(2 * len(nodes)) * LEAK
        for _, a, b, ohms in edges:
            matrix[a, a] += 1.0 / ohms
            matrix[b, b] += 1.0 / ohms
            matrix[a, b] -= 1.0 / ohms
            matrix[b, a] -= 1.0 / ohms
        sources = _sources(build, fit, nodes, charging, kind)
        made.append(FaultNet(nodes, _returns(build, nodes), {edge[0]: edge for edge in edges}, sources, matrix))
    return FaultNets(*made)


def _returns(build: Build, nodes: Mapping[str, int]) -> dict[str, int]:
    own = {place for c in build.cables.values() if c.role == "return" for place in (c.start, c.end)}
    own |= {thing.at for things in (build.batteries, build.capacitor_banks) for thing in things.values()}
    common = {s.input_from: s.at for s in build.supplies.values() if s.kind == "dc_dc"}
    body = home(build)
    return {id_: nodes[id_ if id_ in own else common.get(id_, body)] + 1 for id_ in nodes}


def with_conductor(nets: FaultNets, conductor: Conductor) -> FaultNets:
    """The same networks with one conductor changed."""
    return FaultNets(
        *(
            _changed(net, conductor, kind)
            for net, kind in ((nets.most, "most"), (nets.likely, "likely"), (nets.least, "least"))
        )
    )


def _changed(net: FaultNet, conductor: Conductor, kind: str) -> FaultNet:
    path = f"cables.{conductor.id}"
    matrix = net.without(path, 1.0)
    new = _edge(conductor, net.nodes, kind)
    _, a, b, ohms = new
    for i, j in ((a, b), (b, a)):
        matrix[i, i] += 1.0 / ohms
        matrix[i, j] -= 1.0 / ohms
    return replace(net, edges={**net.edges, path: new}, matrix=matrix)


def _charging(build: Build, states: Mapping[str, Running], location: str) -> float:
    """Highest charging voltage on the bus of a location [V], 0 without a charger."""
    bus = joined(build, location)
    return max(
        (s.set_point.nominal for run in states.values() for s in run.supplies if s.running and s.at in bus), default=0.0
    )


def _end(value: Value, kind: str) -> float:
    return max({"most": value.low, "likely": value.nominal, "least": value.high}[kind], 1e-7)


def _edge(conductor: Conductor, nodes: Mapping[str, int], kind: str) -> Edge:
    cable = conductor.cable
    shift = 0 if cable.role == "feed" else 1
    ohms = sum(_end(part, kind) for part in conductor.parts if part is not conductor.wire)
    if conductor.wire is not None:
        hot = max(conductor.insulation.nominal, HOTTEST_CABLE) if conductor.insulation else HOTTEST_CABLE
        warm, metal = (
            conductors.temperature_factor(cable.material, t)
            for t in (conductor.ambient.nominal + WARM_RISE, hot if kind == "least" else 20.0)
        )
        ohms += _end(conductor.wire, kind) * metal / warm
    return f"cables.{cable.id}", nodes[cable.start] + shift, nodes[cable.end] + shift, max(ohms, 1e-7)


def source_resistance(battery: StorageBattery, kind: str) -> float:
    """Resistance of a battery in the first moments of a fault, or of a worn one in the smallest fault [ohm].

    The ohmic part of the pulse resistance. For the largest current its low end: the two independent bands, of the pulse
    value and of its ohmic share, added as the root of the squares of their logarithms. The share is assumed, also of
    a battery whose pulse resistance was measured; it stands among the assumptions with its band.
    """
    if kind == "least":
        worn = DEFAULTS["lead.age"].typical if battery.chemistry in LEAD_ACID else 1.0
        return battery.pulse.high * worn + battery.terminals.high
    if kind == "likely":
        return battery.ohmic.nominal + battery.terminals.nominal
    share = battery.ohmic_share
    spread = hypot(log(battery.pulse.nominal / battery.pulse.low), log(share.nominal / share.low))
    return battery.ohmic.nominal * exp(-spread) + battery.terminals.low


def _sources(
    build: Build, fit: Installed, nodes: Mapping[str, int], charging: Mapping[str, float], kind: str
) -> tuple[AnySource, ...]:
    found: list[AnySource] = []
    for b in fit.batteries.values():
        plus = nodes[b.at]
        emf = rested(b, kind, charging[b.at])
        found.append(VoltageSource(f"batteries.{b.id}", plus, plus + 1, emf, source_resistance(b, kind)))
    if kind == "least":
        return tuple(found)
    for bank in fit.banks.values():
        plus = nodes[bank.at]
        volts = charging[bank.at] or build.vehicle.system.si * 1.2
        found.append(VoltageSource(f"capacitor_banks.{bank.id}", plus, plus + 1, volts, _end(bank.esr, kind)))
    for s in build.supplies.values():
        plus = nodes[s.at]
        found.append(CurrentSource(f"supplies.{s.id}", plus, plus + 1, most_output(s)))
    return tuple(found)


def rested(battery: StorageBattery, kind: str, charging: float) -> float:
    """Voltage behind the resistance of a battery when the fault comes [V].

    Smallest: its rested voltage at the low end of its charge. Likely: rested as it stands. Largest: what charges it,
    above which nothing fills it, or its rested voltage as it stands if that is more; full where nothing charges it.
    """
    if kind != "most":
        return battery.open_circuit.low if kind == "least" else battery.open_circuit.nominal
    full = law.open_circuit_voltage(battery.chemistry, 1.0, battery.cells)
    return max(charging or full, battery.open_circuit.high)


def _rests_on(fit: Installed, source: AnySource) -> str:
    """What the largest current of a source rests on, in words."""
    if isinstance(source, CurrentSource):
        return f"limits itself to {load_a(source.current)} A"
    volts, ohms = f"{source.emf:.1f} V", f"{source.resistance * 1e3:.2f} mΩ"
    section, id_ = source.name.split(".")
    if section != "batteries":
        return f"{volts} charged, over {ohms}, the low end of its series resistance"
    battery = fit.batteries[id_]
    told = BASIS_WORDS.get(battery.pulse.basis, battery.pulse.basis)
    full = source.emf > battery.open_circuit.high * 1.001
    state = "charged" if full else "rested, at the high end of its charge"
    share = battery.ohmic_share
    return (
        f"{volts} {state}, over {ohms}: the low end of {battery.pulse.nominal * 1e3:.1f} mΩ {told}, of which "
        f"{100 * share.low:.0f} to {100 * share.high:.0f} % answer at once (not checked against the document)"
    )


BASIS_WORDS: Final = MappingProxyType({"assumed": "estimated from its size", "datasheet": "of the data sheet"})


def place_faults(build: Build, fit: Installed, nets: FaultNets) -> tuple[PlaceFault, ...]:
    """Every location with a positive that something can feed."""
    titles = {
        f"{section}.{id_}": thing.title
        for section, things in (
            ("batteries", build.batteries),
            ("capacitor_banks", build.capacitor_banks),
            ("supplies", build.supplies),
        )
        for id_, thing in things.items()
    }
    found = []
    for id_, location in build.locations.items():
        net = nets.most
        shares = net.fault_shares(id_, net.matrix, net.sources)
        if float(shares.sum()) < 1.0:
            continue
        likely = nets.likely.fault_shares(id_, nets.likely.matrix, nets.likely.sources)
        alone = [
            a
            for s in nets.least.sources
            if (a := float(nets.least.fault_shares(id_, nets.least.matrix, [s])[0])) > 1.0
        ]
        found.append(
            PlaceFault(
                id_,
                location.title,
                float(shares.sum()),
                float(likely.sum()),
                min(alone, default=None),
                tuple(
                    Share(s.name, titles[s.name], float(a), _rests_on(fit, s))
                    for s, a in zip(net.sources, shares, strict=True)
                    if a > 0.5
                ),
                *_by_table(build, id_),
            )
        )
    return tuple(found)


def _by_table(build: Build, location: str) -> tuple[float | None, float | None, float | None]:
    cranking = connected_cranking(build, location)
    return (None, None, None) if cranking is None else (cranking, *table_breaking(cranking))


@dataclass(frozen=True, slots=True)
class FuseFault:
    """Fault currents of one fuse [A]: what it must interrupt, and the smallest it must notice (None: no battery)."""

    most: float
    likely: float
    least: float | None


def fuse_fault(nets: FaultNets, conductor: Conductor, near: str, *, shared: bool) -> FuseFault:
    """Fault currents through one fuse.

    Largest: a fault just behind the fuse, fed by everything but the conductor it protects; the other runs of a parallel
    cable do feed it. Smallest: a fault at the far end of the conductor, fed by one battery, the runs sharing it.
    """
    path, runs = f"cables.{conductor.id}", conductor.cable.runs
    cut = 1.0 if shared or runs == 1 else 1.0 / runs
    largest = [
        float(net.fault_shares(near, net.without(path, cut), net.sources).sum()) for net in (nets.most, nets.likely)
    ]
    far = conductor.cable.end if conductor.cable.start == near else conductor.cable.start
    net = nets.least
    _, a, b, ohms = net.edge(path)
    currents = []
    for source in net.sources:
        volts = net.fault(far, net.matrix, [source])[:, 0]
        through = float(volts[a] - volts[b]) / ohms
        towards = through if conductor.cable.end == far else -through
        if towards > 1.0:
            currents.append(towards / (1 if shared else runs))
    return FuseFault(largest[0], largest[1], min(currents, default=None))
