"""Which fuse opens first, by both data sheets, where trunks side by side share the fault."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import BASE, computed

from dossier.results.protection import Reply

# A main that holds a little less long than the branch takes at the same current, and far longer at half of it.
BRANCH = {"135 A": "100 s", "300 A": "1 s", "6000 A": "0.0025 s"}
MAIN = {"150 A": "80 s", "300 A": "0.8 s", "6000 A": "0.002 s"}


def verdicts(trunks: int) -> dict[str, Reply]:
    """Of every trunk's fuse against the branch's, with one trunk or two that are equal."""
    fuse: dict[str, Any] = {"near": "bay", "distance": "100 mm", "style": "bolt_in", "breaking_capacity": "20 kA"}
    trunk = {**BASE["cables"]["feed"], "fuses": {"front": {**fuse, "rating": "100 A", "holds_for": MAIN}}}
    end = {**fuse, "near": "boot", "rating": "80 A", "opens_within": BRANCH}
    branch = {"from": "boot", "to": "rack", "size": "25 mm2", "insulation": "105 degC", "length": "1 m"}
    results = computed({
        "locations": {"rack": {"ambient": "30 degC"}},
        "amplifiers": {"amp": {"at": "rack"}},
        "cables": {
            **{f"trunk_{k}": trunk for k in range(trunks)},
            "feed": None,
            "branch": {**branch, "role": "feed", "fuses": {"end": end}},
            "branch_back": {**branch, "role": "return", "from": "rack", "to": "boot"},
        },
    })
    return {pair.main: pair.answer.verdict for pair in results.protection.selectivity if "branch" in pair.branch}


@pytest.mark.analytic
def test_two_trunks_hold_what_one_does_not() -> None:
    """Each of two equal trunks carries half of the branch's fault: there both hold until the branch has opened."""
    assert set(verdicts(1).values()) == {Reply.NO}
    shared = verdicts(2)
    assert len(shared) == 2
    assert set(shared.values()) == {Reply.YES}
