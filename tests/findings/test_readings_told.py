"""What becomes of recorded readings: used, checked only or not used, and bands before and with them."""

from __future__ import annotations

from functools import cache

import pytest
from rule_case import Case

from dossier.assessment.assess import assess
from dossier.assessment.proof.meter_errors import last_digit
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build_text
from dossier.buildfile.stated import Quantity
from dossier.diagnostic import Severity
from dossier.equipment.installed import installed
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


def _build(given: str = GIVEN) -> Build:
    case = Case("", Severity.NOTE, "", "record.stage", None, "as_built", "", "analytic", given)
    return read_build_text(case.build("as_built").encode(), "case", "case.yaml")


@cache
def _read(given: str = GIVEN) -> Results:
    return assess(_build(given), options=False, readings=True)


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


ALONG = """
instruments: {clamp: {kind: dc_clamp}}
measurements:
  readings:
    end: {voltage: 12.20 V, amplifier: amp, load_case: note, moment: end, instrument: meter}
    mean: {voltage: 12.2 V, amplifier: amp, load_case: note, moment: mean, instrument: meter}
    out: {voltage: 28.0 V, shows: output_rms, amplifier: amp, load_case: note, instrument: meter}
    round_feed: {current: 41 A, cable: feed, load_case: note, instrument: clamp}
    along_feed: {voltage: 250 mV, cable: feed, load_case: note, moment: mean, instrument: meter}
  joints:
    back: {cable: back, across: cable, drop: 40 mV, current: 40 A, instrument: meter}
    fuse: {cable: feed, across: fuse, drop: 20 mV, current: 40 A, instrument: meter}
    lug: {cable: feed, drop: 2 mV, current: 40 A, instrument: meter}
"""


def test_every_kind_of_reading_counts_and_is_predicted_as_ohm_has_it() -> None:
    """AC volts of 400 W into 2 ohm; millivolts are amperes times the resistance of the cable; one joint is a part."""
    recorded = _read(ALONG).recorded
    row = {one.id: one for one in recorded.readings}
    assert all(one.use is Use.USED for one in row.values())
    assert row["out"].predicted == pytest.approx((400.0 * 2.0) ** 0.5, rel=0.01)
    feed = installed(_build(ALONG)).conductors["feed"]
    assert row["round_feed"].predicted is not None
    assert row["along_feed"].predicted == pytest.approx(row["round_feed"].predicted * feed.resistance, rel=0.02)
    use = {one.id: (one.use, one.predicted is not None) for one in recorded.joints}
    assert use == {"lug": (Use.CHECKED, False), "back": (Use.USED, True), "fuse": (Use.USED, True)}
    lowest = next(c for c in _read(ALONG).load_cases if c.id == "note").amplifiers[0].mean_minimum.volts
    assert row["end"].predicted == pytest.approx(lowest, abs=0.02)
    assert row["mean"].predicted is not None
    assert lowest is not None
    assert lowest < row["mean"].predicted < lowest + 0.5


def test_two_readings_that_exclude_each_other_are_both_named() -> None:
    """A fifth of a volt between two readings of one figure: one finding, both titles, and the line of the other."""
    given = """
measurements:
  readings:
    first: {title: First, voltage: 12.30 V, amplifier: amp, load_case: note, instrument: meter}
    again: {title: Again, voltage: 12.10 V, amplifier: amp, load_case: note, instrument: meter}
"""
    told = [one for one in _read(given).findings if one.code == "readings-unexplained"]
    assert len(told) == 1
    words = told[0].headline + told[0].fix
    assert "First (12.30 V" in words
    assert "Again (12.10 V" in words
    assert ", line " in told[0].headline
    assert all(one.mean_minimum.band_with_readings is None for c in _read(given).load_cases for one in c.amplifiers)


@pytest.mark.long
def test_options_keep_to_what_was_read() -> None:
    """The band of the build among its options is as narrow as the readings make it; a quick run narrows nothing."""
    option = """
options: {copper: {title: Copper, cost: 90 EUR, changes: {cables: {feed: {size: 50 mm2}}}}}
"""
    text = {}
    for given in (option, option + GIVEN):
        text[given] = assess(_build(given), bands=True, unasked=False)
    width = {}
    for given, results in text.items():
        assert results.options is not None
        band = results.options.rows[0].long.mean.band
        assert band is not None
        assert band.low is not None and band.high is not None  # noqa: PT018
        width[given] = band.high - band.low
        assert results.options.with_readings is (given != option)
    assert width[option + GIVEN] < 0.7 * width[option]
    quick = assess(_build(), bands=False, unasked=False)
    assert {one.use for one in quick.recorded.readings} == {None}


def test_gains_are_told_of_more_than_volts_at_amplifiers() -> None:
    """Amperes, millivolts and rested volts stand beside them where they would narrow the band."""
    words = " ".join(one.what for one in _read().reading_gains)
    assert "Volts at" in words
    assert sum(kind in words for kind in ("Amperes of", "Millivolts along", "night of rest")) >= 1, words
