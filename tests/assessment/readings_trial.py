"""The trial of the readings: vehicles made with ngspice, read with meters that err, and what is said of them.

    python tests/assessment/readings_trial.py 100 FOLDER    # a hundred vehicles, and the figures

The build is ``BUILD``; every vehicle has other truths, drawn in the bands of its inputs, made with ngspice
(``made_vehicles``). Meters: one gain for all readings of an instrument and range, their last digit, a repeat of their
own; half widths as ``ERRORS``. Promised of 100: the 5-95 % bands of mean voltages hold the truth in 84 to 97, their
mean width is at most 60 % of before, false alarms at most 2; a battery reading 0.3 V off, a clamp round one of two runs
and doubled millivolts told in 80. Of seeds 0 to 99: held 95 (by load case 92, 100, 92: where both amplifiers play from
the battery alone the bands stay wider than need be), width 31 %, no false alarm; told: the battery 100 (named itself or
the other volts of that moment), the clamp 100 (named), millivolts doubled on both paths 100, on the return alone 48:
there it is 0.1 V against volts that repeat within 20 mV.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from made_vehicles import Truth, made
from small_builds import BASE

from dossier.assessment.assess import assess_nominal
from dossier.assessment.conductors.warming import with_metal
from dossier.assessment.proof.readings_told import together, words_before
from dossier.assessment.sag.bands import banded
from dossier.assessment.sag.sampled import Sampled, sampled
from dossier.assessment.sag.samples import SAMPLES, SEED
from dossier.buildfile.model import Build
from dossier.buildfile.options import merge_patch
from dossier.buildfile.reader import read_build_text
from dossier.circuit.sampler import Samples, across
from dossier.equipment.installed import installed, running
from dossier.equipment.value import Value
from dossier.results.sag import LoadCaseResult

TREE = merge_patch(
    BASE,
    yaml.safe_load("""
vehicle: {base_load: {at: bay, stopped: 4 A, idle: 30 A, cruise: 35 A}}
supplies:
  alternator: {kind: alternator, at: bay, output_at_shaft: {1800 rpm: 70 A, 6000 rpm: 140 A}, pulley_ratio: 2.6}
amplifiers:
  amp: {rated: {2 ohm: 1200 W}, rated_at: 14 V, supply: unregulated}
  mid: {at: seat, supply: regulated, rated: {4 ohm: 300 W}, rated_at: 14 V}
speakers: {doors: {amplifier: mid, coil_impedance: 4 ohm}}
locations: {seat: {ambient: 30 degC}}
cables:
  feed: {runs: 2}
  mid_feed: {role: feed, from: boot, to: seat, size: 10 mm2, length: 1.5 m}
  mid_return: {role: return, from: boot, to: seat, size: 10 mm2, length: 1.5 m}
load_cases:
  note: {engine: cruise, signal: {tone: 40 Hz, for: 10 s}}
  stand: {engine: stopped, level: -6 dB, signal: {tone: 40 Hz, for: 5 s}}
  bursts: {engine: idle, signal: {tone: 40 Hz, for: 6 s, burst: 0.5 s, every: 1 s}}
