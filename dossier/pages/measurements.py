"""Measurements: readings beside predictions, joints, proofs, sound-level runs, and revisions side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, fixed, minutes, name, with_signs
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.results.overview import Results
from dossier.results.recorded import BesideRow, JointRow, Origin, ProofRow, ReadingRow, SoundRow

_KINDS: Final = {"insulation": "Insulation", "continuity": "Continuity", "torque": "Torque"}


def measurements(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everything that was measured; nothing when nothing was."""
    rows = results.recorded
    made = [
        *_beside(rows.beside),
        *readings(rows.readings),
        *_joints(rows.joints),
        *_proofs(rows.proofs),
        *sound(rows.sound),
    ]
    if not made:
        return []
    return [
        text(
            "A reading is set beside what was predicted for the figure its instrument can see. Difference "
            "is reading minus "
            "prediction. Where nothing can be compared, the remark says why."
        ),
        *made,
    ]


def readings(rows: Sequence[ReadingRow]) -> list[Any]:
    """Meter readings beside their predictions."""
    if not rows:
        return []
    return [
        heading("Readings and predictions", 2, "measured-readings"),
        data_table(
            [
                Column("Reading", row_head=True, share=0.95),
                Column("Where and when", share=1.25),
                Column("Shows", share=0.55),
                num("Read"),
                num("Predicted"),
                num("Difference"),
                num("Unit"),
                Column("Taken", share=1.7),
            ],
            [_reading(one) for one in rows],
        ),
    ]


def _reading(one: ReadingRow) -> list[Any]:
    where = "; ".join(part for part in (one.where, one.case) if part)
    remark = f"<br/>{markup(plain(one.remark, 160))}" if one.remark else ""
    return [
        name(one.title, 120),
        where or NONE,
        one.shows,
        fixed(one.value, 2),
        fixed(one.predicted, 2),
        fixed(one.difference, 2, sign=True),
        one.unit,
        rich(markup(taken(one.origin)) + remark, "cell_small"),
    ]


def taken(origin: Origin, *, revision: bool = True) -> str:
    """Instrument, person, day, place and revision on one line."""
    parts = [
        origin.instrument,
        origin.by,
        origin.date,
        origin.place,
        f"revision {origin.revision}" if revision else "",
        origin.note,
    ]
    return plain(", ".join(part for part in parts if part), 300)


def _joints(rows: Sequence[JointRow]) -> list[Any]:
    if not rows:
        return []
    return [
        heading("Joints", 2, "measured-joints"),
        text(
            "One millivolt at 100 A is 0.01 mΩ. A joint that would lose more than 0.1 V at the largest "
            "computed current of its "
            "cable asks for a look (common practice, no source).",
            "note",
        ),
        data_table(
            [
                Column("Joint", row_head=True, share=1.1),
                Column("Cable", share=0.9),
                num("Drop\nmV"),
                num("at\nA"),
                num("Resistance\nmΩ"),
                num("Largest\nA"),
                num("Drop then\nV"),
                Column("Taken", share=1.5, style="cell_small"),
            ],
            [
                [
                    name(one.title, 120),
                    name(one.cable) or NONE,
                    fixed(one.drop * 1e3, 1),
                    fixed(one.current, 0),
                    fixed(one.resistance * 1e3, 3),
                    fixed(one.peak, 0),
                    fixed(one.at_peak, 3),
                    taken(one.origin),
                ]
                for one in rows
            ],
        ),
    ]


def _proofs(rows: Sequence[ProofRow]) -> list[Any]:
    if not rows:
        return []
    return [
        heading("Insulation, continuity and torque", 2, "measured-proofs"),
        data_table(
            [
                Column("Kind", share=0.55),
                Column("What", row_head=True, share=1.1),
                Column("Found", share=0.75),
                Column("Asked", share=0.6),
                Column("", share=0.6),
                Column("Taken", share=1.4, style="cell_small"),
            ],
            [
                [
                    _KINDS[one.kind],
                    name(one.title, 120),
                    with_signs(one.value),
                    with_signs(one.asked) or NONE,
                    _good(one.good),
                    taken(one.origin),
                ]
                for one in rows
            ],
        ),
    ]


