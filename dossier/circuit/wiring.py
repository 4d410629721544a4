"""From what is fitted to a network: two nodes at every location, one element per device and conductor."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from dossier.buildfile.model import Build, LoadCase
from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.sampler import InputSampler
from dossier.equipment.charging import ChargingSource
from dossier.equipment.conductors import Conductor, InstalledCoupling
from dossier.equipment.installed import Installed, Running, home
from dossier.equipment.storage import Bank, StorageBattery
from dossier.frozen import dataclass

# Current of a vehicle's own loads rises by about 10 % from 12.2 to 14.5 V (NREL load library): i ~ v^0.55.
BASE_EXPONENT = 1.55  # of their power
GUARD_SHARE = 6.0 / 13.5  # of the base load's reference voltage, below which it goes on as a resistance
NEVER = 1e8  # A; stands for a management limit that is not there
LEAST_HYSTERESIS = 0.1  # V between shut-down and restart in every sample; without it an amplifier would chatter


@dataclass(frozen=True, slots=True)
class Wired:
    """A network with the way back from its ids to the build's.

    Attributes:
        network: the elements.
        conductors: cable id -> (node, node, ohms) with current counted from the first to the second; like the sources,
            without those that an open contact cuts off.
        sources: element id -> (title, kind); amplifiers: the ids of the amplifiers, which are element ids too.
        nodes: location id -> its (positive, negative) nodes, as far as anything is connected there.
    """

    network: Network
    conductors: Mapping[str, tuple[str, str, el.Values]]
    sources: Mapping[str, tuple[str, str]]
    amplifiers: tuple[str, ...]
    nodes: Mapping[str, tuple[str, str]]


def positive(location: str) -> str:
    """Name of a location's positive node."""
    return f"{location}+"


def negative(location: str) -> str:
    """Name of a location's negative node."""
    return f"{location}-"


def wire(build: Build, fit: Installed, run: Running, case: LoadCase | None, draw: InputSampler) -> Wired:
    """The network of a build in one engine state.

    Args:
        build: the build.
        fit: its devices with their numbers.
        run: its supplies and base load in the engine state.
        case: what is played (which amplifiers, how loud, clean or clipped); None = nothing.
        draw: takes each input to its number or samples.

    Raises:
        NetworkError: a part of the network cannot reach ground; the reader refuses such a build before.
    """
    parts: list[el.Element] = []
    conductors: dict[str, tuple[str, str, el.Values]] = {}
    sources: dict[str, tuple[str, str]] = {}
    for conductor in fit.conductors.values():
        element = _conductor(conductor, draw)
        parts.append(element)
        conductors[conductor.id] = (element.a, element.b, element.ohms)
    for battery in fit.batteries.values():
        parts.append(_battery(battery, draw))
        sources[f"batteries.{battery.id}"] = (battery.title, "battery")
    for bank in fit.banks.values():
        parts.append(_bank(bank, draw))
        sources[f"capacitor_banks.{bank.id}"] = (bank.title, "capacitor bank")
    for supply in run.supplies:
        if supply.running and supply.limit.nominal > 0.0:
            parts.append(_supply(supply, draw))
            sources[f"supplies.{supply.id}"] = (supply.title, supply.kind)
    base = run.base
    parts.append(
        el.Load(
            "vehicle.base_load",
            positive(base.at),
            negative(base.at),
            watts=_times(draw(base.amperes), base.volts),
            vref=base.volts,
            alpha=BASE_EXPONENT,
            v_low=GUARD_SHARE * base.volts,
        )
    )
    parts += [_amplifier(fit, id_, case, draw) for id_ in fit.amplifiers]
    ground = negative(home(build))
    known = {node for part in parts for node in _nodes(part)}
    # a relay senses against its own negative; where it has none, against the starter battery's
    parts += [
        _coupling(j, run, draw, ground if negative(j.coupling.start) not in known else "")
        for j in fit.couplings.values()
    ]
    joined = tuple(_connected(parts, ground))
    here, used = {part.id for part in joined}, {node for part in joined for node in _nodes(part)}
    return Wired(
        network=Network(joined, ground=ground),
        conductors={id_: ends for id_, ends in conductors.items() if f"cables.{id_}" in here},
        sources={id_: words for id_, words in sources.items() if id_ in here},
        amplifiers=tuple(f"amplifiers.{id_}" for id_ in fit.amplifiers),
        nodes={
            id_: (positive(id_), negative(id_))
            for id_ in build.locations
            if positive(id_) in used and negative(id_) in used
        },
    )


def _times(a: el.Values, b: el.Values) -> el.Values:
    return np.multiply(a, b) if isinstance(a, np.ndarray) or isinstance(b, np.ndarray) else a * b


def _nodes(part: el.Element) -> tuple[str, ...]:
    if isinstance(part, (el.Resistor, el.Switch, el.Diode)):
        return (part.a, part.b)
    if isinstance(part, el.Converter):
        return (part.in_p, part.out_p, part.n)
    return (part.p, part.n)


def _connected(parts: list[el.Element], ground: str) -> list[el.Element]:
    """The elements that can reach ground; what hangs on an open switch alone is not part of this run.

    An alternator holds no voltage by itself: what it alone would join is not joined.
    """
    reached = {ground}
    kept: set[str] = set()
    machines = [p for p in parts if isinstance(p, el.Alternator)]
    others = [p for p in parts if not isinstance(p, el.Alternator)]
    while True:
        now = [p for p in others if p.id not in kept and not _is_open(p) and reached.intersection(_nodes(p))]
        if not now:
            kept.update(p.id for p in machines if reached.issuperset(_nodes(p)))
            return [p for p in parts if p.id in kept]
        for part in now:
            reached.update(_nodes(part))
            kept.add(part.id)


