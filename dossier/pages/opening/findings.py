"""The findings: severity, the sentence with its numbers, what follows, what cures it, source and line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.buildfile.tags import tag_at, tags_of
from dossier.diagnostic import Diagnostic, Severity
from dossier.pages.opening.settle import grouped
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
        tags = tags_of(build)
        story.append(
            table_of(
                [group for level in _LEVELS for group in grouped(results.findings, level)],
                [
                    Column(say("findings.severity"), lambda group: rich(mark(group[0].severity), "cell"), share=0.1),
                    Column(say("columns.finding"), lambda group: _findings(tags, group), share=0.9),
                ],
            )
        )
    return story


def _findings(tags: Mapping[str, str], group: Sequence[Diagnostic]) -> Any:
    """What breaks one rule, as one paragraph, so that a long one can break over a page; what is alike is said once."""
    lines = [f"<b>{_tagged(tags, one)}{markup(capital(one.headline))}</b>" for one in group]
    first = group[0]
    if first.consequence:
        lines.append(say("findings.if_nothing_is_done", consequence=markup(first.consequence)))
    fixes: dict[str, list[str]] = {}
    for one in group:
        if one.fix:
            fixes.setdefault(one.fix, []).append(tag_at(tags, one.path))
    for fix, which in fixes.items():
        whose = f"{', '.join(tag for tag in which if tag)}: " if len(fixes) > 1 and any(which) else ""
        lines.append(say("findings.remedy", fix=whose + markup(fix)))
    places = dict.fromkeys(str(one.where.line) if one.where else one.path for one in group)
    where = say("findings.line_of_the_build_file", line=", ".join(places)) if first.where else ", ".join(places)
    foot = " · ".join(markup(part) for part in (first.code, first.source, where) if part)
    lines[-1] += f' <font size="7.2" color="{style.MUTED}">{foot}</font>'
    return rich("<br/>".join(lines), "cell")


def _tagged(tags: Mapping[str, str], one: Diagnostic) -> str:
    tag = tag_at(tags, one.path)
    return f"{tag} " if tag else ""
