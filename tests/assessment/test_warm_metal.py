"""Warm metal fed back into the voltage: against an independent integration, and only where it matters."""

from __future__ import annotations

from math import log, pi
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from small_builds import build_of, computed

from dossier.assessment.assess import assess_nominal
from dossier.assessment.conductors.heating import cable_of
from dossier.assessment.conductors.schedule import allowed_current
from dossier.assessment.conductors.warming import MOST_REPEATS, WORTH_REPEATING_V, played_warm
from dossier.assessment.sag.load_cases import Played, play
from dossier.buildfile.model import LoadCase
from dossier.electrical.heating import INSULATION_CONDUCTIVITY, surface_coefficient
from dossier.equipment.installed import Installed, installed, running
from dossier.reference.conductors import INSULATION_HEAT


def hot(watts: int, seconds: int = 120) -> dict[str, Any]:
    """A thin long feed behind an alternator that never reaches its limit, played without ripple."""
    return {
        "supplies": {
            "alternator": {
                "kind": "alternator",
                "at": "bay",
                "output_at_shaft": {"1000 rpm": "600 A", "9000 rpm": "600 A"},
                "output_is_hot": True,
                "charging_voltage": "14.4 V",
            }
        },
        "cables": {"feed": {"size": "6 mm2", "length": "4 m"}},
        "amplifiers": {
            "amp": {"rated": {"2 ohm": f"{watts} W"}, "ripple_fraction": "0 %", "efficiency": "80 %"},
        },
        "load_cases": {"note": {"engine": "cruise", "signal": {"tone": "40 Hz", "for": f"{seconds} s"}}},
    }


@pytest.mark.independent
@pytest.mark.parametrize("watts", [600, 700])
def test_heat_and_resistance_together(watts: int) -> None:
    """Scipy integrates metal, insulation and current of a constant power together: same end within 20 mV and 1 %."""
    build = build_of(hot(watts))
    fit = installed(build)
    results = assess_nominal(build)
    case = results.load_cases[0]
    row = next(r for r in results.schedule if r.id == "feed")
    assert row.warmth is not None
    conductor = fit.conductors["feed"]
    cable = cable_of(conductor, allowed_current(conductor))
    assert cable is not None
    assert conductor.wire is not None
    ends = int(np.searchsorted(case.t, case.sound_ends)) - 2
    source = float(next(p for p in case.locations if p.id == "bay").mean[ends])
    amplifier = fit.amplifiers["amp"]
    asked = amplifier.output.nominal / amplifier.efficiency.nominal + amplifier.idle.nominal
    rest = conductor.resistance - conductor.wire.nominal + fit.conductors["body"].resistance
    metre = conductor.wire.nominal / (1.0 + 0.00393 * (65.0 - 20.0))  # of the whole cable at 20 degC

    n, air = 12, conductor.ambient.nominal
    radii = np.linspace(cable.diameter / 2.0, cable.outside / 2.0, n + 1)
    middles = np.sqrt(radii[:-1] * radii[1:])
    heat = np.concatenate([[cable.metal_heat], INSULATION_HEAT * pi * (radii[1:] ** 2 - radii[:-1] ** 2)])
    link = 2.0 * pi * INSULATION_CONDUCTIVITY / np.log(middles / np.concatenate([radii[:1], middles[:-1]]))
    last = 2.0 * pi * INSULATION_CONDUCTIVITY / log(radii[-1] / middles[-1])

    def current(metal: float) -> float:
        ohms = rest + metre * (1.0 + 0.00393 * (metal - 20.0))
        return float((source - np.sqrt(source**2 - 4.0 * ohms * asked)) / (2.0 * ohms))

    def slope(_: float, t: NDArray[np.float64], amperes: float | None) -> NDArray[np.float64]:
        i = current(t[0]) if amperes is None else amperes
        surface = t[-1]
        for _step in range(3):
            out = surface_coefficient(cable.outside, surface, air) * pi * cable.outside
            surface = (last * t[-1] + out * air) / (last + out)
        flow = np.concatenate([link * (t[:-1] - t[1:]), [last * (t[-1] - surface)]]) / cable.anchor**2
        into = np.concatenate([[i**2 * cable.resistance(t[0])], flow[:-1]])
        return np.asarray((into - flow) / heat)

    state = np.full(n + 1, air)
    for amperes, seconds in ((row.warmth.before, 14400.0), (None, case.sound_ends)):
        done = solve_ivp(slope, (0.0, seconds), state, method="BDF", rtol=1e-7, atol=1e-5, args=(amperes,))
        state = done.y[:, -1]
    volts = source - current(state[0]) * (rest + metre * (1.0 + 0.00393 * (state[0] - 20.0)))
    ours = float(case.amplifiers[0].mean[ends])
    assert ours == pytest.approx(volts, abs=WORTH_REPEATING_V)
    assert row.warmth.peak - air == pytest.approx(state[0] - air, rel=0.02)
    cold = source - current(air + 15.0) * (rest + metre * (1.0 + 0.00393 * (air - 5.0)))
    assert cold - volts > WORTH_REPEATING_V, "without the feedback the test would pass as well"


def counting(watts: int) -> tuple[list[str], tuple[Played, ...]]:
    """The load cases played, in order, and what came out."""
    build = build_of(hot(watts))
    told: list[str] = []

    def once(fit: Installed, case: LoadCase) -> Played:
        told.append(case.id)
        return play(build, fit, running(build, case.engine), case)

    return told, played_warm(once, installed(build), tuple(build.load_cases.values()))


def test_only_what_changes_is_played_again() -> None:
    """A cool cable is played once, a hot one a few times, never more than four."""
    cool, done = counting(200)
    assert cool == ["note"]
    assert done[0].result.warm_metal == ()
    warm, done = counting(700)
    assert 2 <= len(warm) <= 1 + MOST_REPEATS
    assert [one.cable for one in done[0].result.warm_metal] == ["feed"]


@pytest.mark.analytic
def test_what_is_not_counted_is_small() -> None:
    """What is left between the temperature reached and the one counted costs less than 20 mV."""
    for watts in (500, 600, 700):
        row = next(r for r in computed(hot(watts)).schedule if r.id == "feed")
        assert row.uncounted_drop < WORTH_REPEATING_V
        assert row.counted_temperature is not None
        assert row.assumed_temperature is not None
        assert row.counted_temperature >= row.assumed_temperature
