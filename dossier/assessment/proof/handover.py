"""What follows the handover: settings against computed targets, and when which maintenance is due."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from datetime import date
from math import log10, sqrt
from typing import Final

from dossier.buildfile.model import Build, Quantity
from dossier.buildfile.recorded import Handover, Maintenance, Settings
from dossier.reader.said import Said, joined, sentence
from dossier.results.overview import AmplifierRow
from dossier.results.recorded import DueRow, SettingsRow

_RUNNING_IN: Final = 750e3  # m: joints are tightened again after 500 to 1000 km (common practice, no source)
_CUSTOMARY: Final = (  # id, task, months to the first, months between, first distance [m]; common practice, no source
    (
        "retighten",
        sentence(
            "Tighten every power joint again with the torque wrench, first after {first} to {last}.",
            first=Said("500", us="300"),
            last=Said("1000 km", us="600 mi"),
        ),
        1,
        12,
        _RUNNING_IN,
    ),
    ("look", "Look at every fuse holder, grommet, strap and battery restraint; pull by hand.", 12, 12, None),
    (
        "battery_test",
        "Test every battery at rest and under load, and the charging voltage at idle and at cruise.",
        12,
        12,
        None,
    ),
)


def settings(build: Build, amplifiers: Sequence[AmplifierRow]) -> tuple[SettingsRow, ...]:
    """The settings sheet: target volts = sqrt(P Z) for rated output into the load, beside what is recorded."""
    return tuple(_settings(row, build.amplifiers[row.id].settings) for row in amplifiers)


def _settings(row: AmplifierRow, stated: Settings) -> SettingsRow:
    computed = sqrt(row.rated_w * row.load_ohm) if row.rated_w > 0.0 else None
    recorded = stated.gain_target.si if stated.gain_target else None
    above = 20.0 * log10(recorded / computed) if recorded and computed else None
    return SettingsRow(
        id=row.id,
        title=row.title,
        computed=computed,
        rated_w=row.rated_w,
        load_ohm=row.load_ohm,
        recorded=recorded,
        above_db=above,
        tone=_words(stated.test_tone),
        input=stated.input,
        high_pass=_filter(stated.high_pass, stated.high_pass_slope),
        low_pass=_filter(stated.low_pass, stated.low_pass_slope),
        boost=_words(stated.boost),
        phase=stated.phase,
        note=stated.note,
    )


def _words(quantity: Quantity | None) -> str:
    return quantity.text if quantity else ""


def _filter(cut_off: Quantity | None, slope: Quantity | None) -> str:
    return ", ".join(part for part in (_words(cut_off), f"{slope.text} per octave" if slope else "") if part)


def due(build: Build) -> tuple[DueRow, ...]:
    """Maintenance: what the build file states, else what is customary."""
    handover = build.kept.handover
    if handover is not None and handover.maintenance:
        return tuple(_stated(build, handover, task) for task in handover.maintenance.values())
    odometer = build.kept.odometer.si if build.kept.odometer else None
    start = handover.date if handover else ""
    return tuple(
        DueRow(
            id=name,
            task=task,
            due_date=_later(start, soon) if start else "",
            due_at=None if odometer is None or first is None else odometer + first,
            every=_every(months, None),
            by="",
            stated=False,
        )
        for name, task, soon, months, first in _CUSTOMARY
    )


def _stated(build: Build, handover: Handover, task: Maintenance) -> DueRow:
    first_date = task.due_date or (_later(handover.date, task.every_months) if task.every_months else "")
    at = task.due_at.si if task.due_at else None
    if at is None and task.every_distance and build.kept.odometer:
        at = build.kept.odometer.si + task.every_distance.si
    person = build.kept.people.get(task.by)
    every = _every(task.every_months, task.every_distance)
    return DueRow(task.id, task.task, first_date, at, every, person.name if person else "", True)


def _every(months: int | None, distance: Quantity | None) -> str:
    time = ""
    if months:
        years, rest = divmod(months, 12)
        time = (
            ("year" if years == 1 else f"{years} years") if not rest else f"{months} months" if months > 1 else "month"
        )
    return joined(" or ", [part for part in (time, distance.said() if distance else "") if part])


def _later(day: str, months: int) -> str:
    """The same day so many months later, or the last of that month."""
    start = date.fromisoformat(day)
    total = start.month - 1 + months
    year, month = start.year + total // 12, total % 12 + 1
    return date(year, month, min(start.day, calendar.monthrange(year, month)[1])).isoformat()
