"""The findings: severity, the sentence with its numbers, what follows, what cures it, source and line."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.pages.section import Stamp
from dossier.pages.words import capital, count
from dossier.pdf.flow import rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table
from dossier.pdf.text import markup
from dossier.results.overview import Results

_MEANING = {
    Severity.STOP: "do not energise",
    Severity.CAUTION: "works, but outside good practice, or not known well enough",
    Severity.NOTE: "worth knowing",
    Severity.OK: "checked and in order",
}


def findings(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """All findings, worst first; within a severity in the order they were found."""
    ranked = sorted(results.findings, key=lambda one: -int(one.severity))
    tally = ", ".join(
        count(number, level.word) for level in _MEANING if (number := sum(one.severity is level for one in ranked))
    )
    meaning = "; ".join(f"{mark(level)}: {markup(words)}" for level, words in _MEANING.items())
    story: list[Any] = [rich(f"{meaning}."), text(f"In this build: {tally or 'no finding'}.")]
    if ranked:
        story.append(
            data_table(
                [Column("Severity", share=0.16), Column("Finding", share=0.84)],
                [[rich(mark(one.severity), "cell"), _finding(one)] for one in ranked],
            )
        )
    return story


def _finding(one: Diagnostic) -> Any:
    """The whole finding as one paragraph, so that a long one can break over a page."""
    lines = [f"<b>{markup(capital(one.headline))}</b>"]
    if one.consequence:
        lines.append(f"If nothing is done: {markup(one.consequence)}")
    if one.fix:
        lines.append(f"Remedy: {markup(one.fix)}")
    where = f"line {one.where.line} of the build file" if one.where else one.path
    foot = " · ".join(markup(part) for part in (one.code, one.source, where) if part)
    lines.append(f'<font size="7.4" color="#52606D">{foot}</font>')
    return rich("<br/>".join(lines), "cell")
