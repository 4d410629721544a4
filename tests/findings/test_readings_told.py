"""What becomes of recorded readings: used, checked only or not used, and bands before and with them."""

from __future__ import annotations

from functools import cache

import pytest
from rule_case import Case

from dossier.assessment.assess import assess
from dossier.assessment.proof.meter_errors import last_digit
from dossier.buildfile.reader import read_build_text
from dossier.buildfile.stated import Quantity
from dossier.diagnostic import Severity
from dossier.results.overview import Results
from dossier.results.readings import Use

GIVEN = """
instruments: {module: {kind: obd_reader}}
measurements:
  readings:
    rest: {voltage: 12.66 V, amplifier: amp, load_case: note, moment: rest, instrument: meter}
    end: {voltage: 12.20 V, amplifier: amp, load_case: note, instrument: meter}
    old: {voltage: 11.1 V, amplifier: amp, load_case: note, instrument: meter, revision: Z}
    seen: {voltage: 12.0 V, amplifier: amp, load_case: note, instrument: module}
"""


@cache
def _read(given: str = GIVEN) -> Results:
    case = Case("", Severity.NOTE, "", "record.stage", None, "as_built", "", "analytic", given)
    text = case.build("as_built").encode()
    return assess(read_build_text(text, "case", "case.yaml"), options=False, readings=True)


def test_every_reading_gets_its_word() -> None:
    """Another revision is not used; an instrument of unknown error is set beside only."""
    assert {one.id: one.use for one in _read().recorded.readings} == {
        "rest": Use.USED, "end": Use.USED, "old": Use.NOT_USED, "seen": Use.CHECKED,
    }


def test_bands_with_readings_are_narrower_and_lie_where_it_was_read() -> None:
    """The figure that was read is known to the meter's error; the band before stays as it was."""
    told = _read().recorded.told
    assert told is not None
    assert told.explained
    reading = next(c for c in _read().load_cases if c.id == "note").amplifiers[0].mean_minimum
    before, after = reading.band, reading.band_with_readings
    assert before is not None
    assert after is not None
    assert before.low is not None and before.high is not None  # noqa: PT018
    assert after.low is not None and after.high is not None  # noqa: PT018
    assert after.high - after.low < 0.6 * (before.high - before.low)
    assert after.low < 12.2 < after.high
    assert "2 of 3 readings lie inside" in _read().verdict.sentence


def test_the_gain_of_a_reading_is_said_before_it_is_taken() -> None:
    """Best first, each leaving less than all of the spread."""
    left = [one.left for one in _read().reading_gains]
    assert left == sorted(left)
    assert left
    assert 0.0 < left[0] < 0.6


def test_without_readings_nothing_is_sampled() -> None:
    """No reading, no band."""
    results = _read("")
    assert results.recorded.told is None
    assert all(one.mean_minimum.band is None for case in results.load_cases for one in case.amplifiers)


@pytest.mark.parametrize(
    ("text", "si", "step"),
    [("12.35 V", 12.35, 0.01), ("12.4 V", 12.4, 0.1), ("117 A", 117.0, 1.0), ("85 mV", 0.085, 1e-3)],
)
def test_the_last_digit_is_that_written(text: str, si: float, step: float) -> None:
    """A meter shows no more than what was written down."""
    assert last_digit(Quantity(si, text, "")) == pytest.approx(step)
