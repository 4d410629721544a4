"""What a rule is: a code with its reason, cure and source; and what it looks at.

The texts of every rule stand in ``rules.json``, in the order of the document; one with temperatures or volumes in it
has a metric and a US reading. What a rule asks for stands in its family.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import field
from enum import Enum
from pathlib import Path
from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.installed import Installed, Running
from dossier.frozen import dataclass
from dossier.reader.said import said_in
from dossier.results.budget import LoadBudget
from dossier.results.charging import Charging
from dossier.results.overview import AmplifierRow
from dossier.results.protection import Protection
from dossier.results.recorded import Recorded
from dossier.results.sag import LoadCaseResult
from dossier.results.schedule import ConductorRow
from dossier.results.storage import Storage


class Danger(Enum):
    """What a broken rule can do, with how much that weighs: known and exceeded, and not surely known.

    The scale of DEVELOPERS.md; a test holds every finding to it, so that one danger weighs the same everywhere.
    """

    FIRE = ("something burns, or a fault is not cleared", Severity.STOP, Severity.CAUTION)
    EXPLOSION = ("gas, acid, or a cell that vents or burns", Severity.STOP, Severity.CAUTION)
    CRASH = ("a mass that breaks loose or overloads the vehicle", Severity.STOP, Severity.CAUTION)
    DESTRUCTION = ("a device is destroyed at once", Severity.STOP, Severity.CAUTION)
    IMPOSSIBLE = ("it cannot work as it is written", Severity.STOP, Severity.CAUTION)
    FAILURE = ("it stops, the engine does not start, or control units reset", Severity.CAUTION, Severity.NOTE)
    WEAR = ("a device or battery ages early", Severity.CAUTION, Severity.NOTE)
    HEARING = ("hearing is harmed, by how it is used", Severity.CAUTION, Severity.NOTE)
    RECORD = ("the record rests on what nobody measured or saw", Severity.CAUTION, Severity.NOTE)
    NOTICE = ("level lost, or what has to be told", Severity.NOTE, Severity.NOTE)

    @property
    def severities(self) -> frozenset[Severity]:
        """What a finding of this danger may weigh."""
        return frozenset(self.value[1:])


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule."""

    code: str  # stable kebab-case code
    title: str  # what is wrong, in a few words
    consequence: str  # what follows if nothing is done
    fix: str  # what cures it
    source: str  # published source, or "common practice, no source"
    example: str  # a case in figures, or what to write into the build file
    danger: Danger  # what it can do, which bounds the severity of its findings

    def finding(
        self,
        severity: Severity,
        headline: str,
        path: str,
        *,
        fix: str = "",
        danger: Danger | None = None,  # for the test that holds severities to the scale
    ) -> Diagnostic:
        """This rule, broken at a place of the build file.

        Args:
            severity: stop, caution or note.
            headline: the sentence with its numbers.
            path: dotted path in the build file.
            fix: a cure with numbers, instead of the general one.
            danger: of this finding where it is less than the rule's.
        """
        return Diagnostic(
            self.code,
            severity,
            headline,
            path=path,
            consequence=self.consequence,
            fix=fix or self.fix,
            source=self.source,
            title=self.title,
        )

    def stop(self, headline: str, path: str, *, fix: str = "", danger: Danger | None = None) -> Diagnostic:
        """``finding`` that stops."""
        return self.finding(Severity.STOP, headline, path, fix=fix, danger=danger)

    def caution(self, headline: str, path: str, *, fix: str = "", danger: Danger | None = None) -> Diagnostic:
        """``finding`` that cautions."""
        return self.finding(Severity.CAUTION, headline, path, fix=fix, danger=danger)

    def note(self, headline: str, path: str, *, fix: str = "", danger: Danger | None = None) -> Diagnostic:
        """``finding`` that notes."""
        return self.finding(Severity.NOTE, headline, path, fix=fix, danger=danger)


def _rule(code: str, danger: str, **texts: Any) -> Rule:
    return Rule(code, **{key: said_in(text) for key, text in texts.items()}, danger=Danger[danger.upper()])


_TABLE = json.loads((Path(__file__).parent / "rules.json").read_text(encoding="utf-8"))
BY_CODE: Final[Mapping[str, Rule]] = {code: _rule(code, **texts) for code, texts in _TABLE.items()}


@dataclass(frozen=True, slots=True)
class Examined:
    """Everything a rule may look at.

    ``running`` has one entry per engine state the build is looked at in.
    """

    build: Build
    fit: Installed
    running: Mapping[str, Running]
    amplifiers: tuple[AmplifierRow, ...]
    load_cases: tuple[LoadCaseResult, ...]
    budget: LoadBudget
    schedule: tuple[ConductorRow, ...]
    protection: Protection
    charging: Charging
    storage: Storage
    recorded: Recorded = field(default=Recorded())
    logs_left_out: tuple[Diagnostic, ...] = ()
