"""An amplifier fed by a converter alone: at its current limit no battery helps, and how it ends is said truly."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
import yaml
from small_builds import computed

from dossier.results.sag import AmplifierSag, OutcomeKind

TREE: dict[str, Any] = yaml.safe_load("""
format: 1
record: {number: C-1, title: Converter, stage: design, date: 2026-01-01}
vehicle: {description: Van, base_load: {at: bay, stopped: 4 A, idle: 20 A, cruise: 25 A}}
locations: {engine: {}, bay: {}, boot: {}, rack: {}}
supplies:
  main: {kind: alternator, at: engine, charging_voltage: 14.2 V, rated_current: 120 A}
  converter: {kind: dc_dc, from: boot, at: rack, charging_voltage: 14.2 V, rated_current: 40 A}
batteries: {starter: {at: bay, chemistry: agm, capacity: 70 Ah, starts_engine: true}}
amplifiers: {amp: {at: rack, supply: regulated, rated: {2 ohm: 500 W}}}
speakers: {sub: {amplifier: amp, coil_impedance: 2 ohm}}
cables:
  lead: {role: feed, from: engine, to: bay, size: 25 mm2, length: 1 m}
  strap: {role: return, from: engine, to: bay, size: 25 mm2, length: 0.5 m}
  feed: {role: feed, from: bay, to: boot, size: 25 mm2, length: 5 m}
  body: {role: return, chassis: true, from: rack, to: bay}
load_cases: {note: {engine: cruise, signal: {tone: 40 Hz, for: 20 s}}}
""".replace("date: 2026-01-01", 'date: "2026-01-01"'))


def played(**amplifier: Any) -> AmplifierSag:
    """The amplifier's load case with some of its fields changed."""
    [found] = computed({"amplifiers": {"amp": amplifier}}, TREE).load_cases[0].amplifiers
    return found


@pytest.mark.analytic
@pytest.mark.parametrize("watts", [400, 500, 900])
@pytest.mark.sweep(3)
def test_more_than_its_limit_is_asked(watts: int) -> None:
    """40 A at 14.2 V are 568 W: at its limit the voltage has nowhere to stand, and that is what is said."""
    found = played(rated={"2 ohm": f"{watts} W"})
    assert found.outcome.kind is OutcomeKind.SHUTDOWN_CYCLES
    assert found.outcome.demand is not None
    assert found.outcome.deliverable is not None
    assert found.outcome.demand > 568.0 > found.outcome.deliverable > 0.98 * 568.0
    assert len(found.outcome.shutdowns) > 10


@pytest.mark.analytic
def test_less_than_its_limit_is_held() -> None:
    """100 W of a clean sine ask for 100 / 0.8 = 125 W in the mean, 250 W at the crest, well below 568 W: 14.2 V."""
    found = played(rated={"2 ohm": "100 W"}, efficiency="80 %")
    assert found.outcome.kind is OutcomeKind.HOLDS
    assert found.mean_minimum.volts == pytest.approx(14.2, abs=0.05)


@pytest.mark.analytic
def test_an_amplifier_that_gives_way_settles_where_its_own_law_crosses_the_limit() -> None:
    """Unregulated and without ripple: 40 A V = 900 / 0.8 (V / 14.4)² + idle, so V = 40 · 14.4² · 0.8 / 900 or so."""
    ideal = {"efficiency": "80 %", "ripple_fraction": "0 %", "idle_current": "0 A"}
    patient = {"low_voltage_shutdown": "5 V", "restart_voltage": "6 V", "lowest_voltage": "4 V"}
    found = played(supply="unregulated", rated={"2 ohm": "900 W"}, **ideal, **patient)
    assert found.mean_minimum.volts == pytest.approx(40.0 * 14.4**2 * 0.8 / 900.0, abs=0.05)


@pytest.mark.long
def test_every_such_build_has_an_end() -> None:
    """Sixty with other limits, amplifiers, sounds, cables and engine states: each has an end."""
    draw = Random(5)
    for _ in range(60):
        sound = draw.choice(
            [
                {"tone": "40 Hz", "for": "20 s"},
                {"tone": "40 Hz", "burst": "0.3 s", "every": "0.7 s", "for": "10 s"},
                {"tone": None, "music": {"crest_factor": "9 dB"}, "for": "10 s"},
            ]
        )
        patch = {
            "supplies": {"converter": {"rated_current": f"{draw.choice([5, 20, 40, 80, 150])} A"}},
            "amplifiers": {
                "amp": {
                    "supply": draw.choice(["regulated", "unregulated"]),
                    "rated": {"2 ohm": f"{draw.choice([50, 150, 300, 500, 800, 2000])} W"},
                }
            },
            "cables": {"feed": {"length": f"{draw.choice([1, 5, 20])} m"}},
            "load_cases": {"note": {"engine": draw.choice(["cruise", "idle", "stopped"]), "signal": sound}},
        }
        assert computed(patch, TREE).load_cases[0].amplifiers[0].outcome.sentence


def test_nothing_feeds_it_with_the_engine_stopped() -> None:
    """The converter rests then: no watts are made up, no source feeds it."""
    stopped = {"load_cases": {"note": {"engine": "stopped"}}}
    [found] = computed(stopped, TREE).load_cases[0].amplifiers
    assert "no source feeds it" in found.outcome.sentence
    assert found.mean_minimum.volts is None
