"""A build in which nothing can be held, however little is asked, has results all the same."""

from __future__ import annotations

import pytest
from small_builds import build_of

from dossier.assessment.assess import assess
from dossier.buildfile.source import BuildFileError


def test_what_moves_a_voltage_that_never_stands_is_not_said() -> None:
    """An amplifier that switches off above the rested voltage never plays: no sensitivity, and no error either."""
    build = build_of({"amplifiers": {"amp": {"low_voltage_shutdown": "13.5 V", "restart_voltage": "14 V"}}})
    results = assess(build)
    assert results.load_cases[0].amplifiers[0].outcome.shutdowns
    assert results.sensitivity is None


@pytest.mark.parametrize("level", ["1e9 dB", "1e99 dB", "400 dB"])
def test_a_level_beyond_all_numbers_is_out_of_range(level: str) -> None:
    """Ten to its tenth is no number any more: refused like any other value out of its bounds."""
    with pytest.raises(BuildFileError) as caught:
        build_of({"load_cases": {"note": {"level": level}}})
    assert [one.code for one in caught.value.diagnostics] == ["out-of-range"]
