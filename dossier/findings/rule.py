"""What a rule is: a code with its reason, cure and source; and what it looks at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.fitted import Fitted, Running
from dossier.results.budget import LoadBudget
from dossier.results.charging import Charging
from dossier.results.overview import AmplifierRow
from dossier.results.protection import Protection
from dossier.results.recorded import Recorded
from dossier.results.sag import LoadCaseResult
from dossier.results.schedule import ConductorRow
from dossier.results.storage import Storage


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule.

    Attributes:
        code: stable kebab-case code.
        title: what is wrong, in a few words.
        consequence: what follows if nothing is done.
        fix: what cures it.
        source: published source, or "common practice, no source".
        example: a case in figures, or what to write into the build file.
    """

    code: str
    title: str
    consequence: str
    fix: str
    source: str
    example: str

    def finding(self, severity: Severity, headline: str, path: str, *, fix: str = "") -> Diagnostic:
        """This rule, broken at a place of the build file.

        Args:
            severity: stop, caution or note.
            headline: the sentence with its numbers.
            path: dotted path in the build file.
            fix: a cure with numbers, instead of the general one.
        """
        return Diagnostic(
            self.code,
            severity,
            headline,
            path=path,
            consequence=self.consequence,
            fix=fix or self.fix,
            source=self.source,
        )


@dataclass(frozen=True, slots=True)
class Subject:
    """Everything a rule may look at.

    ``running`` has one entry per engine state the build is looked at in.
    """

    build: Build
    fit: Fitted
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
