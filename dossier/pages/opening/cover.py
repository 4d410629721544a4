"""The first page: the verdict, the figures that decide, what must be settled, the answer, the sources."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.appendix.sources import counted, turning, warning, with_place
from dossier.pages.delivery.signoff import code
from dossier.pages.opening.answer import answer, compared
from dossier.pages.opening.settle import grouped, to_settle
from dossier.pages.plots import outcome_sentence, sag_box, worst_of
from dossier.pages.section import Stamp
from dossier.pages.words import capital, word
from dossier.pdf.flow import Rule, gap, rich, text, together
from dossier.pdf.marks import mark
from dossier.pdf.tables import columns
from dossier.pdf.text import markup, plain
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.sag import LoadCaseResult

_SOURCES: Final = 6
_FIGURE: Final = 104.0  # pt, height of the figure
_ROOM: Final = 5  # rows of findings and readings beside which the worst load case still has room on the page


def cover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The first page."""
    record = build.record
    made: list[Any] = [
        gap(2),
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
                    text(_record(build), "note"),
                ],
                [code(build, stamp), text(stamp.digest, "note")],
            ],
            shares=(0.86, 0.14),
        ),
        gap(2),
        rich(f"{mark(results.verdict.severity)}&nbsp; {markup(results.verdict.sentence)}", "verdict"),
    ]
    if results.key_figures:
        made += [Rule(after=5), _key_figures(results), Rule(before=6, after=6)]
    found = to_settle(build, results)
    if found:
        made += [text(say("cover.stops_and_cautions"), "heading_2"), *found]
    made += [*answer(build, results), gap(4), *_energy_sources(build, results)]
    case = worst_case(results)
    if case is not None and _rows(build, results) < _ROOM:
        made.append(
            together(
                text(say("cover.voltage", title=plain(case.title, 90)), "heading_2"),
                gap(3),
                sag_box(case, _FIGURE),
                text(outcome_sentence(worst_of(case)), "caption"),
            )
        )
    return made


def worst_case(results: Results) -> LoadCaseResult | None:
    """The load case to show first: a collapse before the lowest voltage."""

    def depth(case: LoadCaseResult) -> float:
        volts = worst_of(case).mean_minimum.volts
        return -1.0 if volts is None else volts

    return min(results.load_cases, key=depth, default=None)


def _rows(build: Build, results: Results) -> int:
    readings = 0 if build.record.stage == "design" else len(compared(results))
    return readings + sum(len(grouped(results.findings, level)) for level in (Severity.STOP, Severity.CAUTION))


def _record(build: Build) -> str:
    record = build.record
    return say(
        "cover.record_line",
        stage=capital(word(record.stage)),
        date=plain(record.date, 30),
        vehicle=plain(build.vehicle.description, 120),
        system=build.vehicle.system.text,
        workshop=plain(record.workshop, 80),
        customer=say("cover.for_customer", customer=plain(record.customer, 80)) if record.customer else "",
    ).rstrip(" ·")


def _key_figures(results: Results) -> Any:
    return columns(
        [
            [text(plain(one.value, 24), "key_figure"), text(capital(plain(one.caption, 80)), "key_caption")]
            for one in results.key_figures[:4]
        ],
        gutter=12,
    )


def _energy_sources(build: Build, results: Results) -> list[Any]:
    sources = results.energy_sources
    names = with_place(sources, _SOURCES)
    each = say("cover.each_has_to_be_made_dead" if len(sources) > 1 else "cover.has_to_be_made_dead", names=names)
    return [
        rich(f'<font color="{style.ACCENT}">{markup(counted(results))}.</font> {markup(warning(results))}', "warning"),
        text(" ".join(part for part in (each if sources else "", turning(results)) if part), "note"),
    ]