def _good(good: bool | None) -> Any:
    if good is None:
        return NONE
    return rich(mark(Severity.OK, "Pass") if good else mark(Severity.STOP, "Fail"), "cell")


def sound(rows: Sequence[SoundRow]) -> list[Any]:
    """Sound-level runs, the gap to the target, and how long the level is permitted."""
    if not rows:
        return []
    made: list[Any] = [
        heading("Sound level", 2, "measured-sound"),
        data_table(
            [
                Column("Run", row_head=True, share=0.9),
                Column("Position", share=0.9),
                num("Level\ndB"),
                num("Weighting"),
                num("Frequency\nHz"),
                num("Lasted\ns"),
                num("Supply\nV"),
                num("Predicted\nV"),
                Column("Taken", share=1.5, style="cell_small"),
            ],
            [
                [
                    name(one.title, 120),
                    name(one.position, 120),
                    fixed(one.level, 1),
                    _weighting(one),
                    fixed(one.frequency, 0),
                    fixed(one.duration, 1),
                    fixed(one.volts, 1),
                    fixed(one.predicted_volts, 1),
                    taken(one.origin),
                ]
                for one in rows
            ],
        ),
    ]
    made += [text(_gap(one)) for one in rows if one.gap is not None]
    made += [
        heading("Permitted exposure", 3, "measured-exposure"),
        data_table(
            [
                Column("Run", row_head=True, share=0.8),
                num("Heard\ndB(A)"),
                Column("Permitted in a day, without protection", share=3.0),
            ],
            [[name(one.title, 120), fixed(one.a_weighted, 1), exposure_words(one)] for one in rows],
        ),
        text(
            "A tone at low frequency is converted to A by IEC 61672-1. Permitted time halves for every 3 "
            "dB more (NIOSH, EU) or "
            "5 dB more (OSHA).",
            "note",
        ),
    ]
    return made


def _weighting(one: SoundRow) -> str:
    return f"{one.weighting or '?'}, {one.detector}" if one.detector else one.weighting or "not recorded"


def _gap(one: SoundRow) -> str:
    if one.gap is None or one.target is None or one.power_ratio is None:
        return ""
    if one.gap <= 0.0:
        return f"{name(one.title)}: the target of {fixed(one.target)} dB is reached, {fixed(-one.gap)} dB to spare."
    power = ""
    if one.power_now is not None and one.power_needed is not None:
        power = f": about {fixed(one.power_needed, 0)} W instead of {fixed(one.power_now, 0)} W"
    return (
        f"{name(one.title)}: {fixed(one.gap)} dB below the target of {fixed(one.target)} dB. That takes "
        f"{fixed(one.power_ratio, 1)} "
        f"times the power at unchanged loudspeakers{power}, and the supply has to carry it."
    )


def exposure_words(one: SoundRow) -> str:
    """Permitted times of a run, or why none is stated."""
    if one.refusal:
        return f"not stated: {one.refusal}"
    return "; ".join(f"{row.criterion} {minutes(row.seconds)} ({row.source})" for row in one.permitted)


def _beside(rows: Sequence[BesideRow]) -> list[Any]:
    if not rows:
        return []
    lines: list[list[Any]] = []
    blocks: list[tuple[int, int]] = []
    for row in rows:
        blocks.append((len(lines), len(lines) + len(row.entries) - 1))
        first = row.entries[0]
        for index, one in enumerate(row.entries):
            change = one.measured - first.measured if index else None
            predicted = one.predicted
            lines.append(
                [
                    plain(row.what, 160) if not index else "",
                    plain(one.revision, 20),
                    one.date or NONE,
                    fixed(one.measured, 2),
                    fixed(predicted, 2),
                    fixed(None if predicted is None else one.measured - predicted, 2, sign=True),
                    fixed(change, 2, sign=True),
                    row.unit,
                ]
            )
    return [
        heading("Before and after", 2, "measured-beside"),
        data_table(
            [
                Column("What", row_head=True, share=2.2),
                Column("Revision", share=0.6),
                Column("Date", share=0.7),
                num("Measured"),
                num("Predicted"),
                num("Difference"),
                num("Change"),
                num("Unit"),
            ],
            lines,
            blocks=blocks,
        ),
    ]
