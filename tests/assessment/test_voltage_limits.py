"""What is said of the voltage where nothing says how low it may fall."""

from __future__ import annotations

from small_builds import computed, found

from dossier.diagnostic import Severity
from dossier.results.sag import OutcomeKind


def test_without_a_limit_nothing_is_judged() -> None:
    """No limit: the voltage is stated, nobody is told that it holds, and one note says so, on a line of the file."""
    results = computed()
    [note] = found(results, "voltage-not-judged")
    assert note.severity is Severity.NOTE
    assert note.path == "load_cases"
    assert note.where is not None
    [amplifier] = results.load_cases[0].amplifiers
    assert amplifier.outcome.kind is OutcomeKind.HOLDS
    assert "no limit stated" in amplifier.outcome.sentence
    assert "holds" not in amplifier.outcome.sentence
    assert amplifier.mean_minimum.volts is not None


def test_with_a_limit_of_any_statistic_it_is_judged() -> None:
    """A mean, a 100 ms minimum or a trough: each is a limit to judge by."""
    for statistic in ("mean", "minimum_100ms", "trough"):
        results = computed({"limits": {"amplifier": {statistic: "9 V"}}})
        assert not found(results, "voltage-not-judged")
        assert results.load_cases[0].amplifiers[0].outcome.sentence.startswith("holds")
