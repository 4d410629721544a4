"""Every rule, broken and kept: of two builds that differ in one entry the finding comes in one, at its place."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import cases_of_alternators
import cases_of_amplifiers
import cases_of_banks
import cases_of_bridged
import cases_of_conductors
import cases_of_contradictions
import cases_of_fuses
import cases_of_leads
import cases_of_record
import cases_of_sources
import cases_of_storage
import cases_of_systems
import cases_of_voltage
import pytest
from PIL import Image
from rule_case import SOUND_BUILD, Case, findings_of

from dossier.buildfile.reader import read_build
from dossier.diagnostic import Diagnostic
from dossier.findings.every import RULES
from dossier.record.photos import prepared

CASES = (
    *cases_of_conductors.CASES,
    *cases_of_fuses.CASES,
    *cases_of_bridged.CASES,
    *cases_of_contradictions.CASES,
    *cases_of_leads.CASES,
    *cases_of_sources.CASES,
    *cases_of_systems.CASES,
    *cases_of_banks.CASES,
    *cases_of_alternators.CASES,
    *cases_of_storage.CASES,
    *cases_of_amplifiers.CASES,
    *cases_of_voltage.CASES,
    *cases_of_record.CASES,
)
PICTURES = cases_of_record.PICTURES


def rows(cases: Sequence[Case]) -> list[Any]:
    """One test a case, named for its rule and what breaks it."""
    return [
        pytest.param(case, id=f"{case.code}: {case.entry} {case.breaks}", marks=getattr(pytest.mark, case.evidence))
        for case in cases
    ]


def judge(case: Case, broken: Sequence[Diagnostic], kept: Sequence[Diagnostic]) -> None:
    """The broken build has the finding once, at its severity and place; the kept one does not have it."""
    told = [f for f in broken if f.code == case.code]
    assert [(f.severity, f.path) for f in told] == [(case.severity, case.path)], case.because
    assert told[0].where is not None
    assert [f.headline for f in kept if f.code == case.code] == [], case.because


@pytest.mark.parametrize("case", rows(CASES))
@pytest.mark.sweep(6)
def test_a_rule_is_broken_and_kept(case: Case) -> None:
    """The finding comes where the rule is broken, and not in the nearest build that keeps it."""
    judge(case, findings_of(case.build(case.breaks)), findings_of(case.build(case.keeps)))


@pytest.mark.parametrize("case", rows(PICTURES))
def test_a_picture_is_refused_and_taken(case: Case, tmp_path: Path) -> None:
    """The same for what is found when pictures are read: they lie beside the build file."""
    Image.new("RGB", (64, 48), "white").save(tmp_path / "there.png")
    found = []
    for value in (case.breaks, case.keeps):
        path = tmp_path / "case.yaml"
        path.write_text(case.build(value), encoding="utf-8")
        found.append(prepared(read_build(path))[1])
    judge(case, *found)


def test_every_rule_has_a_case() -> None:
    """A new rule needs a build that breaks it and one that keeps it; a case of a rule that is gone goes too."""
    assert {case.code for case in (*CASES, *PICTURES)} == {rule.code for rule in RULES}


@pytest.mark.practice
def test_the_sound_build_breaks_no_rule() -> None:
    """What every case starts from has no finding at all: what comes in a case comes from what it changes."""
    assert [f.headline for f in findings_of(SOUND_BUILD.read_text(encoding="utf-8"))] == []
