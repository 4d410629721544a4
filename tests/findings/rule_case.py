"""What a case of a rule is: the sound build with one entry that breaks the rule, and with one that keeps it."""

from __future__ import annotations

import json
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

import yaml

from dossier.assessment.assess import assess
from dossier.buildfile.options import merge_patch
from dossier.buildfile.reader import read_build_text
from dossier.diagnostic import Diagnostic, Severity

SOUND_BUILD = Path(__file__).with_name("sound_build.yaml")


@dataclass(frozen=True, slots=True)
class Case:
    """One rule, broken and kept: two builds that differ in one entry.

    Attributes:
        code: of the rule.
        severity: of the finding.
        path: that the finding points to.
        entry: dotted path of the one entry in which both builds differ.
        breaks: its value in the build that breaks the rule, as YAML; None = the entry is left out.
        keeps: its value in the nearest build that keeps the rule.
        because: why the limit lies between the two, and the source of that.
        evidence: marker of the test, see pyproject.toml.
        given: what both builds have besides the sound build, a merge patch as YAML.
    """

    code: str
    severity: Severity
    path: str
    entry: str
    breaks: str | None
    keeps: str | None
    because: str
    evidence: Literal["published", "analytic", "practice"]
    given: str = ""

    def build(self, value: str | None) -> str:
        """The text of the build file with a value of the entry."""
        tree = merge_patch(deepcopy(sound_tree()), yaml.safe_load(self.given) or {})
        *way, last = self.entry.split(".")
        part = tree
        for key in way:
            part = part.setdefault(key, {})
        if value is None:
            part.pop(last, None)
        else:
            part[last] = yaml.safe_load(value)
        return json.dumps(tree, indent=1, default=str, ensure_ascii=False)  # is YAML, too, and quickly written


@cache
def sound_tree() -> dict[str, Any]:
    """The sound build as plain data, not to be changed."""
    tree: dict[str, Any] = yaml.safe_load(SOUND_BUILD.read_text(encoding="utf-8"))
    return tree


@cache
def findings_of(text: str) -> tuple[Diagnostic, ...]:
    """Everything that is wrong with a build, computed once."""
    return assess(read_build_text(text.encode(), "case", "case.yaml"), options=False, readings=True).findings
