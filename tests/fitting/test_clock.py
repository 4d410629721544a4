"""The start of the sound in a log: found wherever it lies, told where two starts are as good, never guessed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from synthetic import BURSTS, HERE

from dossier.assessment.proof.clock import Clock, clock_of
from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.predicted import Prediction, predict
from dossier.buildfile.logs.log import LogColumn, VoltageLog
from dossier.buildfile.reader import read_build_text
from dossier.circuit.draw import nominal
from dossier.equipment.fitted import fitted, running
from dossier.results.logs import ClockKind

TONE = "signal: {tone: 40 Hz, for: 10 s}"
SOUNDS = {"tone": TONE, "bursts": BURSTS, "long": "signal: {tone: 40 Hz, for: 30 s}"}
VEHICLE = {"4.0 mohm": "5.6 mohm", "1.4 mohm": "2.2 mohm", "14.3 V": "14.1 V", "efficiency: 80 %": "efficiency: 70 %"}
CHANNELS = tuple(
    Channel(LogColumn(name, "voltage", ()), target, name, "voltage")
    for name, target in (("amplifier", "amplifiers.bass"), ("battery", "batteries.starter"))
)


@cache
def prediction(sound: str, *, vehicle: bool = False) -> Prediction:
    """Of the build as written down, or of a vehicle that differs from it."""
    text = (HERE / "one_battery.yaml").read_text().replace(TONE, SOUNDS[sound])
    for old, new in VEHICLE.items() if vehicle else ():
        assert old in text
        text = text.replace(old, new)
    build = read_build_text(text.encode(), "one", "one.yaml")
    case = build.load_cases["tone"]
    return predict(build, fitted(build), running(build, case.engine), case, CHANNELS, nominal)


def clock(
    sound: str,
    starts: tuple[float, ...],
    length: float,
    *,
    of: str = "",
    step: float = 0.1,
    noise: float = 0.03,
    drift: float = 0.0,
) -> Clock:
    """The clock found in a log of the vehicle in which a sound (``of``, or the same) starts at some instants."""
    true, t = prediction(of or sound, vehicle=True), np.arange(0.0, length, step)
    columns = []
    for k, channel in enumerate(CHANNELS):
        rest = true.values[0, 0, k]
        v = rest + sum(true.logged(t - start, step)[:, 0, k] - rest for start in starts)
        noisy = v + drift * t + np.random.default_rng(k).normal(0.0, noise, t.size)
        columns.append(replace(channel.column, values=tuple(np.round(noisy, 3).tolist())))
    log = VoltageLog(tuple(t.tolist()), tuple(columns), "")
    channels = [replace(c, column=column) for c, column in zip(CHANNELS, columns, strict=True)]
    return clock_of(log, channels, prediction(sound))


@pytest.mark.parametrize("sound", SOUNDS)
@pytest.mark.parametrize(
    ("start", "before_and_after", "more"),
    [
        (5.0, 13.0, {}),
        (0.3, 6.0, {}),
        (60.0, 120.0, {}),
        (12.4, 40.0, {"drift": 0.004}),
        (12.4, 40.0, {"drift": -0.01}),
        (-4.0, 6.0, {}),
        (5.0, 10.0, {"step": 0.002}),
        (7.0, 20.0, {"noise": 0.002}),
        (700.0, 1700.0, {}),
    ],
)
def test_the_start_is_found_wherever_it_lies(
    sound: str, start: float, before_and_after: float, more: dict[str, Any]
) -> None:
    """Any lead-in, any tail, a start before the log, drift, quick loggers, half an hour: within 30 ms."""
    found = clock(sound, (start,), prediction(sound).ends + before_and_after, **more)
    assert found.kind is ClockKind.FOUND
    assert found.starts == pytest.approx([start], abs=0.03)


def test_a_log_that_ends_in_the_sound_is_found_by_its_start() -> None:
    """One edge is enough."""
    assert clock("long", (5.0,), 18.0).starts == pytest.approx([5.0], abs=0.05)


def test_repetitions_are_all_told_and_the_first_is_used() -> None:
    """Three times the same sound: the first is the one that began rested."""
    found = clock("tone", (5.0, 20.0, 35.0), 50.0)
    assert found.kind is ClockKind.FOUND
    assert found.starts == pytest.approx([5.0, 20.0, 35.0], abs=0.05)


def test_two_starts_that_explain_the_log_as_well_are_both_told() -> None:
    """A log inside a row of equal bursts may begin at any of them."""
    found = clock("bursts", (-2.0,), 6.0)
    assert found.kind is ClockKind.AMBIGUOUS
    assert len(found.starts) == 2
    assert all(f"{at:.2f} s" in found.words for at in found.starts)


@pytest.mark.parametrize(
    ("sound", "start", "length"), [("tone", -2.0, 6.0), ("long", -6.0, 18.0), ("tone", 500.0, 40.0)]
)
def test_without_an_edge_nothing_is_matched(sound: str, start: float, length: float) -> None:
    """A log inside the tone, or of rest: not matched, and no start is made up."""
    found = clock(sound, (start,), length)
    assert found.kind is ClockKind.NOT_MATCHED
    assert found.starts == ()


@pytest.mark.parametrize(
    ("sound", "of"),
    [
        ("tone", "bursts"),
        ("bursts", "tone"),
        ("long", "tone"),
        pytest.param(
            "tone", "long", marks=pytest.mark.xfail(reason="the end of a longer tone is taken for a short one")
        ),
    ],
)
def test_another_sound_is_not_matched_and_the_guesses_are_told(sound: str, of: str) -> None:
    """What is left lies far above the noise: the best guesses are named as such."""
    found = clock(sound, (8.0,), 60.0, of=of)
    assert found.kind is ClockKind.NOT_MATCHED
    assert 1 <= len(found.starts) <= 2
    assert "guess" in found.words
