"""The edition for a competition entry: what is fitted, how it is protected, its runs, and a sheet to pin to a board."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.pages.delivery.daily_use import is_stopped
from dossier.pages.delivery.signoff import code, signature_blocks
from dossier.pages.diagram.display import MM
from dossier.pages.diagram.section import drawings, sheets_of
from dossier.pages.opening.answer import best_words
from dossier.pages.proof.measurements import taken
from dossier.pages.proof.photos import one_photo, some_photos
from dossier.pages.proof.runs import best_of, runs_table
from dossier.pages.section import Section, Stamp
from dossier.pages.system.fuse_answers import fuse_answers
from dossier.pages.system.identity import identity_rows
from dossier.pages.words import NONE, fixed, name, place_of, word
from dossier.pdf.flow import Rule, gap, heading, rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, data_table, num, pairs, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.wording import rows_of, say
from dossier.results.overview import Results

_SHEET: Final = 185.0  # mm, of a diagram on one sheet
_ROOM: Final = 171.0  # mm, for it on the page to pin up
_LEGEND: Final = 25.0  # mm, that its legend takes at most
_WHAT: Final[Column[Any]] = Column("", share=1.6)
_PHOTO: Final = 92.0  # pt


def cover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The first page: whose vehicle, what is fitted."""
    record = build.record
    wide = (style.LIVE_WIDTH - style.GUTTER) * 0.68
    rows: list[tuple[str, Any]] = [
        (say("customer.vehicle"), plain(build.vehicle.description, 110)),
        *identity_rows(build, stamp),
        (say("entry.entrant"), plain(record.customer, 80) or NONE),
        (say("customer.workshop"), plain(record.workshop, 80) or NONE),
        (say("customer.state"), say("customer.state_of", stage=word(record.stage), date=plain(record.date, 30))),
    ]
    return [
        text(plain(record.title, 100), "title"),
        text(say("entry.title", number=plain(record.number, 40), revision=plain(record.revision, 20)), "subtitle"),
        columns([[pairs(rows, wide, 0.22)], [code(build, stamp), text(stamp.digest, "note")]], shares=(0.68, 0.32)),
        gap(6),
        rich(f"{mark(results.verdict.severity)}&nbsp; {markup(results.verdict.sentence)}", "verdict"),
        *([text(say("entry.stopped"), "warning")] if is_stopped(results) else []),
        heading(say("entry.fitted"), 1, "entry-fitted"),
        data_table(
            [Column(say("columns.source"), row_head=True, share=1.2), Column(say("columns.where")), _WHAT],
            [
                *([name(one.title), plain(one.location, 80), one.detail] for one in results.energy_sources),
                *([name(one.title), plain(one.location, 80), one.detail] for one in results.further_sources),
            ],
        ),
        table_of(
            results.amplifiers,
            [
                Column(say("columns.amplifier"), lambda one: name(one.title), row_head=True, share=1.2),
                Column(say("columns.where"), lambda one: place_of(build, one.at)),
                Column(say("customer.loudspeakers"), lambda one: _speakers(one.speakers), share=1.6),
                num(say("columns.output_w"), lambda one: fixed(one.rated_w, 0)),
            ],
        ),
    ]


def _speakers(titles: tuple[str, ...]) -> str:
    return ", ".join(name(title, 60) for title in titles) or say("customer.none")


def protected(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every fuse and what it is asked."""
    return fuse_answers(build, results)


def runs(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every recorded run, before and after each change; photos and signatures."""
    pictures = some_photos(build, results, stamp)
    return [
        text(say("entry.runs_words")),
        *runs_table(results.recorded.sound, 2),
        *([heading(say("sections.photos"), 2, "entry-photos"), *pictures] if pictures else []),
        *signature_blocks(rows_of("entry.signers"), results),
        text(stamp.digest, "note"),
    ]


def sheet(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """One page to pin to a board: photo, key figures, best run, diagram; while a stop is open no run is shown off."""
    best = best_of(results.recorded.sound)
    told: list[Any] = [text(plain(build.vehicle.description, 110), "subtitle")]
    if is_stopped(results):
        told.append(text(say("entry.stopped"), "warning"))
    elif best is not None:
        told += [
            text(f"{best.level:g} dB", "key_figure"),
            text(best_words(best, results.recorded.sound), "body"),
            text(taken(best.origin), "note"),
        ]
    figures = [
        [text(plain(one.value, 24), "warning"), text(plain(one.caption, 80), "cell")]
        for one in results.key_figures[:4]
    ]
    return [
        text(plain(build.record.title, 70), "title"),
        columns([told, one_photo(stamp, _PHOTO)], shares=(0.55, 0.45)) if stamp.pictures else gap(0),
        *([] if stamp.pictures else told),
        *([] if is_stopped(results) or not figures else [Rule(before=3, after=4), columns(figures, gutter=12)]),
        Rule(before=3, after=4),
        *_diagram(build, stamp),
    ]


def _diagram(build: Build, stamp: Stamp) -> list[Any]:
    """The diagram at its own size, without its legend where that makes it fit; only a very high one is made smaller."""
    for most, legend in ((_ROOM - _LEGEND, True), (_ROOM, False), (_SHEET, False)):
        wires, displays = drawings(build, None, stamp.units, most, legend=legend)
        if len(displays) == 1:
            break
    drawn = sheets_of(build, wires, displays[:1])
    drawn[0].shrink(_ROOM * MM)
    return drawn


SECTIONS: Final = (
    Section("entry-protected", protected),
    Section("entry-runs", runs),
    Section("entry-sheet", sheet, fresh=True, titled=False),
)
