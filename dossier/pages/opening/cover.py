"""The cover: verdict first, then the few numbers, the record, the open points and the number of energy sources."""

from __future__ import annotations

from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.pages.appendix.sources import counted, turning, warning, with_place
from dossier.pages.delivery.signoff import code
from dossier.pages.plots import outcome_sentence, sag_box, worst_of
from dossier.pages.section import Stamp
from dossier.pages.words import capital, count, word
from dossier.pdf.flow import Rule, gap, rich, text, together
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, data_table, pairs
from dossier.pdf.text import markup, plain
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.sag import LoadCaseResult

_HALF = (style.LIVE_WIDTH - style.GUTTER) / 2
_OPEN_POINTS = 4
_SOURCES = 6


def cover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The first page."""
    record = build.record
    story: list[Any] = [
        gap(4),
        columns(
            [
                [
                    text(plain(record.title, 110), "title"),
                    text(
                        say(
                            "cover.installation_dossier_revision",
                            number=plain(record.number, 40),
                            revision=plain(record.revision, 20),
                        ),
                        "subtitle",
                    ),
                ],
                [code(build, stamp)],
            ],
            shares=(0.86, 0.14),
        ),
        gap(5),
        rich(
            f"{mark(results.verdict.severity)}&nbsp; {markup(results.verdict.sentence)}",
            "lead",
        ),
        gap(2),
    ]
    if results.key_figures:
        story += [Rule(after=5), _key_figures(results), Rule(before=6, after=8)]
    story += [
        columns([_record(build, stamp), _open_points(results)]),
        gap(9),
        *_energy_sources(build, results),
    ]
    case = worst_case(results)
    if case is not None:
        story.append(
            together(
                text(say("cover.voltage", title=plain(case.title, 90)), "heading_2"),
                gap(3),
                sag_box(case),
                text(outcome_sentence(worst_of(case)), "caption"),
            )
        )
    return story


def worst_case(results: Results) -> LoadCaseResult | None:
    """The load case to show first: a collapse before the lowest voltage."""

    def depth(case: LoadCaseResult) -> float:
        volts = worst_of(case).mean_minimum.volts
        return -1.0 if volts is None else volts

    return min(results.load_cases, key=depth, default=None)


def _key_figures(results: Results) -> Any:
    return columns(
        [
            [text(plain(one.value, 24), "key_figure"), text(capital(plain(one.caption, 80)), "key_caption")]
            for one in results.key_figures[:4]
        ],
        gutter=12,
    )


def _record(build: Build, stamp: Stamp) -> list[Any]:
    record, vehicle = build.record, build.vehicle
    rows = [
        (say("cover.vehicle"), plain(vehicle.description, 120)),
        (say("cover.system"), say("cover.nominal", system=vehicle.system.text)),
        (say("cover.customer"), plain(record.customer, 80) or say("cover.not_recorded")),
        (say("cover.workshop"), plain(record.workshop, 80) or say("cover.not_recorded")),
        (say("cover.stage"), word(record.stage)),
        (say("cover.date"), plain(record.date, 30)),
        (say("cover.digest"), stamp.digest),
    ]
    return [text(say("cover.record"), "heading_2"), gap(2), pairs(rows, _HALF, 0.24)]


def _open_points(results: Results) -> list[Any]:
    ranked = sorted(
        (one for one in results.findings if one.severity >= Severity.NOTE), key=lambda one: -int(one.severity)
    )
    shown = ranked[:_OPEN_POINTS]
    head: list[Any] = [text(say("cover.open_points"), "heading_2"), gap(2)]
    if not shown:
        return [*head, text(say("cover.none_no_finding_of_this_computation"), "cell")]
    rows = [[rich(mark(one.severity), "cell"), _point(one)] for one in shown]
    made: list[Any] = [
        *head,
        data_table([Column("", share=0.2), Column("", share=0.8)], rows, total=_HALF, head=False, after=3),
    ]
    more = len(ranked) - len(shown)
    if more:
        made.append(text(say("cover.and_see_findings", more=count(more, "more finding")), "note"))
    return made


def _point(one: Diagnostic) -> Any:
    return text(capital(plain(one.headline, 150)), "cell")


def _energy_sources(build: Build, results: Results) -> list[Any]:
    sources = results.energy_sources
    names = with_place(sources, _SOURCES)
    each = say("cover.each_has_to_be_made_dead" if len(sources) > 1 else "cover.has_to_be_made_dead", names=names)
    return [
        rich(
            f'<font color="{style.ACCENT}">{markup(counted(results))}.</font> {markup(warning(build, results))}',
            "warning",
        ),
        text(" ".join(part for part in (each if sources else "", turning(results)) if part), "note"),
        gap(6),
    ]
