"""Handover: advice and its answer, when which maintenance is due, what must never be changed without computing."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, stated, with_unit
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.lists import listed
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table, pairs, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units, Way
from dossier.reader.wording import lines, say, terms
from dossier.results.overview import Results
from dossier.results.recorded import DueRow

_ANSWERS: Final = {"accepted": Severity.OK, "declined": Severity.CAUTION, "open": Severity.NOTE}


def handover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Who handed over what and when, maintenance, advice, and the list of what needs a new calculation."""
    return [
        *_when(build, stamp),
        *maintenance(results.recorded.due, stamp.units),
        *advice(build),
        heading(say("handover.never_without_a_new_calculation"), 2, "handover-never"),
        text(say("handover.the_schedule_the_fuses_and_the")),
        *listed(lines("handover.never")),
    ]


def _when(build: Build, stamp: Stamp) -> list[Any]:
    made = build.kept.handover
    if made is None:
        return []
    people = {key: one.name for key, one in build.kept.people.items()}
    receiver = say("identity.masked") if stamp.masked else plain(people.get(made.to, ""), 120)
    rows = [
        (say("handover.handed_over"), made.date),
        (say("handover.odometer"), stated(build.kept.odometer)),
        (say("handover.by_whom"), plain(people.get(made.by, ""), 120) or NONE),
        (say("handover.to_whom"), receiver or NONE),
        (say("handover.questions_to"), plain(made.contact, 200) or NONE),
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
    note = say("handover.the_intervals_are_common_practice_in") if customary else ""
    return [
        heading(say("handover.maintenance"), 2, "handover-maintenance"),
        text(say("handover.where_a_day_and_a_distance", note=note), "note"),
        table_of(
            rows,
            [
                Column(say("handover.task"), lambda one: one.task, row_head=True, share=2.2, style=cells),
                Column(say("handover.first_due"), lambda one: _due(one, units), share=1.0, style=cells),
                Column(say("handover.then_every"), lambda one: one.every or NONE, share=0.8, style=cells),
                Column(
                    say("columns.by"),
                    lambda one: plain(one.by, 60) or say("handover.owner_or_workshop"),
                    share=0.7,
                    style=cells,
                ),
                Column(say("handover.done_date_and_signature"), lambda one: "", share=1.1),
            ],
        ),
    ]


def _due(one: DueRow, units: Units) -> str:
    at = "" if one.due_at is None else with_unit(units, "driven", one.due_at, Way.DOWN)
    return say("handover.or_at").join(part for part in (one.due_date, at) if part) or say("handover.after_the_handover")


def advice(build: Build, cells: str = "cell") -> list[Any]:
    """What was advised and what the customer decided, set in ``cells``; nothing when nothing was."""
    said = build.kept.advice
    if not said:
        return []
    people = {key: one.name for key, one in build.kept.people.items()}
    rows = []
    for one in said.values():
        severity, words = _ANSWERS[one.answer], terms("handover.answers")[one.answer]
        who = ", ".join(part for part in (people.get(one.by, ""), one.date) if part)
        note = f"<br/>{markup(one.note)}" if one.note else ""
        rows.append([one.advice, rich(mark(severity, words) + note, cells), plain(who, 120) or NONE])
    return [
        heading(say("handover.advice_given"), 2, "handover-advice"),
        data_table(
            [
                Column(say("handover.advice"), row_head=True, share=2.2, style=cells),
                Column(say("handover.answer"), share=1.3),
                Column(say("handover.by_date"), share=0.8, style=cells),
            ],
            rows,
        ),
    ]
