"""Every instant of the results counts from the start of the sound, and a shut-down says what reached it."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from dossier.assessment.assess import assess_nominal
from dossier.assessment.sag.load_cases import play
from dossier.buildfile.reader import read_build, read_build_text
from dossier.equipment.installed import installed, running
from dossier.record.results_json import results_json
from dossier.results.overview import Results

ONE = Path(__file__).parents[1] / "fitting" / "data" / "one_battery.yaml"


@cache
def results() -> Results:
    """Of the build as it stands."""
    return assess_nominal(read_build(ONE))


def test_every_instant_counts_from_the_start_of_the_sound() -> None:
    """Ten seconds of tone end at 10 s; the lowest voltage is at the end; the trace begins in the rest, below zero."""
    (case,) = json.loads(results_json(results(), build="one.yaml", program="x"))["load_cases"]
    assert case["sound_ends_s"] == pytest.approx(10.0, abs=0.01)
    assert case["amplifiers"][0]["mean_minimum"]["at_s"] == pytest.approx(10.0, abs=0.05)
    played = results().load_cases[0]
    assert played.t[0] == pytest.approx(-played.lead_in)
    mean = played.amplifiers[0].mean
    assert np.all(mean[played.t < -0.01] > np.nanmax(mean[(played.t > 0.1) & (played.t < 9.9)]))


STIFF = {
    "supply: unregulated": "supply: regulated",
    "1.4 mohm": "4 mohm",
    "ripple_fraction: 60 %": "ripple_fraction: 95 %",
}


@pytest.mark.parametrize(
    ("changes", "trough"),
    [
        ({**STIFF, "1800 W": "1700 W", "efficiency: 80 %": "efficiency: 80 %\n    low_voltage_shutdown: 7.5 V"}, True),
        ({"1800 W": "3600 W", "engine: cruise": "engine: stopped",
          "efficiency: 80 %": "efficiency: 80 %\n    low_voltage_shutdown: 11 V"}, False),
    ],
)  # fmt: skip
def test_a_shut_down_by_the_trough_says_so(changes: dict[str, str], trough: bool) -> None:
    """Where the mean is far above the shut-down, the ripple's trough got there; else the mean itself did."""
    text = ONE.read_text()
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    car = read_build_text(text.encode(), "one", "one.yaml")
    case = car.load_cases["tone"]
    outcome = play(car, installed(car), running(car, case.engine), case).result.amplifiers[0].outcome
    assert outcome.shutdowns
    assert ("it is the trough of the ripple" in outcome.sentence) is trough
