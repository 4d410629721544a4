"""The cover: verdict first, then the few numbers, the record, the open points and the number of energy sources."""

from __future__ import annotations

from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.pages.plots import outcome_sentence, sag_box, worst_of
from dossier.pages.section import Stamp
from dossier.pages.signoff import code
from dossier.pages.words import capital, count, word
from dossier.pdf.flow import Rule, gap, rich, text, together
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, data_table, pairs
from dossier.pdf.text import markup, plain
from dossier.results.overview import Results
from dossier.results.sag import LoadCaseResult

_HALF = (style.LIVE_WIDTH - style.GUTTER) / 2
_OPEN_POINTS = 4


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
                        f"Installation dossier {plain(record.number, 40)}, revision {plain(record.revision, 20)}",
                        "subtitle",
                    ),
                ],
                [code(build, stamp)],
            ],
            shares=(0.86, 0.14),
        ),
        gap(5),
        rich(
            f"{mark(results.verdict.severity, _verdict_word(results))}&nbsp; "
            f"{markup(results.verdict.sentence)}",
            "lead",
        ),
        gap(2),
    ]
    if results.key_figures:
        story += [Rule(after=5), _key_figures(results), Rule(before=6, after=8)]
    story += [
        columns([_record(build, stamp), _open_points(results)]),
        gap(9),
        *_energy_sources(results),
    ]
    case = worst_case(results)
    if case is not None:
        story.append(
            together(
                text(f"Voltage, {plain(case.title, 90)}", "heading_2"),
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


def _verdict_word(results: Results) -> str:
    return {Severity.OK: "OK", Severity.ERROR: "Stop"}.get(
        results.verdict.severity, results.verdict.severity.word.capitalize()
    )


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
        ("Vehicle", plain(vehicle.description, 120)),
        ("System", f"{vehicle.system.text} nominal"),
        ("Customer", plain(record.customer, 80) or "not recorded"),
        ("Workshop", plain(record.workshop, 80) or "not recorded"),
        ("Stage", word(record.stage)),
        ("Date", plain(record.date, 30)),
        ("Digest", stamp.digest),
    ]
    return [text("Record", "heading_2"), gap(2), pairs(rows, _HALF, 0.24)]


def _open_points(results: Results) -> list[Any]:
    ranked = sorted(
        (one for one in results.findings if one.severity >= Severity.NOTE), key=lambda one: -int(one.severity)
    )
    shown = ranked[:_OPEN_POINTS]
    head: list[Any] = [text("Open points", "heading_2"), gap(2)]
    if not shown:
        return [*head, text("None: no finding of this computation is open.", "cell")]
    rows = [[rich(mark(one.severity), "cell"), _point(one)] for one in shown]
    made: list[Any] = [
        *head,
        data_table([Column("", share=0.2), Column("", share=0.8)], rows, total=_HALF, head=False, after=3),
    ]
    more = len(ranked) - len(shown)
    if more:
        made.append(text(f"and {count(more, 'more finding')}: see Findings.", "note"))
    return made


def _point(one: Diagnostic) -> Any:
    return text(capital(plain(one.headline, 150)), "cell")


def _energy_sources(results: Results) -> list[Any]:
    sources = results.energy_sources
    names = ", ".join(f"{capital(plain(one.title, 40))} ({plain(one.location, 40)})" for one in sources[:6])
    if len(sources) > 6:
        names += f" and {len(sources) - 6} more"
    warning = "Taking off the front terminal does not make the rear dead." if len(sources) > 1 else ""
    return [
        rich(
            f'<font color="{style.ACCENT}">{markup(count(len(sources), "energy source"))}.</font> {markup(warning)}',
            "warning",
        ),
        text(f"{names}. Each has to be made dead by itself.", "note"),
        gap(6),
    ]
