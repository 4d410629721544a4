"""Extreme but valid builds get an answer, and what lies beyond the bounds a clear limit."""

from __future__ import annotations

import pytest
from sized_build import sized
from trial import clock, outcome

from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.buildfile.source import MAXIMUM_SIZE

SMALLEST = """\
format: 1
record: {number: "1", title: "1", stage: design, date: 2026-01-01}
vehicle: {description: v}
locations: {a: {}}
batteries: {b: {at: a, chemistry: agm, capacity: 1 Ah}}
amplifiers: {m: {at: a, supply: regulated, rated: {4 ohm: 1 W}}}
speakers: {s: {amplifier: m, coil_impedance: 4 ohm}}
load_cases: {l: {engine: stopped, signal: {tone: 40 Hz, for: 1 s}}}
"""


@pytest.mark.parametrize(
    "text",
    [
        SMALLEST,
        sized(amplifiers=40, cables=20),
        sized(cables=60),
        sized(cases=20, seconds=2.0),
        sized(seconds=600.0),
        sized(tone=1000.0, seconds=1.0),
        sized(tone=10.0),
        sized().replace("length: 4 m", "length: 50 m"),
        sized().replace("length: 4 m", "length: 101 mm"),
        sized().replace("length: 4 m", "length: 4 m, resistance: 1e-9 ohm"),
    ],
    ids=[
        "smallest", "forty amplifiers", "sixty cables", "twenty load cases", "ten minutes", "1 kHz", "10 Hz",
        "fifty metres", "a hand's width", "hardly any resistance",
    ],
)  # fmt: skip
@pytest.mark.sweep(4)
def test_an_extreme_build_has_an_answer(text: str) -> None:
    """It computes, within the time a mutant has."""
    assert outcome(text.encode()) == "computed"


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        (sized().replace("length: 4 m", "length: 1000 m"), "at most `50 m`"),
        (sized().replace("length: 4 m", "length: 4 m, resistance: 0 ohm"), "more than `0 ohm`"),
        (sized(seconds=3600.0), "at most `10 min`"),
        (sized(tone=2000.0), "at most `1000 Hz`"),
        (sized() + "# " + "x" * MAXIMUM_SIZE, "1024 KiB"),
    ],
    ids=["a kilometre of wire", "no resistance", "an hour", "2 kHz", "millions of signs"],
)
def test_beyond_the_bounds_the_limit_is_said(text: str, limit: str) -> None:
    """Refused in no time, with the limit in words."""
    with clock(2.0), pytest.raises(BuildFileError) as caught:
        read_build_text(text.encode(), "extreme", "extreme.yaml")
    assert any(limit in f"{one.headline} {one.expected}" for one in caught.value.diagnostics)