instruments: {meter: {kind: multimeter}, clamp: {kind: dc_clamp}}
"""),
)


def with_readings(patch: Mapping[str, Any]) -> Build:
    """The build with measurements."""
    whole = merge_patch(TREE, {"measurements": patch})
    return read_build_text(yaml.safe_dump(whole, sort_keys=False).encode(), "trial", "trial.yaml")


_ANY = {"current": "1 A", "cable": "feed", "load_case": "note", "instrument": "clamp"}
BUILD = with_readings({"readings": {"any": _ANY}})  # that a cable is read is known when the samples are played


@dataclass(frozen=True)
class Vehicle:
    """Every load case of one vehicle, and the load of its first amplifier [ohm]."""

    cases: Mapping[str, Truth]
    ohms: float


def vehicle(seed: int, folder: Path) -> Vehicle:
    """One vehicle."""
    random, places = np.random.default_rng(seed), dict[str, float]()

    def draw(value: Value) -> float:
        u = places.setdefault(value.path, float(random.uniform()))
        return float(across(value, np.array([u]))[0]) if value.high > value.low else value.nominal

    fit = installed(BUILD)
    cases = {
        id_: made(BUILD, with_metal(fit, nominal()[id_].warm_metal), case, draw, folder)
        for id_, case in BUILD.load_cases.items()
    }
    return Vehicle(cases, 1.0 / sum(1.0 / (z * draw(rise)) for z, rise in fit.amplifiers["amp"].loads))


WRONG = ("battery", "clamp", "millivolts", "one path")  # 0.3 V; one of two runs; doubled, of both paths or the return


@cache
def nominal() -> dict[str, LoadCaseResult]:
    """The load cases of the build."""
    return {case.id: case for case in assess_nominal(BUILD).load_cases}


@cache
def batches() -> dict[str, Sampled]:
    """The samples of every load case, the same for all vehicles."""
    samples, fit, found = Samples(SAMPLES, SEED), installed(BUILD), {}
    for id_, case in BUILD.load_cases.items():
        of = nominal()[id_]
        found[id_] = sampled(BUILD, with_metal(fit, of.warm_metal), running(BUILD, case.engine), case, of, samples)
    return found


def measured(of: Vehicle, seed: int, wrong: str = "") -> dict[str, Any]:
    """What is written down of a vehicle: seven readings and two paths; ``wrong``: see ``WRONG``."""
    random, note, stand = np.random.default_rng((seed, 1)), of.cases["note"], of.cases["stand"]
    halves = (("V", 0.005), ("mV", 0.005), ("A", 0.03), ("AC", 0.015))
    gain = {name: 1.0 + random.uniform(-half, half) for name, half in halves}
    zero = random.uniform(-1.0, 1.0)

    def volts(value: float, sd: float = 0.02) -> str:
        return f"{value * gain['V'] + random.normal(0.0, sd):.2f} V"

    def amps(value: float) -> str:
        return f"{value * gain['A'] * (1.0 + random.normal(0.0, 0.005)) + zero:.0f} A"

    at_battery = note.shown(note.volts("batteries.starter"), "end") + (0.3 if wrong == "battery" else 0.0)
    output = note.shown(np.sqrt(np.maximum(note.output("amp") * of.ohms, 0.0)), "mean")
    through = note.shown(note.amps("feed"), "mean")

    def path(cable: str, factor: float = 1.0) -> dict[str, str]:
        current = note.shown(note.amps(cable), "mean")
        drop = factor * current * note.ohms(cable) * gain["mV"] + random.normal(0.0, 1e-3)
        read = {"drop": f"{1e3 * drop:.0f} mV", "current": amps(current)}
        return {"cable": cable, "across": "cable", "instrument": "meter", **read}

    case = {"load_case": "note", "instrument": "meter"}
    amp = {"amplifier": "amp", **case}
    rest = stand.shown(stand.volts("batteries.starter"), "rest")
    low = stand.shown(stand.volts("amplifiers.amp"), "playing")
    readings = {
        "rest": {"voltage": volts(rest, 0.005), **case, "at": "bay", "load_case": "stand", "moment": "rest"},
        "battery": {"voltage": volts(at_battery), "at": "bay", "moment": "end", **case},
        "amp_end": {"voltage": volts(note.shown(note.volts("amplifiers.amp"), "end")), "moment": "end", **amp},
        "amp_stand": {"voltage": volts(low), **amp, "load_case": "stand"},
        "output": {
            "voltage": f"{output * gain['AC'] * (1.0 + random.normal(0.0, 0.005)):.1f} V",
            "shows": "output_rms",
            "moment": "mean",
            **amp,
        },
        "amp_in": {"current": amps(note.shown(note.drawn("amp"), "mean")), **amp, "instrument": "clamp"},
        "feed": {
            "current": amps(through * (0.5 if wrong == "clamp" else 1.0)),
            **case,
            "cable": "feed",
            "instrument": "clamp",
        },
    }
    out, back = ({"millivolts": (2.0, 2.0), "one path": (1.0, 2.0)}).get(wrong, (1.0, 1.0))
    return {"readings": readings, "joints": {"out": path("feed", out), "back": path("body", back)}}


@dataclass(frozen=True)
class Judged:
    """Of one vehicle: whether the samples explain what was read, which reading is named, and what became of the bands.

    ``bands`` holds per mean voltage whether the truth lies within, and the width with the readings over that before.
    """

    explained: bool
    furthest: str
    bands: tuple[tuple[bool, float], ...] = ()


def judged(of: Vehicle, seed: int, wrong: str = "") -> Judged:
    """What the program says of it."""
    build = with_readings(measured(of, seed, wrong))
    _, found = together(build, words_before(build, ()), batches())
    assert found is not None
    assert len(found.seen) == 9
    bands = []
    for id_, truth in of.cases.items() if not wrong else ():
        case = banded(batches()[id_], nominal()[id_])
        case = banded(replace(batches()[id_], told=found.told), case)
        for one in case.amplifiers:
            before, after = one.mean_minimum.band, one.mean_minimum.band_with_readings
            assert before is not None
            assert after is not None
            low, high = (-np.inf if edge is None else edge for edge in (after.low, after.high))
            real = truth.shown(truth.volts(f"amplifiers.{one.id}"), "playing")
            width = (high - low) / ((before.high or 0.0) - (before.low or 0.0))
            bands.append((bool(low <= real <= high), float(width)))
    return Judged(found.ensemble.explained, found.seen[found.furthest].figure.source.id, tuple(bands))


def main(count: int, folder: Path) -> None:
    """Play the vehicles and print the figures."""
    folder.mkdir(parents=True, exist_ok=True)
    every: dict[str, list[Judged]] = {wrong: [] for wrong in ("", *WRONG)}
    for seed in range(count):
        of = vehicle(seed, folder)
        for wrong, rows in every.items():
            rows.append(judged(of, seed, wrong))
        print(seed, [(one.explained, one.furthest) for one in (rows[-1] for rows in every.values())], flush=True)
    held = np.array([[inside for inside, _ in one.bands] for one in every[""]])
    width = np.array([[w for _, w in one.bands] for one in every[""]])
    print("held, per mean voltage:", held.mean(0), "all", held.mean(), "width:", width.mean(0), "all", width.mean())
    print("false alarms:", sum(not one.explained for one in every[""]))
    for wrong, rows in every.items():
        if wrong:
            told = [one.furthest for one in rows if not one.explained]
            print(wrong, "told", len(told), "named", told)


if __name__ == "__main__":
    main(int(sys.argv[1]), Path(sys.argv[2]))
