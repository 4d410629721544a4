"""Sound-level runs on paper: level, position, instrument and voltage of each, before and after every change."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dossier.pages.proof.measurements import letters, origins, taken, taken_column
from dossier.pages.words import NONE, fixed, name
from dossier.pdf.flow import heading
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import plain
from dossier.reader.wording import say
from dossier.results.recorded import SoundRow


def in_order(rows: Sequence[SoundRow]) -> list[SoundRow]:
    """Oldest first, by day and revision; as recorded where neither says."""
    return sorted(rows, key=lambda one: (one.origin.date, one.origin.revision))


def change(one: SoundRow, rows: Sequence[SoundRow]) -> float | None:
    """Change [dB] against the first run that was taken alike; None for that run itself, or where none compares."""
    first = first_alike(one, rows)
    return None if first is one else one.level - first.level


def first_alike(one: SoundRow, rows: Sequence[SoundRow]) -> SoundRow:
    """The first run that was taken alike; itself where it is that."""
    return next(row for row in in_order(rows) if _alike(row, one))


def best_of(rows: Sequence[SoundRow]) -> SoundRow | None:
    """The highest level of the runs by a sound level meter, taken on this revision where there is one."""
    metered = [one for one in rows if one.origin.kind == "sound_level_meter"]
    return max([one for one in metered if one.current] or metered, key=lambda one: one.level, default=None)


def runs_table(rows: Sequence[SoundRow], level: int) -> list[Any]:
    """Every run a line, with what it was taken with below; nothing without runs."""
    if not rows:
        return []
    ordered = in_order(rows)
    by, classed = letters(rows), any(one.entered_in for one in rows)
    return [
        heading(say("measurements.sound_level"), level, "runs"),
        data_table(
            [
                Column(say("measurements.run"), row_head=True, share=0.8),
                Column(say("measurements.position"), share=1.1),
                *([Column(say("runs.class"), share=0.6)] if classed else []),
                num(say("columns.level_db")),
                num(say("measurements.weighting")),
                num(say("measurements.frequency_hz")),
                num(say("measurements.lasted_s")),
                num(say("measurements.supply_v")),
                num(say("runs.change_db")),
                taken_column(by),
            ],
            [
                [
                    name(one.title, 80),
                    name(one.position, 120) if one.position else NONE,
                    *([plain(one.entered_in, 80) or NONE] if classed else []),
                    fixed(one.level, 1),
                    weighting(one),
                    fixed(one.frequency, 0),
                    fixed(one.duration, 1),
                    fixed(one.volts, 1),
                    fixed(change(one, rows), 1, sign=True),
                    by[taken(one.origin)],
                ]
                for one in ordered
            ],
        ),
        origins(by),
    ]


def weighting(one: SoundRow) -> str:
    """Frequency weighting and detector, as recorded."""
    return ", ".join(part for part in (one.weighting, one.detector) if part) or say("measurements.not_recorded")


def _alike(one: SoundRow, other: SoundRow) -> bool:
    return (one.position, one.weighting, one.detector, one.frequency, one.origin.kind) == (
        other.position, other.weighting, other.detector, other.frequency, other.origin.kind
    )  # fmt: skip
