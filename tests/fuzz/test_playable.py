"""What the reader accepts can be played: its bounds and those of the programmes are the same."""

from __future__ import annotations

import pytest

from dossier.buildfile.fields import every_field
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.buildfile.references import SHORTEST_GAP, SHORTEST_MUSIC
from dossier.buildfile.starters import plain_starter
from dossier.circuit.music import LEAST_CREST_DB, MOST_CREST_DB, envelope
from dossier.circuit.programme import bursts

SOUND = "signal: {tone: 40 Hz, for: 10 s}"


def codes(signal: str) -> list[str]:
    """What is wrong with the smallest build when it plays this."""
    text = plain_starter("smallest").replace(SOUND, f"signal: {{{signal}}}")
    try:
        read_build_text(text.encode(), "x", "x.yaml")
    except BuildFileError as error:
        return [one.code for one in error.diagnostics]
    return []


def test_shortest_music_is_the_same() -> None:
    """Music of the shortest length accepted can be made; anything shorter is refused by both."""
    envelope(9.0, SHORTEST_MUSIC)
    with pytest.raises(ValueError, match="must last"):
        envelope(9.0, SHORTEST_MUSIC - 0.01)
    assert codes("music: {crest_factor: 9 dB}, for: 2 s") == []
    assert codes("music: {crest_factor: 9 dB}, for: 1.99 s") == ["signal-too-short"]


def test_crest_factors_are_the_same() -> None:
    """The schema's bounds of the crest factor are those of the piece of music."""
    bounds = every_field()["load_cases", "*", "signal", "music", "crest_factor"].bounds
    assert bounds == f"at least {LEAST_CREST_DB:g} dB, at most {MOST_CREST_DB:g} dB"


def test_shortest_gap_is_the_same() -> None:
    """Bursts with the shortest gap accepted can be made; bursts that touch are refused by both."""
    bursts(0.5 - SHORTEST_GAP, 0.5, 2.0, 40.0)
    with pytest.raises(ValueError, match="gap"):
        bursts(0.5, 0.5, 2.0, 40.0)
    assert codes("tone: 40 Hz, burst: 498 ms, every: 0.5 s, for: 2 s") == []
    assert codes("tone: 40 Hz, burst: 0.5 s, every: 0.5 s, for: 2 s") == ["burst-without-gap"]


def test_supply_that_feeds_nothing() -> None:
    """An alternator at a place whose positive is joined to nothing is refused: it would hang in the air."""
    text = plain_starter("daily").replace("    at: engine\n    charging", "    at: body_front\n    charging")
    with pytest.raises(BuildFileError) as caught:
        read_build_text(text.encode(), "x", "x.yaml")
    assert "feeds-nothing" in [one.code for one in caught.value.diagnostics]
