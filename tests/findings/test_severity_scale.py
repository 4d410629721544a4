"""One danger, one weight: every finding lies on the scale that its rule's danger names (DEVELOPERS.md)."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from rule_case import Case
from test_every_rule_fires import CASES

from dossier.diagnostic import Severity
from dossier.findings.every import FAMILIES, RULES
from dossier.findings.rule import Danger, Rule

OF = {rule.code: rule.danger for rule in RULES}
FIXED = ("stop", "caution", "note")  # the ways of a rule to make a finding of one severity
WAYS = (*FIXED, "finding")


def severities(call: ast.Call) -> set[Severity]:
    """Every severity that a call gives: by its name, or by its first argument as far as it is written there."""
    if isinstance(call.func, ast.Attribute) and call.func.attr in FIXED:
        return {Severity[call.func.attr.upper()]}
    names = {node.attr for node in ast.walk(call.args[0]) if isinstance(node, ast.Attribute)}
    return {Severity[name] for name in names & set(Severity.__members__)}


def calls(family: object) -> Iterator[tuple[int, Danger, set[Severity]]]:
    """Where a family makes findings: line, danger of the rule or of that finding, severities written there."""
    for node in ast.walk(ast.parse(Path(str(getattr(family, "__file__", ""))).read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in WAYS:
            rule = getattr(family, node.func.value.id, None) if isinstance(node.func.value, ast.Name) else None
            stated = [k.value for k in node.keywords if k.arg == "danger"]
            less = [n.attr for one in stated for n in ast.walk(one) if isinstance(n, ast.Attribute)]
            dangers = [Danger[name] for name in less if name in Danger.__members__]
            for danger in [*dangers, *([rule.danger] if isinstance(rule, Rule) else [])]:
                yield node.lineno, danger, severities(node)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.__name__.rpartition(".")[2])
def test_what_is_written_lies_on_the_scale(family: object) -> None:
    """No family gives a finding a weight that the danger of its rule does not have, a lesser danger apart."""
    by_line: dict[int, tuple[set[Severity], set[Severity]]] = {}
    for line, danger, given in calls(family):
        allowed = by_line.setdefault(line, (set(), given))[0]
        allowed |= danger.severities
    assert {line: given - allowed for line, (allowed, given) in by_line.items() if given - allowed} == {}


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.code}: {case.entry} {case.breaks}")
def test_a_case_weighs_what_its_danger_does(case: Case) -> None:
    """The severity of every broken build is one of its danger's; only a lesser danger, named in the rule, is a note."""
    assert case.severity in OF[case.code].severities or case.severity is Severity.NOTE


def test_dangers_that_hurt_are_never_notes() -> None:
    """What burns, vents, breaks loose or destroys stops; not surely known, it is a caution, never less."""
    for danger in (Danger.FIRE, Danger.EXPLOSION, Danger.CRASH, Danger.DESTRUCTION, Danger.IMPOSSIBLE):
        assert danger.severities == {Severity.STOP, Severity.CAUTION}
    assert all(Severity.STOP not in one.severities for one in Danger if one.value[1] < Severity.STOP)
