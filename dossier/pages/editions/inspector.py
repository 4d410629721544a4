"""The inspector's edition: one list in the order of the vehicle, the diagram, the figures, signatures."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.buildfile.tags import tag_at, tags_of
from dossier.pages.delivery.signoff import code, digest_line, signature_blocks
from dossier.pages.diagram.section import picture
from dossier.pages.editions.walk import walk
from dossier.pages.opening.answer import compared, readings_table
from dossier.pages.opening.settle import to_settle
from dossier.pages.proof.measurements import taken
from dossier.pages.proof.photos import some_photos
from dossier.pages.proof.runs import runs_table
from dossier.pages.section import Section, Stamp
from dossier.pages.system.fuse_answers import fuse_answers
from dossier.pages.system.identity import identity_rows
from dossier.pages.words import NONE, at_least, at_most, fixed, name, shown, word
from dossier.pdf.blank import BlankLines
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import beneath, gap, heading, rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, num, pairs, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units
from dossier.reader.wording import lines, rows_of, say
from dossier.results.overview import Results
from dossier.results.schedule import ConductorRow

_REMARK_LINES: Final = (3, 16)  # at least, at most
_SHARE: Final = 0.68
_WIDE: Final = (style.LIVE_WIDTH - style.GUTTER) * _SHARE


def cover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Who, and the list in the order of the vehicle."""
    record = build.record
    customer = say("inspector.masked") if stamp.masked and record.customer else plain(record.customer, 60)
    rows: list[tuple[str, Any]] = [
        (
            say("inspector.record"),
            say(
                "inspector.revision",
                number=plain(record.number, 40),
                revision=plain(record.revision, 20),
                date=record.date,
                stage=word(record.stage),
            ),
        ),
        (say("inspector.vehicle"), plain(build.vehicle.description, 110)),
        *identity_rows(build, stamp),
        (say("inspector.workshop"), plain(record.workshop, 60) or NONE),
        (say("inspector.owner"), customer or NONE),
        (say("inspector.digest"), stamp.digest),
    ]
    return [
        text(plain(record.title, 100), "heading_1"),
        text(say("inspector.title"), "note"),
        columns(
            [[pairs(rows, _WIDE, 0.2)], [gap(2), _verdict(results), gap(4), code(build, stamp)]],
            shares=(_SHARE, 1 - _SHARE),
        ),
        gap(2),
        heading(say("inspector.ten_minutes"), 1, "inspector-ten"),
        text(say("inspector.ten_lead"), "note"),
        *([text(say("inspector.ten_plan"), "warning")] if record.stage == "design" else []),
        walk(build, results),
    ]


def _verdict(results: Results) -> Any:
    return rich(f"{mark(results.verdict.severity)}&nbsp; {markup(results.verdict.sentence)}", "cell")


def detail(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every fuse with its questions, readings, sound runs and what is open."""
    found = to_settle(build, results)
    return [
        heading(say("inspector.fuses"), 1, "inspector-fuses"),
        *fuse_answers(build, results),
        *([heading(say("inspector.open_points"), 2, "inspector-open"), *found] if found else []),
        *_readings(results),
        *runs_table(results.recorded.sound, 2),
    ]


def _readings(results: Results) -> list[Any]:
    rows = compared(results)
    if not rows:
        return []
    origins = dict.fromkeys(taken(one.origin) for one in rows)
    return [
        heading(say("measurements.readings_and_predictions"), 2, "inspector-readings"),
        readings_table(rows),
        text(say("inspector.taken", list="; ".join(origins)), "note"),
    ]


def _conductors(build: Build, results: Results, units: Units) -> Any:
    tags = tags_of(build)
    return table_of(
        results.schedule,
        [
            Column(
                say("columns.conductor"),
                lambda one: f"{tag_at(tags, f'cables.{one.id}')} {name(one.title)}",
                row_head=True,
                share=1.3,
            ),
            Column(say("inspector.role"), lambda one: one.role, share=0.5),
            Column(say("columns.size"), _size, share=0.8),
            num(say("inspector.length", sign=units.sign("run")), lambda one: shown(units, "run", one.length)),
            num(say("inspector.rms_one_run_a"), lambda one: at_least(one.rms)),
            num(say("columns.allowed_a"), lambda one: at_most(one.allowed)),
            num(say("inspector.drop_at_peak_v"), lambda one: fixed(one.drop, 2)),
        ],
    )


def _size(row: ConductorRow) -> str:
    return f"{row.runs} × {row.size}" if row.runs > 1 else row.size


def wired(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The wiring diagram with the table of conductors, in the order that fits."""
    first, *others = picture(build, results, stamp.units)
    title = heading(say("sections.inspector-wired"), 1, "inspector-wired")
    return [
        FigureWithTable(
            [beneath(title, first), *others],
            heading(say("inspector.conductors"), 2, "inspector-conductors"),
            _conductors(build, results, stamp.units),
        )
    ]


def signed(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Photos, remarks, signatures and digest."""
    pictures = some_photos(build, results, stamp)
    signers = rows_of("inspector.inspected_plan" if build.record.stage == "design" else "inspector.inspected")
    ending = [*signature_blocks(signers, results), *digest_line(build, stamp)]
    return [
        *pictures,
        heading(say("inspector.remarks"), 2, "inspector-remarks"),
        BlankLines(tuple(zip(lines("inspector.remarks_heads"), (0.3, 2.2, 1.0), strict=True)), *_REMARK_LINES, ending),
        *ending,
    ]


SECTIONS: Final = (
    Section("inspector-wired", wired, titled=False),
    Section("inspector-detail", detail, titled=False),
    Section("inspector-sign", signed),
)
