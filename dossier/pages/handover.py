"""Handover: advice and its answer, when which maintenance is due, what must never be changed without computing."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages import wording as say
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, stated, with_unit
from dossier.pdf.blank import BlankLines
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.lists import listed
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table, pairs
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units, Way
from dossier.results.overview import Results
from dossier.results.recorded import DueRow

NEVER: Final = (
    "a fuse for another rating or style, or a fuse bridged",
    "a cable for a thinner or longer one, or a further one on the same fuse",
    "a battery for another chemistry, capacity or place",
    "a capacitor bank, its cells or its fuse",
    "an amplifier, or the loudspeakers and their wiring on one",
    "the alternator, its pulley or its charging voltage",
)
_LOG_LINES: Final = (6, 30)  # at least, at most
_ANSWERS: Final = {
    "accepted": (Severity.OK, "Accepted"),
    "declined": (Severity.CAUTION, "Declined"),
    "open": (Severity.NOTE, "Open"),
}


def handover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Who handed over what and when, maintenance, advice, and the list of what needs a new calculation."""
    return [
        *_when(build, stamp),
        *maintenance(results.recorded.due, stamp.units),
        *advice(build),
        heading("Never without a new calculation", 2, "handover-never"),
        text(
            "The schedule, the fuses and the voltages of this record hold only for what is fitted now. "
            "Before any of these is "
            "changed, change the build file and compute again:"
        ),
        *listed(NEVER),
        heading(say.LOG, 2, "handover-log"),
        text(say.LOG_WORDS, "note"),
        BlankLines(tuple(zip(say.LOG_HEADS, (0.5, 0.5, 2.2, 0.8), strict=True)), *_LOG_LINES),
    ]


def _when(build: Build, stamp: Stamp) -> list[Any]:
    made = build.kept.handover
    if made is None:
        return []
    people = {key: one.name for key, one in build.kept.people.items()}
    receiver = "masked" if stamp.masked else plain(people.get(made.to, ""), 120)
    rows = [
        ("Handed over", made.date),
        ("Odometer", stated(made.odometer)),
        ("By", plain(people.get(made.by, ""), 120) or NONE),
        ("To", receiver or NONE),
        ("Questions to", plain(made.contact, 200) or NONE),
    ]
    return [pairs(rows, style.LIVE_WIDTH, 0.22)]


def maintenance(rows: tuple[DueRow, ...], units: Units, cells: str = "cell") -> list[Any]:
    """The schedule: first due by date, by distance, or whichever comes first; then at which interval.

    Args:
        rows: one for each task.
        units: of the reader.
        cells: paragraph style of the table.
    """
    if not rows:
        return []
    customary = not any(one.stated for one in rows)
    note = "The intervals are common practice in the trade, without a published source. " if customary else ""
    return [
        heading("Maintenance", 2, "handover-maintenance"),
        text(f"{note}Where a day and a distance are given, what comes first counts.", "note"),
        data_table(
            [
                Column("Task", row_head=True, share=2.2, style=cells),
                Column("First due", share=1.0, style=cells),
                Column("Then every", share=0.8, style=cells),
                Column("By", share=0.7, style=cells),
                Column("Done, date and signature", share=1.1),
            ],
            [
                [one.task, _due(one, units), one.every or NONE, plain(one.by, 60) or "owner or workshop", ""]
                for one in rows
            ],
        ),
    ]


def _due(one: DueRow, units: Units) -> str:
    at = "" if one.due_at is None else with_unit(units, "driven", one.due_at, Way.DOWN)
    return " or at ".join(part for part in (one.due_date, at) if part) or "after the handover"


def advice(build: Build, cells: str = "cell") -> list[Any]:
    """What was advised and what the customer decided, set in ``cells``; nothing when nothing was."""
    said = build.kept.advice
    if not said:
        return []
    people = {key: one.name for key, one in build.kept.people.items()}
    rows = []
    for one in said.values():
        severity, words = _ANSWERS[one.answer]
        who = ", ".join(part for part in (people.get(one.by, ""), one.date) if part)
        note = f"<br/>{markup(one.note)}" if one.note else ""
        rows.append([one.advice, rich(mark(severity, words) + note, cells), plain(who, 120) or NONE])
    return [
        heading("Advice given", 2, "handover-advice"),
        data_table(
            [
                Column("Advice", row_head=True, share=2.2, style=cells),
                Column("Answer", share=1.3),
                Column("By, date", share=0.8, style=cells),
            ],
            rows,
        ),
    ]
