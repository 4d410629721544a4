"""The example of a rule: what it says to write into the build file can be written there."""

from __future__ import annotations

import re

import pytest
import yaml
from small_builds import BASE, build_of

from dossier.buildfile.options import merge_patch
from dossier.findings.every import RULES
from dossier.findings.rule import Rule

TREE = merge_patch(
    BASE,
    {
        "people": {"fitter": {"name": "Somebody"}},
        "instruments": {"meter": {"kind": "multimeter"}, "wrench": {"kind": "torque_wrench"}},
    },
)
WHOLE = [rule for rule in RULES if re.match(r"(limits|measurements|checklist): \{", rule.example)]


@pytest.mark.parametrize("rule", WHOLE, ids=lambda rule: rule.code)
def test_an_example_in_lines_of_the_build_file_is_accepted(rule: Rule) -> None:
    """Put into a build it is read, and the build says it."""
    patch = yaml.safe_load(rule.example)
    assert build_of(patch, TREE).text
    assert isinstance(patch, dict)


def test_every_rule_has_an_example_of_its_own() -> None:
    """None is missing, and none serves two rules."""
    assert len({rule.example for rule in RULES}) == len(RULES)
    assert all(len(rule.example) > 20 for rule in RULES)
