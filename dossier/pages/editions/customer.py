"""The customer's edition: what was fitted, how to live with it, what to do; plain words, no equations."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.pages.appendix.sources import counted
from dossier.pages.delivery.daily_use import ORDINARY, afterwards, care, daily_use, hearing, is_stopped, playing_time
from dossier.pages.delivery.handover import advice, maintenance
from dossier.pages.delivery.rescue import opening_steps, rescue_card, stores_in_order, whom_to_ask
from dossier.pages.delivery.signoff import code, digest_line, signature_blocks
from dossier.pages.diagram.section import drawings, sheets_of
from dossier.pages.diagram.wiring import Tagged
from dossier.pages.opening.open_points import by_rule, open_points
from dossier.pages.proof.photos import some_photos
from dossier.pages.section import Section, Stamp
from dossier.pages.system.identity import identity_rows
from dossier.pages.words import NONE, count, fixed, name, place_of, word
from dossier.pdf.blank import BlankLines
from dossier.pdf.card import Card
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import Rule, gap, heading, rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, data_table, num, pairs, table_of
from dossier.pdf.text import plain
from dossier.reader.wording import lines, rows_of, say, terms
from dossier.results.overview import Results, Stays

_LOG_LINES: Final = (4, 30)  # at least, at most
_CELLS: Final = "cell_large"
_BESIDE: Final = 3  # tags beside each other in their list
_MANY: Final = 6  # points above which their table is set closely


def cover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The first page: what must be read first, and what the paper belongs to."""
    record = build.record
    stopped = is_stopped(results)
    first = [
        *([say("customer.stop_first")] if stopped else []),
        say("customer.hearing_first"),
        *([] if stopped else [_off_first(build, results)]),
        *([_sources_first(build, results)] if results.energy_sources else []),
    ]
    half = (style.LIVE_WIDTH - style.GUTTER) / 2
    rows: list[tuple[str, Any]] = [
        (say("customer.vehicle"), plain(build.vehicle.description, 120)),
        *identity_rows(build, stamp),
        (say("customer.customer"), plain(record.customer, 80) or say("customer.not_recorded")),
        (say("customer.workshop"), plain(record.workshop, 80) or say("customer.not_recorded")),
        (say("customer.state"), say("customer.state_of", stage=word(record.stage), date=plain(record.date, 30))),
    ]
    contact = whom_to_ask(build)
    if contact:
        rows.append((say("customer.questions_to"), plain(contact, 120)))
    return [
        gap(2),
        text(plain(record.title, 110), "title_owner"),
        text(
            say(
                "customer.for_the_owner_record_revision",
                number=plain(record.number, 40),
                revision=plain(record.revision, 20),
            ),
            "subtitle",
        ),
        text(say("customer.lead_plan") if _is_plan(build) else say("customer.lead"), "lead"),
        Rule(after=4),
        text(say("customer.first"), "heading_1"),
        *(text(line, "warning") for line in first),
        Rule(before=6, after=8),
        columns(
            [[pairs(rows, half, 0.3)], [*_settled(results), gap(6), code(build, stamp), text(stamp.digest, "note")]]
        ),
        gap(6),
        *_fitted(build, results),
    ]


def _off_first(build: Build, results: Results) -> str:
    off = playing_time(results, ORDINARY)
    return say("customer.off_first", time=off, then=afterwards(build, results)) if off else say("customer.off_unknown")


def _sources_first(build: Build, results: Results) -> str:
    left = results.left_live
    if left is Stays.NOTHING:
        return say("customer.source_first", sources=counted(results))
    return say("customer.sources_first" if left is Stays.REAR else "customer.others_first", sources=counted(results))


def _settled(results: Results) -> list[Any]:
    found = open_points(results)
    if not found:
        return [text(say("customer.open_points"), "heading_2"), text(say("customer.open_none"), "cell")]
    worst = max(one.severity for one in found)
    return [
        text(say("customer.open_points"), "heading_2"),
        rich(say("customer.to_be_settled_with_the_workshop", worst=mark(worst, count(len(found), "point"))), "cell"),
    ]


