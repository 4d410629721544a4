"""The findings: severity, the sentence with its numbers, what follows, what cures it, source and line."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.pages.section import Stamp
from dossier.pages.words import capital, count
from dossier.pdf.flow import rich
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, table_of
from dossier.pdf.text import markup
from dossier.reader.wording import say, terms
from dossier.results.overview import Results

_LEVELS: Final = (Severity.STOP, Severity.CAUTION, Severity.NOTE, Severity.OK)


def findings(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """All findings, worst first; within a severity in the order they were found."""
    ranked = sorted(results.findings, key=lambda one: -int(one.severity))
    tally = ", ".join(
        count(number, level.word) for level in _LEVELS if (number := sum(one.severity is level for one in ranked))
    )
    meaning = "; ".join(f"{mark(level)}: {markup(terms('findings.meaning')[level.word])}" for level in _LEVELS)
    counted = markup(say("findings.in_this_build", tally=tally or say("findings.no_finding")))
    story: list[Any] = [rich(f"{meaning}.<br/>{counted}")]  # one paragraph: the table's beginning stays with it
    if ranked:
        story.append(
            table_of(
                ranked,
                [
                    Column(say("findings.severity"), lambda one: rich(mark(one.severity), "cell"), share=0.16),
                    Column(say("columns.finding"), _finding, share=0.84),
                ],
            )
        )
    return story


def _finding(one: Diagnostic) -> Any:
    """The whole finding as one paragraph, so that a long one can break over a page."""
    lines = [f"<b>{markup(capital(one.headline))}</b>"]
    if one.consequence:
        lines.append(say("findings.if_nothing_is_done", consequence=markup(one.consequence)))
    if one.fix:
        lines.append(say("findings.remedy", fix=markup(one.fix)))
    where = say("findings.line_of_the_build_file", line=one.where.line) if one.where else one.path
    foot = " · ".join(markup(part) for part in (one.code, one.source, where) if part)
    lines.append(f'<font size="7.4" color="{style.MUTED}">{foot}</font>')
    return rich("<br/>".join(lines), "cell")
