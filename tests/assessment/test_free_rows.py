"""Rows nobody wrote are judged like options: fault currents, and the findings they add."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import build_of

from dossier.assessment.assess import assess
from dossier.results.options import OptionRow
from dossier.results.overview import Results


def branch(breaking: str) -> dict[str, Any]:
    """An amplifier behind a branch whose fuse, at the end of the feed, breaks so much."""
    fuse = {"near": "boot", "distance": "100 mm", "style": "bolt_in", "rating": "60 A", "breaking_capacity": breaking}
    cable = {"role": "feed", "from": "boot", "to": "rack", "size": "16 mm2", "insulation": "105 degC", "length": "1 m"}
    back = {"role": "return", "from": "rack", "to": "boot", "size": "16 mm2", "insulation": "105 degC", "length": "1 m"}
    main = {"kind": "alternator", "at": "bay", "charging_voltage": "14.2 V", "rated_current": "90 A"}
    return {
        "supplies": {"main": main},
        "vehicle": {"base_load": {"idle": "20 A", "cruise": "25 A"}},
        "load_cases": {"note": {"engine": "idle"}},
        "locations": {"rack": {"ambient": "30 degC"}},
        "amplifiers": {"amp": {"at": "rack"}},
        "cables": {"branch": {**cable, "fuses": {"end": fuse}}, "branch_back": back},
    }


def compared(breaking: str) -> tuple[Results, dict[str, OptionRow]]:
    """Its results, and the rows by id."""
    results = assess(build_of(branch(breaking)))
    assert results.options is not None
    return results, {row.id: row for row in results.options.rows}


@pytest.mark.analytic
def test_thicker_copper_may_ask_more_of_a_fuse() -> None:
    """One size up has less resistance, so more fault current: a fuse that just breaks it now no longer does."""
    results, _ = compared("20 kA")
    most = next(one.most for one in results.protection.fuses if one.cable == "branch")
    _, rows = compared(f"{1.01 * most / 1000.0:.4f} kA")
    up = rows["one_size_up"]
    assert up.is_judged
    assert any("can interrupt" in words for words in up.adds)
    assert rows["raised_idle"].adds == ()


def test_what_changes_no_conductor_changes_no_fault() -> None:
    """A raised idle has the fault currents of the build; the build itself, and asking less, add nothing."""
    _, rows = compared("20 kA")
    assert rows["raised_idle"].fault_current == rows["build"].fault_current
    assert not rows["build"].is_judged
    assert all(not row.is_judged and not row.adds for row in rows.values() if row.id == "asking_less")
