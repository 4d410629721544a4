"""The rules: complete, unique, explained; and the demos say what they are meant to say."""

from __future__ import annotations

import importlib
import pkgutil
import re
from functools import cache
from pathlib import Path

import pytest

from dossier import findings
from dossier.assessment.assess import assess_nominal
from dossier.buildfile.reader import read_build
from dossier.diagnostic import Severity
from dossier.findings.every import FAMILIES, RULES
from dossier.findings.rule import Rule
from dossier.results.overview import Results

DEMOS = Path(__file__).parents[2] / "demo_builds"
UNSAFE = {
    "conductor-overloaded": Severity.STOP, "conductor-unprotected": Severity.STOP, "fuse-above-ampacity": Severity.STOP,
    "breaking-capacity-below-fault": Severity.STOP, "fuse-far-from-source": Severity.STOP,
    "speaker-lead-overloaded": Severity.STOP, "charging-above-window": Severity.STOP,
    "capacitor-cell-above-rating": Severity.STOP, "lithium-charged-in-the-cold": Severity.STOP,
    "gas-in-the-cabin": Severity.STOP, "payload-exceeded": Severity.STOP, "supply-above-maximum": Severity.STOP,
    "alternator-lead-below-output": Severity.CAUTION,
    "remote-lead-unprotected": Severity.CAUTION, "lithium-in-engine-bay": Severity.CAUTION,
    "mixed-chemistries": Severity.STOP, "alternator-overspeed": Severity.CAUTION,
    "source-joined-without-cable": Severity.CAUTION,
    "rating-beyond-its-fuses": Severity.CAUTION, "bank-without-pre-charge": Severity.CAUTION,
    "live-without-the-starter-battery": Severity.NOTE, "mass-not-stated": Severity.NOTE,
    "terminals-above-50-volts": Severity.NOTE, "voltage-not-judged": Severity.NOTE,
}  # fmt: skip


@cache
def results(name: str) -> Results:
    """A demo, computed once."""
    return assess_nominal(read_build(DEMOS / f"{name}.yaml"))


def test_every_family_is_listed() -> None:
    """Every module with rules is one of the families, so that no rule is forgotten."""
    modules = [importlib.import_module(f"dossier.findings.{m.name}") for m in pkgutil.iter_modules(findings.__path__)]
    with_rules = {m for m in modules if any(isinstance(one, Rule) for one in vars(m).values())}
    assert with_rules == set(FAMILIES)


def test_every_rule_of_the_table_is_asked_by_one_family() -> None:
    """The table of rules has no rule that nobody asks, and none that two families ask."""
    asked = [one.code for family in FAMILIES for one in vars(family).values() if isinstance(one, Rule)]
    assert sorted(asked) == sorted(rule.code for rule in RULES)


def test_codes_are_unique_and_explained() -> None:
    """Codes are unique kebab-case; every rule has title, consequence, fix and source."""
    codes = re.findall(r"(?m)^ \"(.+)\": {$", (Path(findings.__path__[0]) / "rules.json").read_text(encoding="utf-8"))
    assert sorted(codes) == sorted(rule.code for rule in RULES)
    for rule in RULES:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", rule.code), rule.code
        assert all(len(text) > 8 for text in (rule.title, rule.consequence, rule.fix, rule.source)), rule.code


@pytest.mark.practice
def test_the_unsafe_demo_says_what_is_meant() -> None:
    """Every fault that was built into the unsafe demo comes out, at its severity."""
    worst: dict[str, Severity] = {}
    for finding in results("unsafe-findings").findings:
        worst[finding.code] = max(finding.severity, worst.get(finding.code, Severity.OK))
    for code, severity in UNSAFE.items():
        assert worst.get(code) == severity, code


def test_the_unsafe_demo_shows_both_kinds_of_remedy() -> None:
    """A feed gets sizes and fuses as a patch; a lead along the exhaust gets none: relocate it."""
    remedies = {r.cable: r for r in results("unsafe-findings").protection.remedies}
    assert remedies["feed"].patch is not None
    assert remedies["alternator_lead"].patch is None
    assert "reroute it" in remedies["alternator_lead"].words


@pytest.mark.practice
@pytest.mark.parametrize("name", ["hatchback-first-amp", "estate-handover", "van-competition", "pickup-plan"])
@pytest.mark.sweep(4)
def test_the_other_demos_have_no_stop(name: str) -> None:
    """A handed-over or planned demo has no stop."""
    assert [f.headline for f in results(name).findings if f.severity >= Severity.STOP] == []


def test_many_notes_of_one_rule_are_told_in_one() -> None:
    """Three notes and more of one rule are one note that names each place; two stay two, and a stop stands alone."""
    slow = [f for f in results("van-competition").findings if f.code == "fuse-slow-in-smallest-fault"]
    assert len(slow) == 1
    assert len(re.findall(", fuse ", slow[0].headline)) >= 3
    assert sum(f.code == "conductor-unprotected" for f in results("unsafe-findings").findings) >= 3


def test_every_finding_belongs_to_a_rule_and_a_line() -> None:
    """Findings carry a known code, a position in the file, consequence, cure and source."""
    known = {rule.code for rule in RULES}
    for finding in results("unsafe-findings").findings:
        assert finding.code in known
        assert finding.where is not None
        assert finding.consequence
        assert finding.fix
        assert finding.source


def test_a_mass_is_missed_where_it_is_missing() -> None:
    """The note on masses that are not stated stands at the first device without one, in the order of the file."""
    build = read_build(DEMOS / "unsafe-findings.yaml")
    held = assess_nominal(build)
    note = next(f for f in held.findings if f.code == "mass-not-stated")
    assert note.where is not None
    without = [m.path for m in held.storage.masses if m.mass is None]
    assert note.path in without
    assert note.where.line == min(build.places[path].line for path in without)
