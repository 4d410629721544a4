"""An independent integrator: scipy's Radau on the YAML's own equations, nodal and unreduced. Only for tests.

It shares no code with the solver under test: it reads the YAML itself, solves the nodal equations by scipy's hybrid
Powell method at every evaluation, and leaves time stepping and error control to ``solve_ivp``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Solution:
    """Times, and voltages of every node and across every element with two nodes."""

    t: Array
    nodes: dict[str, Array]
    across: dict[str, Array]


class Circuit:
    """The equations of one YAML circuit. States: per battery de, v1, vs; per capacitor v; per alternator x."""

    def __init__(self, spec: dict[str, Any], level: Callable[[float], float], ripple_hz: float | None = None) -> None:
        self.parts = spec["elements"]
        self.level = level
        self.ripple_hz = ripple_hz
        played = next(iter(spec["programmes"].values()))
        self.k = played.get("ripple_fraction", 0.0) if ripple_hz else 0.0
        names = {p[end] for p in self.parts for end in ("p", "n")} - {spec["ground"]}
        self.at = {name: i for i, name in enumerate(sorted(names))}
        self.ground = spec["ground"]
        self.slots: list[tuple[str, str]] = []
        self.start: list[float] = []
        for p in self.parts:
            if p["type"] == "battery":
                keys = [("q", 0.0), ("v1", p.get("v1_0", 0.0)), ("vs", p.get("vs_0", 0.0))]
            elif p["type"] == "cap":
                keys = [("v", p["v0"])]
            elif p["type"] == "alternator":
                keys = [("x", p["x0"])]
            else:
                keys = []
            self.slots += [(p["id"], key) for key, _ in keys]
            self.start += [value for _, value in keys]
        self.last = np.full(len(self.at), 12.5)
        self.off: set[str] = set()  # amplifiers switched off

    def volts(self, x: Array, p: dict[str, Any]) -> float:
        """Voltage across a part."""
        plus = x[self.at[p["p"]]] if p["p"] != self.ground else 0.0
        return float(plus - (x[self.at[p["n"]]] if p["n"] != self.ground else 0.0))

    def current(self, t: float, p: dict[str, Any], v: float, s: dict[tuple[str, str], float]) -> float:
        """Current through a part from p to n."""
        kind, name = p["type"], p["id"]
        if kind == "resistor":
            return v / float(p["r"])
        if kind == "battery":
            emf = p["e0"] + s[name, "q"] - s[name, "v1"] - s[name, "vs"]
            return float((v - emf) / float(p["r0"]))
        if kind == "cap":
            return float((v - s[name, "v"]) / float(p["esr"]))
        if kind == "alternator":
            return -s[name, "x"]
        if name in self.off:
            return 0.0
        loud = 1.0
        if "programme" in p:
            loud = self.level(t)
            if self.ripple_hz:
                loud *= 1.0 - self.k * np.cos(2.0 * np.pi * self.ripple_hz * t)
        power = (p["p_out"] * loud / p["eta"] + p["p_idle"]) * (max(v, p["v_low"]) / p["vref"]) ** p["alpha"]
        return float(power / v if v > p["v_low"] else power * v / p["v_low"] ** 2)

    def nodes(self, t: float, y: Array) -> Array:
        """Node voltages for given states."""
        s = dict(zip(self.slots, y, strict=True))

        def kirchhoff(x: Array) -> Array:
            total = np.zeros(len(self.at))
            for p in self.parts:
                i = self.current(t, p, self.volts(x, p), s)
                for end, sign in (("p", 1.0), ("n", -1.0)):
                    if p[end] != self.ground:
                        total[self.at[p[end]]] += sign * i
            return total

        found, _, flag, message = fsolve(kirchhoff, self.last, xtol=1e-13, full_output=True)
        if flag != 1 and np.abs(kirchhoff(found)).max() > 1e-6:
            raise RuntimeError(message)
        self.last = np.asarray(found, dtype=np.float64)
        return self.last

    def slope(self, t: float, y: Array) -> Array:
        """Time derivative of the states."""
        x = self.nodes(t, y)
        s = dict(zip(self.slots, y, strict=True))
        out: dict[tuple[str, str], float] = {}
        for p in self.parts:
            kind, name = p["type"], p["id"]
            v = self.volts(x, p)
            if kind == "battery":
                i = -self.current(t, p, v, s)
                out[name, "q"] = -i / p["c_bulk"] if "c_bulk" in p else 0.0
                out[name, "v1"] = (i - s[name, "v1"] / p["r1"]) / p["c1"] if "c1" in p else 0.0
                vs = s[name, "vs"]
                out[name, "vs"] = (i - vs / (p["rs_dis"] if vs > 0.0 else p["rs_chg"])) / p["cs"] if "cs" in p else 0.0
            elif kind == "cap":
                out[name, "v"] = self.current(t, p, v, s) / p["c"]
            elif kind == "alternator":
                wanted = min(max((p["vset"] - v) / p["rd"], 0.0), p["imax"])
                out[name, "x"] = (wanted - s[name, "x"]) / p["tau"]
        return np.array([out[slot] for slot in self.slots])


def integrate(
    spec: dict[str, Any],
    vertices: list[tuple[float, float]],
    at: Array,
    ripple_hz: float | None = None,
    rtol: float = 1e-8,
) -> Solution:
    """Integrate piece by piece between the vertices of the programme, giving voltages at the rising times ``at``."""
    times, levels = np.array([v[0] for v in vertices]), np.array([v[1] for v in vertices])
    circuit = Circuit(spec, lambda t: float(np.interp(t, times, levels)), ripple_hz)
    y = np.array(circuit.start)
    ts: list[float] = [float(at[0])]
    rows = [circuit.nodes(at[0], y)]
    longest = 1.0 / (24.0 * ripple_hz) if ripple_hz else np.inf
    for a, b in pairwise(times):
        stop = min(b, at[-1])
        if a >= stop:
            break
        inside = at[(at > a) & (at <= stop)]
        wanted = inside if len(inside) and inside[-1] == stop else np.append(inside, stop)
        got = solve_ivp(circuit.slope, (a, stop), y, "Radau", t_eval=wanted, rtol=rtol, atol=1e-8, max_step=longest)
        assert got.success, got.message
        for t, state in zip(got.t[: len(inside)], got.y.T, strict=False):
            ts.append(float(t))
            rows.append(circuit.nodes(t, state))
        y = got.y[:, -1]
    x = np.array(rows)
    nodes = {name: x[:, i] for name, i in circuit.at.items()}
    nodes[circuit.ground] = np.zeros(len(x))
    across = {p["id"]: nodes[p["p"]] - nodes[p["n"]] for p in circuit.parts}
    return Solution(np.array(ts), nodes, across)


def shut_downs(spec: dict[str, Any], vertices: list[tuple[float, float]], amplifier: str, count: int) -> list[float]:
    """The first instants at which an amplifier falls to its ``v_cut``, it being off ``t_restart`` s each time.

    Its voltage must jump above ``v_restart`` as soon as it is off, as in the circuit this is for.
    """
    times, levels = np.array([v[0] for v in vertices]), np.array([v[1] for v in vertices])
    circuit = Circuit(spec, lambda t: float(np.interp(t, times, levels)))
    amp = next(p for p in circuit.parts if p["id"] == amplifier)

    def above(t: float, y: Array) -> float:
        return circuit.volts(circuit.nodes(t, y), amp) - float(amp["v_cut"])

    above.terminal = True  # type: ignore[attr-defined]
    found: list[float] = []
    y, t = np.array(circuit.start), float(times[0])
    while len(found) < count:
        circuit.off = set()
        stop = float(times[np.searchsorted(times, t, side="right")])
        got = solve_ivp(circuit.slope, (t, stop), y, "Radau", events=above, rtol=1e-8, atol=1e-8)
        t, y = float(got.t[-1]), got.y[:, -1]
        if got.status == 1:
            found.append(t)
            circuit.off = {amplifier}
            assert circuit.volts(circuit.nodes(t, y), amp) > amp["v_restart"]
            got = solve_ivp(circuit.slope, (t, t + amp["t_restart"]), y, "Radau", rtol=1e-8, atol=1e-8)
            t, y = float(got.t[-1]), got.y[:, -1]
    return found