def _fitted(build: Build, results: Results) -> list[Any]:
    when = terms("sources.when")
    return [
        text(say("customer.planned") if _is_plan(build) else say("customer.fitted"), "heading_2"),
        text(say("customer.fitted_words"), "note"),
        data_table(
            [
                num(say("columns.no")),
                Column(say("columns.source"), row_head=True, share=1.1),
                Column(say("columns.kind"), share=0.7),
                Column(say("columns.where"), share=1.0),
                Column(say("customer.what_it_is"), share=1.2),
            ],
            [
                [str(i), name(one.title), one.kind, plain(one.location, 80), one.detail]
                for i, one in enumerate(results.energy_sources, start=1)
            ]
            + [
                [NONE, name(one.title), f"{one.kind}, {when[one.kind]}", plain(one.location, 80), one.detail]
                for one in results.further_sources
            ],
        ),
        table_of(
            results.amplifiers,
            [
                Column(say("columns.amplifier"), lambda one: name(one.title), row_head=True),
                Column(say("columns.where"), lambda one: place_of(build, one.at)),
                Column(
                    say("customer.loudspeakers"),
                    lambda one: ", ".join(name(title, 60) for title in one.speakers) or say("customer.none"),
                    share=1.2,
                ),
                num(say("columns.output_w"), lambda one: fixed(one.rated_w, 0)),
            ],
        ),
    ]


def wired(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The wiring diagram without computed figures, and what its tags are called."""
    wires, displays = drawings(build, None, stamp.units)
    high = -(-len(wires.tags) // _BESIDE)
    beside = [wires.tags[at : at + high] for at in range(0, len(wires.tags), high)]
    rows = [[cell for part in beside for cell in _called(part, row)] for row in range(high)]
    tag: Column[Any] = Column(say("diagram.tag"), row_head=True, share=0.25)
    return [
        FigureWithTable(
            sheets_of(build, wires, displays),
            heading(say("customer.tags"), 2, "customer-tags"),
            data_table([tag, Column(say("columns.what"))] * len(beside), rows),
        )
    ]


def _called(part: Sequence[Tagged], row: int) -> list[str]:
    return [part[row].tag, name(part[row].title, 60)] if row < len(part) else ["", ""]


def isolation(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """How to make everything dead, step by step, and the note for garage and rescue."""
    stores = stores_in_order(build, results)
    steps = [say("customer.dead_engine"), *opening_steps(build, stores), say("customer.dead_last")]
    return [
        text(
            say("customer.dead_one" if len(stores) == 1 else "customer.dead_words", places=count(len(stores), "place"))
        ),
        data_table(
            [num(say("columns.step")), Column(say("customer.what_to_do"), row_head=True, style="cell_large")],
            [[str(i), line] for i, line in enumerate(steps, start=1)],
        ),
        heading(say("customer.garage"), 2, "customer-garage"),
        text(say("customer.garage_cut_plan") if _is_plan(build) else say("customer.garage_cut"), "note"),
        Card(rescue_card(build, results), style.LIVE_WIDTH),
        gap(6),
    ]


def upkeep(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Maintenance, advice, insurer, what is open, photos, receipt."""
    found = open_points(results)
    made: list[Any] = [
        *maintenance(results.recorded.due, stamp.units, _CELLS),
        *advice(build, _CELLS),
        text(say("customer.insurer_plan") if _is_plan(build) else say("customer.insurer")),
    ]
    found = by_rule(found)
    cells = _CELLS if len(found) <= _MANY else "cell"
    if found:
        made += [
            heading(say("customer.open_points"), 2, "customer-open"),
            text(say("customer.open_words"), "note"),
            data_table(
                [
                    Column("", share=0.4),
                    *(
                        Column(words, share=share, style=cells)
                        for words, share in zip(lines("customer.open_heads"), (1.5, 1.3), strict=True)
                    ),
                ],
                [[rich(one.sign, cells), one.found, one.meaning] for one in found],
            ),
        ]
    pictures = some_photos(build, results, stamp)
    if pictures:
        made += [heading(say("customer.photos"), 2, "customer-photos"), *pictures]
    ending = [
        *signature_blocks(
            rows_of("customer.received_plan") if _is_plan(build) else rows_of("customer.received"), results
        ),
        *digest_line(build, stamp),
    ]
    return [
        *made,
        heading(say("customer.log"), 2, "customer-log"),
        text(say("customer.log_words"), "note"),
        BlankLines(tuple(zip(lines("customer.log_heads"), (0.5, 0.5, 2.2, 0.8), strict=True)), *_LOG_LINES, ending),
        *ending,
    ]


def _is_plan(build: Build) -> bool:
    return build.record.stage == "design"


SECTIONS: Final = (
    Section("customer-wired", wired),
    Section("customer-dead", isolation),
    Section("customer-living", daily_use),
    Section("customer-ears", hearing),
    Section("customer-care", care),
    Section("customer-upkeep", upkeep),
)
