"""What is played, and what instruments read off a trace."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.assessment.sag.traces import minimum, moving_average, time_below
from dossier.circuit.music import MOST_CREST_DB, envelope
from dossier.circuit.programme import EDGE_S, LEAD_IN_S, RECOVERY_S, Programme, bursts, graded, music, polyline, tone


def test_tone_has_rest_before_and_recovery_after() -> None:
    """A tone of 20 s starts after the lead-in, is full for 20 s, and leaves time to recover."""
    played = tone(20.0, 38.0)
    assert played.ripple_hz == 76.0
    assert played.level(LEAD_IN_S) == 0.0
    assert played.level(LEAD_IN_S + EDGE_S) == 1.0
    assert played.level(LEAD_IN_S + 20.0) == 1.0
    assert played.times[-1] == pytest.approx(LEAD_IN_S + 20.0 + EDGE_S + RECOVERY_S)


def test_bursts_are_counted() -> None:
    """Bursts of 0.4 s every 1.2 s in 30 s are 25, with a mean level of a third while they last."""
    played = bursts(0.4, 1.2, 30.0, None)
    assert (np.diff(played.levels) > 0.5).sum() == 25
    mean = np.trapezoid(played.levels, played.times) / 30.0
    assert mean == pytest.approx(25 * 0.4 / 30.0, rel=1e-9)
    assert len(bursts(2.0, 2.0, 2.0, None).times) == len(tone(2.0, None).times)


def test_programmes_that_cannot_be_played_are_refused() -> None:
    """Falling times, levels beyond full and edges steeper than a millisecond are refused."""
    with pytest.raises(ValueError, match="must rise"):
        Programme(np.array([0.0, 1.0, 1.0]), np.array([0.0, 1.0, 0.0]))
    with pytest.raises(ValueError, match="between 0 and 1"):
        Programme(np.array([0.0, 1.0]), np.array([0.0, 1.2]))
    with pytest.raises(ValueError, match="steeper"):
        Programme(np.array([0.0, 1.0, 1.0001]), np.array([0.0, 0.0, 1.0]))
    with pytest.raises(ValueError, match="burst must last"):
        bursts(0.001, 1.0, 10.0, None)


@pytest.mark.analytic
def test_level_is_the_polyline() -> None:
    """Levels between vertices lie on the straight line; outside the programme the ends go on."""
    played = polyline([(0.0, 0.0), (1.0, 0.0), (2.0, 1.0), (4.0, 0.5)])
    assert [played.level(t) for t in (-1.0, 0.5, 1.25, 2.0, 3.0, 4.0, 9.0)] == [0.0, 0.0, 0.25, 1.0, 0.75, 0.5, 0.5]


@pytest.mark.practice
@pytest.mark.parametrize(("crest", "share"), [(12.0, 1 / 8), (9.0, 1 / 4), (7.8, 1 / 3), (6.0, 1 / 2)])
@pytest.mark.parametrize("duration", [20.0, 60.0])
def test_music_has_the_mean_power_of_its_crest_factor(crest: float, share: float, duration: float) -> None:
    """12 dB is 1/8 of full sine power in the mean, 9 dB a quarter (trade convention): to 0.5 % of the formula."""
    piece = envelope(crest, duration)
    realised = np.trapezoid(piece.levels, piece.times) / duration
    assert realised == pytest.approx(10.0 ** (-(crest - 3.01) / 10.0), rel=5e-3)
    assert realised == pytest.approx(share, rel=0.02)
    assert piece.statistics.mean == pytest.approx(realised, rel=1e-9)


@pytest.mark.parametrize("crest", [6.0, 9.0, 12.0, MOST_CREST_DB])
def test_music_reaches_full_level_and_is_the_same_every_time(crest: float) -> None:
    """Whatever its crest factor the piece reaches full level and never passes it, and its statistics are its own."""
    envelope.cache_clear()
    first = envelope(crest, 60.0)
    envelope.cache_clear()
    again = envelope(crest, 60.0)
    assert first.levels.tobytes() == again.levels.tobytes()
    assert first.levels.max() == first.statistics.peak == 1.0
    assert first.levels.min() >= 0.0
    fine = np.interp(np.linspace(0.0, 60.0, 600_001), first.times, first.levels)
    assert first.statistics.rms == pytest.approx(np.sqrt((fine**2).mean()), rel=1e-3)
    assert first.statistics.at_full == pytest.approx((fine >= 0.999).mean(), abs=6e-3)
    assert 0.0 < first.statistics.longest_full_s <= 1.0 or crest > 6.0


def test_music_of_less_crest_is_louder_for_longer() -> None:
    """A lower crest factor raises the rms level and the time at full level."""
    pieces = [envelope(crest, 60.0).statistics for crest in (12.0, 9.0, 6.0)]
    assert pieces[0].rms < pieces[1].rms < pieces[2].rms
    assert pieces[0].at_full <= pieces[1].at_full < pieces[2].at_full


def test_music_as_a_programme() -> None:
    """The piece is preceded by rest and followed by recovery; extreme crest factors are refused."""
    played = music(12.0, 30.0)
    assert played.level(0.5 * LEAD_IN_S) == 0.0
    assert played.times[-1] == pytest.approx(LEAD_IN_S + 30.0 + RECOVERY_S)
    for crest in (2.0, 25.0):
        with pytest.raises(ValueError, match="can be played"):
            music(crest, 30.0)


@pytest.mark.analytic
def test_lowest_average_of_a_notch() -> None:
    """A notch of 2 V for 50 ms lowers the 100 ms average by 1 V, one of 200 ms by 2 V."""
    v = np.array([12.0, 12.0, 10.0, 10.0, 12.0, 12.0])
    for width, lowest in ((0.05, 11.0), (0.2, 10.0)):
        t = np.array([0.0, 1.0, 1.0, 1.0 + width, 1.0 + width, 2.0])
        found = minimum(t, moving_average(t, v), 0.0, 2.0)
        assert found == pytest.approx((lowest, 1.0 + width), abs=1e-9)


@pytest.mark.analytic
def test_average_of_a_ramp_and_of_what_ended() -> None:
    """Of a falling line the last window counts; a single valid value stands for itself, what has ended for nothing."""
    assert moving_average(np.array([0.0, 10.0]), np.array([12.0, 11.0]))[-1] == pytest.approx(11.005, abs=1e-9)
    ended = moving_average(np.array([0.0, 0.05, 1.0]), np.array([12.0, np.nan, np.nan]))
    assert ended[0] == 12.0
    assert np.isnan(ended[1:]).all()


@pytest.mark.analytic
def test_time_below_a_limit() -> None:
    """A triangle of 2 V depth and 4 s width is below half its depth for 2 s; what has collapsed is below."""
    t = np.array([0.0, 2.0, 4.0, 6.0])
    v = np.array([12.0, 10.0, 12.0, 12.0])
    assert [time_below(t, v, limit) for limit in (11.0, 13.0, 9.0)] == [2.0, 6.0, 0.0]
    assert time_below(t, np.array([12.0, 10.0, np.nan, np.nan]), 11.0) == 1.0 + 4.0


def test_grading_changes_no_level() -> None:
    """More vertices for the root of the level leave the level where it is, and stand only on ramps from nothing."""
    played = music(9.0, 20.0, 40.0)
    fine = graded(played)
    t = np.linspace(0.0, float(played.times[-1]), 20001)
    assert np.abs(np.interp(t, fine.times, fine.levels) - np.interp(t, played.times, played.levels)).max() < 1e-12
    assert set(played.times) < set(fine.times)
    assert fine.tone_hz == 40.0
    assert len(graded(tone(5.0, 40.0)).times) == len(tone(5.0, 40.0).times)
