"""Sources and what they feed must be made for the same system: a battery of another voltage never passes in silence."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.assessment.assess import assess_nominal
from dossier.buildfile.reader import read_build_text
from dossier.diagnostic import Severity

DEMO = Path(__file__).parents[2] / "demo_builds" / "van-competition.yaml"


def severities(old: str, new: str) -> dict[str, Severity]:
    """Worst severity by code of the competition van with one text replaced."""
    text = DEMO.read_text(encoding="utf-8")
    assert old in text
    build = read_build_text(text.replace(old, new).encode(), "van", str(DEMO))
    worst: dict[str, Severity] = {}
    for finding in assess_nominal(build).findings:
        worst[finding.code] = max(finding.severity, worst.get(finding.code, Severity.OK))
    return worst


@pytest.mark.practice
def test_a_battery_of_another_voltage_is_stopped() -> None:
    """Eighteen titanate cells (43 V) in a 12 V system: the battery and every amplifier on its bus say stop."""
    found = severities("cells: 6", "cells: 18")
    assert found["battery-not-of-this-system"] == Severity.STOP
    assert found["supply-above-maximum"] == Severity.STOP


@pytest.mark.practice
def test_a_battery_that_fits_is_not_mentioned() -> None:
    """Six titanate cells (13.8 V) belong to a 12 V system."""
    found = severities("cells: 6", "cells: 6")
    assert "battery-not-of-this-system" not in found
    assert "supply-above-maximum" not in found


@pytest.mark.practice
def test_an_unknown_maximum_is_a_caution() -> None:
    """Where an amplifier's highest supply is not stated, more than is usual is a caution, not silence."""
    text = DEMO.read_text(encoding="utf-8").replace("cells: 6", "cells: 7").replace(" maximum_supply: 17 V,", "")
    found = assess_nominal(read_build_text(text.encode(), "van", str(DEMO))).findings
    assert {f.severity for f in found if f.code == "supply-maximum-not-known"} == {Severity.CAUTION}
