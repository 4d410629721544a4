"""Stops and cautions in few lines: each by its headline, alike ones once by the name of their rule with their tags."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dossier.buildfile.model import Build
from dossier.buildfile.tags import tag_at, tags_of
from dossier.diagnostic import Diagnostic, Severity
from dossier.pages.words import capital
from dossier.pdf.flow import rich
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table
from dossier.pdf.text import markup, plain
from dossier.results.overview import Results


def to_settle(build: Build, results: Results) -> list[Any]:
    """A row for each rule that a stop or a caution breaks, worst first; nothing where there is none."""
    rows = [
        [rich(mark(level), "cell"), rich(_row(build, group), "cell")]
        for level in (Severity.STOP, Severity.CAUTION)
        for group in grouped(results.findings, level)
    ]
    if not rows:
        return []
    columns: list[Column[Any]] = [Column("", share=0.12), Column("", share=0.88)]
    return [data_table(columns, rows, head=False, after=4.0)]


def grouped(findings: Sequence[Diagnostic], level: Severity) -> list[list[Diagnostic]]:
    """The findings of one severity by their rule, in the order in which the rules were first broken."""
    groups: dict[str, list[Diagnostic]] = {}
    for one in findings:
        if one.severity is level:
            groups.setdefault(one.code, []).append(one)
    return list(groups.values())


def _row(build: Build, group: Sequence[Diagnostic]) -> str:
    """Markup: one headline in full, or the name of the rule with whatever breaks it."""
    if len(group) == 1:
        tag = tag_at(tags_of(build), group[0].path)
        return f"{f'<b>{tag}</b> ' if tag else ''}{markup(capital(group[0].headline))}"
    return f"<b>{markup(group[0].title)}:</b> {markup('; '.join(dict.fromkeys(_about(build, one) for one in group)))}"


def _about(build: Build, one: Diagnostic) -> str:
    """What a finding is about: its tag and what it is called, else its headline."""
    tag = tag_at(tags_of(build), one.path)
    if not tag:
        return capital(plain(one.headline, 300))
    name = plain(one.headline.partition(":")[0], 60)
    return f"{tag} {name}" if len(name) < 60 else tag
