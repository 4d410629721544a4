"""The start of the sound in a log: found wherever it lies, told where two starts are as good, never guessed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pytest
from synthetic import BURSTS, HERE

from dossier.assessment.proof.clock import Clock, clock_of
from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.predicted import Prediction, predict
from dossier.buildfile.logs.log import LogColumn, VoltageLog
from dossier.buildfile.reader import read_build_text
from dossier.circuit.sampler import nominal
from dossier.equipment.installed import installed, running
from dossier.results.logs import ClockKind

TONE = "signal: {tone: 40 Hz, for: 10 s}"
SOUNDS = {"tone": TONE, "bursts": BURSTS, "long": "signal: {tone: 40 Hz, for: 30 s}"}
OTHERS = {**SOUNDS, "short_bursts": "signal: {tone: 40 Hz, burst: 0.2 s, every: 0.8 s, for: 10 s}"}
VEHICLE = {"4.0 mohm": "5.6 mohm", "1.4 mohm": "2.2 mohm", "14.3 V": "14.1 V", "efficiency: 80 %": "efficiency: 70 %"}
CHANNELS = tuple(
    Channel(LogColumn(name, "voltage", ()), target, name, "voltage")
    for name, target in (("amplifier", "amplifiers.bass"), ("battery", "batteries.starter"))
)


class Played(NamedTuple):
    """A sound in a log: when it starts, and at which share of full level."""

    sound: str
    start: float
    level: float = 1.0


@cache
def prediction(sound: str, *, vehicle: bool = False) -> Prediction:
    """Of the build as written down, or of a vehicle that differs from it."""
    text = (HERE / "one_battery.yaml").read_text().replace(TONE, OTHERS[sound])
    for old, new in VEHICLE.items() if vehicle else ():
        assert old in text
        text = text.replace(old, new)
    build = read_build_text(text.encode(), "one", "one.yaml")
    case = build.load_cases["tone"]
    return predict(build, installed(build), running(build, case.engine), case, CHANNELS, nominal)


def clock(
    sound: str,
    starts: tuple[float, ...],
    length: float,
    *,
    of: str = "",
    more: tuple[Played, ...] = (),
    step: float = 0.1,
    noise: float = 0.03,
    drift: float = 0.0,
    instants: bool = False,
    seed: int = 0,
) -> Clock:
    """The clock found in a log of the vehicle in which a sound (``of``, or the same) starts at some instants.

    ``more`` is played on top, each at a share of full level (superposed: the vehicle's answer is nearly linear).
    Rows are means over a step about their time, or ``instants``.
    """
    t = np.arange(0.0, length, step)
    columns = []
    for k, channel in enumerate(CHANNELS):
        v = np.zeros(t.size)
        for one in (*(Played(of or sound, start) for start in starts), *more):
            true = prediction(one.sound, vehicle=True)
            rest = true.values[0, 0, k]
            v += one.level * (true.logged(t - one.start, 1e-4 if instants else step)[:, 0, k] - rest)
        noisy = rest + v + drift * t + np.random.default_rng((seed, k)).normal(0.0, noise, t.size)
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
        (7.3, 20.0, {"noise": 0.1}),
    ],
)
@pytest.mark.sweep(6)
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


@pytest.mark.parametrize("noise", [0.002, 0.03])
@pytest.mark.parametrize(("sound", "of"), [("tone", "bursts"), ("bursts", "tone"), ("long", "tone"), ("tone", "long")])
@pytest.mark.sweep(4)
def test_another_sound_is_not_matched_and_the_guesses_are_told(sound: str, of: str, noise: float) -> None:
    """An edge that only one of sound and log has, or what is left, refutes it: the best guesses are named as such."""
    found = clock(sound, (8.0,), 60.0, of=of, noise=noise)
    assert found.kind is ClockKind.NOT_MATCHED
    assert 1 <= len(found.starts) <= 2
    assert "guess" in found.words


@pytest.mark.parametrize(
    ("start", "length", "more"),
    [
        (-17.0, 30.0, {}),  # the log begins ten seconds before the end of a longer tone, and three more
        (8.0, 60.0, {"noise": 0.1}),
        (8.0, 60.0, {"step": 1.0}),
        (8.0, 60.0, {"drift": -0.01}),
        (8.0, 60.0, {"instants": True}),
    ],
)
@pytest.mark.sweep(5)
def test_the_last_seconds_of_a_longer_tone_are_no_shorter_one(
    start: float, length: float, more: dict[str, Any]
) -> None:
    """Nor are its first: the edge at the other end of the claimed sound is not in the log."""
    assert clock("tone", (start,), length, of="long", **more).kind is ClockKind.NOT_MATCHED


@pytest.mark.parametrize("noise", [0.005, 0.03])
@pytest.mark.parametrize(
    ("sound", "of"),
    [("tone", "long"), ("bursts", "tone"), ("bursts", "long"), ("short_bursts", "tone"), ("short_bursts", "long")],
)
@pytest.mark.sweep(5)
def test_a_slow_log_hides_no_other_sound(sound: str, of: str, noise: float) -> None:
    """At one row a second bursts of 0.8 s are half a tone: only if they show beside it is their sound in the log."""
    assert clock(sound, (8.3,), 48.0, of=of, step=1.0, noise=noise).kind is ClockKind.NOT_MATCHED


@pytest.mark.parametrize("sound", ["tone", "long", "bursts"])
def test_a_slow_log_finds_its_own_sound(sound: str) -> None:
    """The same sounds where they are what was played: a tenth of a row."""
    assert clock(sound, (8.3,), 48.0, step=1.0, noise=0.005).starts == pytest.approx([8.3], abs=0.1)


@pytest.mark.parametrize("low", [0.5, 0.7])
@pytest.mark.parametrize("start", [8.0, 28.0])
@pytest.mark.sweep(4)
def test_a_tone_that_changes_its_level_is_not_taken_for_its_louder_part(low: float, start: float) -> None:
    """Thirty seconds of which ten, the first or the last, are louder."""
    quiet = Played("long", 8.0, low), Played("tone", start, 1.0 - low)
    assert clock("tone", (), 60.0, more=quiet).kind is ClockKind.NOT_MATCHED


@pytest.mark.parametrize("level", [0.4, 1.5])
def test_another_level_has_the_same_start(level: float) -> None:
    """How loud it was is for the fit to judge; the start is where it is."""
    assert clock("tone", (), 40.0, more=(Played("tone", 8.0, level),)).starts == pytest.approx([8.0], abs=0.03)


@pytest.mark.parametrize(("instants", "within"), [(False, 0.01), (True, 0.055)])
@pytest.mark.long
def test_the_start_has_no_bias_wherever_the_rows_fall(instants: bool, within: float) -> None:
    """A row stands for the mean about its time; of instants the start is known to half a row, and centred in it."""
    shifts = 0.1 * (np.arange(4) + 0.5) / 4
    missed = []
    for seed, shift in enumerate(shifts):
        (found,) = clock("tone", (7.0 + shift,), 30.0, instants=instants, seed=seed).starts
        missed.append(found - 7.0 - shift)
    assert max(map(abs, missed)) < within
    assert abs(float(np.mean(missed))) < 0.01
