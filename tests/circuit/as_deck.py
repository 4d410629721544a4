"""Writes any network and programme of ours as a deck for ngspice; only the element equations are shared with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from dossier.circuit import elements as el
from dossier.circuit.direct_law import KNEE_V, LEAST_INPUT_V, OPEN_S, STOP_BAND_V
from dossier.circuit.network import Network
from dossier.circuit.programme import Programme
from dossier.circuit.running import Running
from dossier.circuit.settings import Settings
from dossier.circuit.settle import Initial
from dossier.circuit.trace import Transient

POINTS_PER_CYCLE = 40
ENVELOPE_STEP_S = 5e-4  # s, largest step without ripple; with 2 ms ngspice itself errs by 11 mV on a steep note
OPTIONS = ".options reltol=1e-5 abstol=1e-4 chgtol=1e-5 vntol=1e-7 trtol=1 method=gear"  # see tests/circuit/data


def number(value: el.Values | None) -> float:
    """The one value of a parameter."""
    assert value is not None
    return float(np.ravel(np.asarray(value))[0])


def settled(network: Network, programme: Programme) -> dict[str, dict[str, el.Values]]:
    """Initial states in which our own settling leaves the network; both programs start from them."""
    y = Running(network, programme, Settings(), None).now.y[0]
    batteries, banks, machines = network.of(el.Battery), network.of(el.Capacitor), network.of(el.Alternator)
    e = len(batteries) + len(banks)
    states: dict[str, dict[str, el.Values]] = {}
    for k, battery in enumerate(batteries):
        states[battery.id] = {"de": y[k], "v1": y[e + k], "vs": y[2 * e + k]}
    for k, bank in enumerate(banks, start=len(batteries)):
        states[bank.id] = {"v": y[k]}
    for k, machine in enumerate(machines):
        states[machine.id] = {"x": y[3 * e + k]}
    return states


class Deck:
    """A deck of what was played; ``nodes`` are the names of our nodes in it."""

    def __init__(self, programme: Programme, initial: Initial, ours: Transient, *, ripple: bool) -> None:
        network = ours.network
        self.nodes = {node: f"n{k}" for k, node in enumerate(network.nodes)} | {network.ground: "0"}
        self.initial = initial
        hertz = programme.ripple_hz if ripple else None
        self.wave = "0" if hertz is None else f"cos({2.0 * np.pi * hertz:.12g}*time)"
        step = ENVELOPE_STEP_S if hertz is None else 1.0 / (POINTS_PER_CYCLE * hertz)
        vertices = " ".join(f"{t:.9g} {x:.9g}" for t, x in zip(programme.times, programme.levels, strict=True))
        lines = ["* a network of the program", f"Vlev lev 0 PWL({vertices})"]
        self.names = {part.id: f"e{k}" for k, part in enumerate(network.elements)}
        for part in network.elements:
            lines += self._lines(self.names[part.id], part)
        end = f"{programme.times[-1]:.9g}"
        # from 0 V everywhere ngspice does not find the first instant of every network
        guess = (f"v({self.nodes[node]})={ours.node_voltage(node).mean[0, 0]:.6g}" for node in network.nodes)
        lines.append(f".ic {' '.join(guess)}")
        self.text = "\n".join([*lines, OPTIONS, f".tran {step:.9g} {end} 0 {step:.9g} uic", ".end", ""])

    def across(self, waves: Mapping[str, np.ndarray], p: str, n: str) -> np.ndarray:
        """Voltage from node p to node n in ngspice's waveforms."""
        zero = np.zeros(len(waves["time"]))
        first, second = (zero if self.nodes[x] == "0" else waves[f"v({self.nodes[x]})"] for x in (p, n))
        return first - second

    def drawn(self, waves: Mapping[str, np.ndarray], part: el.Element) -> np.ndarray:
        """Current of an amplifier in ngspice's waveforms, through the source of no volts that stands in its way."""
        return waves[f"i(v{self.names[part.id]}m)"]

    def _v(self, p: str, n: str) -> str:
        return f"V({self.nodes[p]},{self.nodes[n]})"

    def _lines(self, name: str, part: el.Element) -> Iterator[str]:
        if isinstance(part, el.Resistor):
            yield f"R{name} {self.nodes[part.a]} {self.nodes[part.b]} {max(number(part.ohms), el.LEAST_OHMS):.12g}"
        elif isinstance(part, el.Switch):
            assert isinstance(part.control, el.Fixed), "a relay that switches is not written"
            ohms = max(number(part.ohms), el.LEAST_OHMS) if part.control.closed else 1.0 / OPEN_S
            yield f"R{name} {self.nodes[part.a]} {self.nodes[part.b]} {ohms:.12g}"
        elif isinstance(part, el.Diode):
            over = f"({self._v(part.a, part.b)}-{number(part.drop):.9g})"
            siemens = 1.0 / max(number(part.ohms), el.LEAST_OHMS)
            law = f"({over}+sqrt({over}*{over}+{KNEE_V**2:.9g}))*{0.5 * siemens:.9g}+{OPEN_S}*{self._v(part.a, part.b)}"
            yield f"B{name} {self.nodes[part.a]} {self.nodes[part.b]} I = {law}"
        elif isinstance(part, el.Battery):
            yield from self._battery(name, part)
        elif isinstance(part, el.Capacitor):
            yield f"R{name} {self.nodes[part.p]} {name}c {max(number(part.esr), 1e-6):.12g}"
            yield f"C{name} {name}c {self.nodes[part.n]} {number(part.farads):.12g} ic={self._state(part, 'v'):.12g}"
        elif isinstance(part, el.Alternator):
            asked = f"({number(part.vset):.9g}-{self._v(part.p, part.n)})/{max(number(part.rd), 1e-6):.9g}"
            rise = f"min(max({asked},0),{number(part.imax):.9g})-V({name}x)"
            if part.ramp is not None and np.isfinite(number(part.ramp)):
                rise = f"min({rise},{number(part.ramp) * number(part.tau):.9g})"
            yield f"C{name} {name}x 0 {number(part.tau):.9g} ic={self._state(part, 'x'):.12g}"
            yield f"B{name}r 0 {name}x I = {rise}"
            yield f"B{name} {self.nodes[part.n]} {self.nodes[part.p]} I = V({name}x)"
        elif isinstance(part, el.Converter):
            yield from self._converter(name, part)
        elif isinstance(part, el.Load):
            level = "V(lev)" if part.follows_programme else "1"
            held = f"max({self._v(part.p, part.n)},{number(part.v_low):.9g})"
            watts = f"{number(part.watts):.9g}*{level}*pow({held}/{number(part.vref):.9g},{number(part.alpha):.9g})"
            yield from self._power(name, part.p, part.n, watts, held)
        else:
            yield from self._amplifier(name, part)

    def _state(self, part: el.Element, name: str) -> float:
        return number(self.initial.get(part.id, {}).get(name, 0.0))

    def _power(self, name: str, p: str, n: str, watts: str, held: str) -> Iterator[str]:
        """Draws ``watts`` at the voltage ``held``, through a meter; below it a fixed resistance."""
        yield f"V{name}m {self.nodes[p]} {name}m 0"
        yield f"B{name} {name}m {self.nodes[n]} I = ({watts})*{self._v(p, n)}/({held}*{held})"

    def _battery(self, name: str, b: el.Battery) -> Iterator[str]:
        yield f"V{name} {name}a {self.nodes[b.n]} {number(b.e0):.12g}"
        if np.isfinite(number(b.c_bulk)):
            yield f"C{name}b {name}b {name}a {number(b.c_bulk):.12g} ic={self._state(b, 'de'):.12g}"
        else:
            yield f"V{name}b {name}b {name}a {self._state(b, 'de'):.12g}"
        after, r0 = f"{name}b", number(b.r0)
        if number(b.r1) > 0.0 and number(b.c1) > 0.0:
            yield f"R{name}1 {after} {name}c {number(b.r1):.12g}"
            yield f"C{name}1 {after} {name}c {number(b.c1):.12g} ic={self._state(b, 'v1'):.12g}"
            after = f"{name}c"
        else:
            r0 += number(b.r1)
        if number(b.rs_chg) > 0.0 and number(b.cs) > 0.0:
            over = f"V({after},{name}d)"
            law = f"{over} > 0 ? {over}/{number(b.rs_dis):.12g} : {over}/{number(b.rs_chg):.12g}"
            yield f"B{name}s {after} {name}d I = {law}"
            yield f"C{name}s {after} {name}d {number(b.cs):.12g} ic={self._state(b, 'vs'):.12g}"
            after = f"{name}d"
        yield f"R{name}0 {after} {self.nodes[b.p]} {max(r0, 1e-6):.12g}"

    def _converter(self, name: str, c: el.Converter) -> Iterator[str]:
        v_in, v_out = self._v(c.in_p, c.n), self._v(c.out_p, c.n)
        most = f"min(max(({number(c.vset):.9g}-{v_out})/{max(number(c.rd), el.LEAST_OHMS):.9g},0),{number(c.imax):.9g})"
        share = f"min(max(({v_in}-{number(c.min_input):.9g})/{STOP_BAND_V},0),1)"
        yield f"B{name}o {self.nodes[c.n]} {self.nodes[c.out_p]} I = {share}*{most}"
        drawn = f"{v_out}*{share}*{most}/({number(c.efficiency):.9g}*max({v_in},{LEAST_INPUT_V}))"
        yield f"B{name}i {self.nodes[c.in_p]} {self.nodes[c.n]} I = {drawn}"

    def _amplifier(self, name: str, a: el.Amplifier) -> Iterator[str]:
        held = f"max({self._v(a.p, a.n)},{number(a.v_low):.9g})"
        drive = 2.0 if a.clipped else 1.0
        allowed = f"{number(a.rated_w):.9g}*pow({held}/{number(a.vref):.9g},{number(a.exponent):.9g})"
        out = f"min({drive * number(a.ask_w):.9g}*V(lev),{drive:g}*{allowed})"
        share = number(a.root_share)
        out = f"({share:.9g}*sqrt(max({out},0)*{allowed})+{1.0 - share:.9g}*{out})"
        swing = f"(1-{number(a.ripple_fraction):.9g}*{self.wave})"
        watts = f"{out}/{number(a.efficiency):.9g}*{swing}+{number(a.idle_w):.9g}"
        yield from self._power(name, a.p, a.n, watts, held)
