"""Builds that would take too long are refused before anything is computed, at a line and with the bound."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from sized_build import sized

from dossier.assessment.assess import assess
from dossier.assessment.sag.programmes import LONGEST_S, too_much
from dossier.buildfile.reader import read_build, read_build_text
from dossier.buildfile.source import BuildFileError

DEMOS = sorted((Path(__file__).parents[2] / "demo_builds").glob("*.yaml"))


@pytest.mark.parametrize("path", DEMOS, ids=[path.stem for path in DEMOS])
def test_demos_are_far_from_the_bound(path: Path) -> None:
    """None of the demo builds is refused."""
    assert too_much(read_build(path)) is None


def test_the_largest_build_is_refused_at_once() -> None:
    """Two hundred amplifiers in sixteen load cases: told in a second, with the estimate and the bound."""
    build = read_build_text(sized(amplifiers=200, cases=16).encode(), "large", "large.yaml")
    start = time.process_time()
    with pytest.raises(BuildFileError) as refused:
        assess(build, options=False)
    assert time.process_time() - start < 1.0
    (said,) = refused.value.diagnostics
    assert said.code == "too-much-work"
    assert f"at most {LONGEST_S:.0f} s" in said.headline
    assert said.where is not None


def test_two_hundred_amplifiers_in_one_note_are_computed() -> None:
    """What the schema allows at one place, in one load case, is not refused."""
    assert too_much(read_build_text(sized(amplifiers=200, cases=1).encode(), "large", "large.yaml")) is None