def _is_open(part: el.Element) -> bool:
    return isinstance(part, el.Switch) and isinstance(part.control, el.Fixed) and not part.control.closed


def _conductor(conductor: Conductor, draw: InputSampler) -> el.Resistor:
    node = positive if conductor.cable.role == "feed" else negative
    ohms: el.Values = 0.0
    for part in conductor.parts:
        ohms = ohms + draw(part)
    return el.Resistor(f"cables.{conductor.id}", node(conductor.cable.start), node(conductor.cable.end), ohms)


def _coupling(joining: InstalledCoupling, run: Running, draw: InputSampler, ground: str) -> el.Switch | el.Diode:
    c = joining.coupling
    id_, a, b = f"couplings.{c.id}", positive(c.start), positive(c.end)
    if c.kind == "diode_isolator":
        assert joining.forward_drop is not None  # set for every diode isolator
        return el.Diode(id_, a, b, draw(joining.forward_drop), draw(joining.resistance))
    ohms = draw(joining.resistance)
    if c.kind == "voltage_sensing_relay":
        assert joining.closes is not None  # set for every voltage-sensing relay
        assert joining.opens is not None
        assert joining.delay is not None
        charging = [s.set_point.nominal for s in run.supplies if s.running and s.kind != "dc_dc"]
        control: el.Fixed | el.VoltageSensing = el.VoltageSensing(
            a,
            ground or negative(c.start),
            draw(joining.closes),
            draw(joining.opens),
            draw(joining.delay),
            initially_closed=max(charging, default=0.0) >= joining.closes.nominal,
        )
    elif c.kind == "ignition_relay":
        control = el.Fixed(run.engine.state != "stopped")
    else:
        control = el.Fixed(c.closed)
    return el.Switch(id_, a, b, ohms, control)


def _battery(b: StorageBattery, draw: InputSampler) -> el.Battery:
    warmth = draw(b.resistance_ratio)
    slow, tau = _times(draw(b.slow), warmth), draw(b.slow_tau)
    trip = None
    if b.trip is not None:
        t = b.trip
        trip = el.Trip(draw(t.continuous), draw(t.peak), draw(t.peak_time), draw(t.low_voltage))
    surface = b.surface is not None and b.charging is not None
    quick = _times(draw(b.quick), warmth)
    ohmic = _times(draw(b.ohmic), warmth) + draw(b.terminals)
    return el.Battery(
        f"batteries.{b.id}",
        positive(b.at),
        negative(b.at),
        e0=draw(b.open_circuit),
        r0=ohmic if surface else ohmic + quick,
        r1=slow,
        c1=tau / slow,
        rs_dis=quick if surface else 0.0,
        rs_chg=_times(draw(b.charging), warmth) if b.charging is not None else 0.0,
        cs=draw(b.surface) if b.surface is not None else 0.0,
        c_bulk=draw(b.in_place.bulk),
        trip=trip,
    )


def _bank(b: Bank, draw: InputSampler) -> el.Capacitor:
    return el.Capacitor(
        f"capacitor_banks.{b.id}", positive(b.at), negative(b.at), farads=draw(b.capacitance), esr=draw(b.esr)
    )


def _supply(s: ChargingSource, draw: InputSampler) -> el.Alternator | el.Converter:
    id_ = f"supplies.{s.id}"
    if s.kind == "dc_dc":
        assert s.minimum_input is not None  # set for every converter
        return el.Converter(
            id_,
            positive(s.input_from),
            positive(s.at),
            negative(s.at),
            vset=draw(s.set_point),
            rd=draw(s.slope),
            imax=draw(s.limit),
            efficiency=draw(s.efficiency),
            min_input=draw(s.minimum_input),
        )
    return el.Alternator(
        id_,
        positive(s.at),
        negative(s.at),
        vset=draw(s.set_point),
        rd=draw(s.slope),
        imax=draw(s.limit),
        tau=draw(s.tau),
        ramp=None if s.rise is None else draw(s.rise),
    )


def _amplifier(fit: Installed, id_: str, case: LoadCase | None, draw: InputSampler) -> el.Amplifier:
    a = fit.amplifiers[id_]
    plays = case is not None and (not case.amplifiers or id_ in case.amplifiers)
    level = 1.0 if case is None or case.level is None else case.level.si
    rated = a.rated_output(draw)
    shutdown = draw(a.shutdown)
    return el.Amplifier(
        f"amplifiers.{id_}",
        positive(a.at),
        negative(a.at),
        rated_w=rated,
        vref=draw(a.rated_at),
        exponent=draw(a.exponent),
        ask_w=_times(rated, level if plays else 0.0),
        efficiency=draw(a.efficiency),
        idle_w=draw(a.idle),
        v_low=draw(a.lowest),
        v_cut=shutdown,
        v_restart=np.maximum(draw(a.restart), np.add(shutdown, LEAST_HYSTERESIS)),
        restart_delay=draw(a.restart_delay),
        ripple_fraction=draw(a.ripple),
        root_share=a.root_share(draw),
        clipped=case is not None and case.drive == "clipped",
    )
