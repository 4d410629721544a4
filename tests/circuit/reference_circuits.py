"""The recorded reference circuits: their YAML as our networks and programmes, and ngspice's recorded values."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.programme import Programme, polyline

DATA = Path(__file__).parent / "data"
HUGE_W = 1e9  # rated power of an amplifier whose signal alone limits it
NAMES = {
    "a1": "a1_battery_amp",
    "a2": "a2_battery_amp",
    "a3": "a3_battery_amp",
    "b1": "b1_cap_const_current",
    "b2": "b2_cap_const_power",
    "b3": "b3_cap_const_power_collapse",
    "c": "c_alternator_knee",
    "f1": "f1_engine_off_collapse",
    "f2": "f2_engine_off_cutout",
}


@dataclass(frozen=True)
class Case:
    """A reference circuit, ready to be simulated."""

    name: str
    spec: dict[str, Any]
    network: Network
    programme: Programme
    initial: dict[str, dict[str, el.Values]]


def recorded(name: str) -> dict[str, Any]:
    """What ngspice 39 gave for a circuit, per mode."""
    modes: dict[str, Any] = json.loads((DATA / f"results_{NAMES.get(name, name)}.json").read_text())["modes"]
    return modes


def points(spec: dict[str, Any], t_stop: float) -> list[tuple[float, float]]:
    """Vertices (s, level) of one programme of a YAML file."""
    if spec["kind"] == "const":
        return [(0.0, spec["level"]), (t_stop, spec["level"])]
    if spec["kind"] == "pwl":
        return [(float(t), float(level)) for t, level in spec["points"]]
    if spec["kind"] == "burst":
        found, edge = [(0.0, 0.0)], spec["edge"]
        for k in range(spec["count"]):
            start = spec["start"] + k * (spec["on"] + spec["off"])
            stop = start + spec["on"]
            found += [(start, 0.0), (start + edge, 1.0), (stop, 1.0), (stop + edge, 0.0)]
        return [p for p in found if p[0] < t_stop] + [(t_stop, found[-1][1])]
    with (DATA / spec["file"]).open() as file:
        return [(float(r["t_s"]), float(r["level"])) for r in csv.DictReader(file) if float(r["t_s"]) <= t_stop]


Changes = Mapping[str, Mapping[str, el.Values]]


def load(name: str, changes: Changes | None = None) -> Case:
    """The circuit ``name``; ``changes``: element id -> fields of our element to replace."""
    spec = yaml.safe_load((DATA / f"{NAMES.get(name, name)}.yaml").read_text())
    played = next(iter(spec["programmes"].values()))
    parts: list[el.Element] = []
    initial: dict[str, dict[str, el.Values]] = {}
    for raw in spec["elements"]:
        part, state = element(raw, played.get("ripple_fraction", 0.0))
        for field, value in (changes or {}).get(raw["id"], {}).items():
            part = type(part)(**{**{f: getattr(part, f) for f in part.__dataclass_fields__}, field: value})
        parts.append(part)
        if state:
            initial[raw["id"]] = state
    programme = polyline(points(played, spec["t_stop"]), played.get("tone_hz"))
    return Case(name, spec, Network(parts, spec["ground"]), programme, initial)


def element(raw: dict[str, Any], ripple: float) -> tuple[el.Element, dict[str, el.Values]]:
    """One element of a YAML file as ours, and its initial states."""
    ends = {"id": raw["id"], "p": raw["p"], "n": raw["n"]}
    if raw["type"] == "resistor":
        return el.Resistor(raw["id"], raw["p"], raw["n"], raw["r"]), {}
    if raw["type"] == "battery":
        names = ("e0", "r0", "r1", "c1", "rs_dis", "rs_chg", "cs", "c_bulk")
        battery = el.Battery(**ends, **{k: raw[k] for k in names if k in raw})
        return battery, {"v1": raw.get("v1_0", 0.0), "vs": raw.get("vs_0", 0.0)}
    if raw["type"] == "cap":
        return el.Capacitor(**ends, farads=raw["c"], esr=raw["esr"], v0=raw["v0"]), {"v": raw["v0"]}
    if raw["type"] == "alternator":
        machine = ("vset", "rd", "imax", "tau")
        return el.Alternator(**ends, **{k: raw[k] for k in machine}), {"x": raw["x0"]}
    if raw["alpha"] == 0.0:
        return el.Amplifier(
            **ends,
            rated_w=HUGE_W,
            vref=raw["vref"],
            exponent=0.0,
            ask_w=raw["p_out"],
            efficiency=raw["eta"],
            idle_w=raw["p_idle"],
            v_low=raw["v_low"],
            v_cut=raw.get("v_cut"),
            v_restart=raw.get("v_restart"),
            restart_delay=raw.get("t_restart", 1.0),
            ripple_fraction=ripple,
        ), {}
    return el.Load(
        **ends,
        watts=raw["p_out"] / raw["eta"],
        vref=raw["vref"],
        alpha=raw["alpha"],
        v_low=raw["v_low"],
        follows_programme="programme" in raw,
    ), {}


def at(t: el.Array, times: el.Array, values: el.Array) -> el.Array:
    """Values interpolated at ``t``."""
    return np.asarray(np.interp(t, times, values), dtype=np.float64)
