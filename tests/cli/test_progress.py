"""What the line of progress says."""

from __future__ import annotations

from dossier.cli.progress import words


def test_how_long_the_rest_will_take() -> None:
    """A quarter done in ten seconds leaves thirty; at the beginning nobody can say."""
    assert words(10.0, 0.25) == "10 s, 25%, about 30 s left"
    assert words(2.4, 0.0) == "2 s"
    assert words(20.0, 1.0) == "20 s, 100%, about 0 s left"
