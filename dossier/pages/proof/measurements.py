"""Measurements: readings beside predictions, joints, proofs, sound-level runs, and revisions side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.proof.readings_told import readings_told
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, at_least, fixed, lettered, low_v, minutes, name, told, with_signs
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table, num, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.wording import say, terms
from dossier.results.overview import Results
from dossier.results.recorded import BesideRow, Ceiling, JointRow, Origin, PermittedRow, ProofRow, ReadingRow, SoundRow


class HasOrigin(Protocol):
    """Whatever was measured by somebody."""

    @property
    def origin(self) -> Origin:
        """Who, with what, when, where."""


def measurements(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everything that was measured; nothing when nothing was."""
    rows = results.recorded
    made = [
        *_beside(rows.beside),
        *readings(rows.readings),
        *readings_told(results),
        *_joints(rows.joints),
        *_proofs(rows.proofs),
        *sound(rows.sound),
    ]
    if not made:
        return []
    return [text(say("measurements.a_reading_is_set_beside_what")), *made]


def readings(rows: Sequence[ReadingRow]) -> list[Any]:
    """Meter readings beside their predictions."""
    if not rows:
        return []
    by = letters(rows)
    return [
        heading(say("measurements.readings_and_predictions"), 2, "measured-readings"),
        table_of(
            rows,
            [
                Column(say("measurements.reading"), lambda one: name(one.title, 120), row_head=True, share=1.2),
                Column(say("measurements.where_and_when"), _where, share=2.0),
                Column(say("measurements.shows"), lambda one: one.shows, share=0.8),
                num(say("measurements.read"), lambda one: fixed(one.value, 2)),
                num(say("measurements.predicted"), lambda one: fixed(one.predicted, 2)),
                num(say("measurements.difference"), lambda one: fixed(one.difference, 2, sign=True)),
                num(say("columns.unit"), lambda one: one.unit),
                taken_column(by),
            ],
            after=2.0,
        ),
        origins(by),
    ]


def _where(one: ReadingRow) -> Any:
    where = markup("; ".join(part for part in (one.where, one.case) if part) or NONE)
    return rich(where + (f"<br/>{markup(plain(one.remark, 160))}" if one.remark else ""), "cell")


def letters(rows: Sequence[HasOrigin]) -> Mapping[str, str]:
    """A letter for whoever measured with whatever, when and where: said once below the table."""
    return lettered(taken(one.origin) for one in rows)


def taken_column(letters: Mapping[str, str]) -> Column[Any]:
    """The letter of each row."""
    return Column(say("measurements.taken"), lambda one: letters[taken(one.origin)], share=0.5)


def origins(letters: Mapping[str, str]) -> Any:
    """What the letters stand for."""
    return text(told(letters), "note")


def taken(origin: Origin, *, revision: bool = True) -> str:
    """Instrument, person, day, place and revision on one line."""
    parts = [
        origin.instrument,
        origin.by,
        origin.date,
        origin.place,
        say("measurements.revision", revision=origin.revision) if revision else "",
        origin.note,
    ]
    return plain(", ".join(part for part in parts if part), 300)


def _joints(rows: Sequence[JointRow]) -> list[Any]:
    if not rows:
        return []
    by = letters(rows)
    return [
        heading(say("measurements.joints"), 2, "measured-joints"),
        text(say("measurements.one_millivolt_at_100_a_is"), "note"),
        table_of(
            rows,
            [
                Column(say("measurements.joint"), _joint, row_head=True, share=1.3),
                Column(say("columns.cable"), lambda one: name(one.cable) or NONE, share=0.9),
                num(say("measurements.drop_mv"), lambda one: fixed(one.drop * 1e3, 1)),
                num(say("measurements.at_a"), lambda one: fixed(one.current, 0)),
                num(say("measurements.resistance_m"), lambda one: fixed(one.resistance * 1e3, 3)),
                num(say("measurements.predicted_m"), _ohms) if any(one.predicted is not None for one in rows) else None,
                num(say("columns.largest_a"), lambda one: at_least(one.peak)),
                num(say("measurements.drop_then_v"), lambda one: fixed(one.at_peak, 3)),
                taken_column(by),
            ],
            after=2.0,
        ),
        origins(by),
    ]


def _joint(one: JointRow) -> Any:
    remark = f"<br/>{markup(plain(one.remark, 160))}" if one.remark else ""
    return rich(markup(name(one.title, 120)) + remark, "cell")


def _ohms(one: JointRow) -> str:
    if one.predicted_low is None or one.predicted_high is None:
        return NONE
    return say("measurements.span", low=fixed(one.predicted_low * 1e3, 2), high=fixed(one.predicted_high * 1e3, 2))


def _proofs(rows: Sequence[ProofRow]) -> list[Any]:
    if not rows:
        return []
    by = letters(rows)
    return [
        heading(say("measurements.insulation_continuity_and_torque"), 2, "measured-proofs"),
        table_of(
            rows,
            [
                Column(say("columns.kind"), lambda one: terms("measurements.kinds")[one.kind], share=0.55),
                Column(say("columns.what"), lambda one: name(one.title, 120), row_head=True, share=1.1),
                Column(say("measurements.found"), lambda one: with_signs(one.value), share=0.75),
                Column(say("measurements.asked"), lambda one: with_signs(one.asked) or NONE, share=0.6),
                Column("", lambda one: _good(one.good), share=0.6),
                taken_column(by),
            ],
            after=2.0,
        ),
        origins(by),
    ]


def _good(good: bool | None) -> Any:
    if good is None:
        return NONE
    return rich(
        mark(Severity.OK, say("measurements.pass")) if good else mark(Severity.STOP, say("measurements.fail")), "cell"
    )


def sound(rows: Sequence[SoundRow]) -> list[Any]:
    """Sound-level runs, the gap to the target, and how long the level is permitted."""
    if not rows:
        return []
    by = letters(rows)
    made: list[Any] = [
        heading(say("measurements.sound_level"), 2, "measured-sound"),
        table_of(
            rows,
            [
                Column(say("measurements.run"), lambda one: name(one.title, 120), row_head=True, share=0.9),
                Column(say("measurements.position"), lambda one: name(one.position, 120), share=0.9),
                num(say("columns.level_db"), lambda one: fixed(one.level, 1)),
                num(say("measurements.weighting"), _weighting),
                num(say("measurements.frequency_hz"), lambda one: fixed(one.frequency, 0)),
                num(say("measurements.lasted_s"), lambda one: fixed(one.duration, 1)),
                num(say("measurements.supply_v"), lambda one: fixed(one.volts, 1)),
                num(say("measurements.predicted_v"), lambda one: low_v(one.predicted_volts)),
                taken_column(by),
            ],
            after=2.0,
        ),
        origins(by),
    ]
    made += [text(_gap(one)) for one in rows if one.gap is not None]
    made += [
        heading(say("measurements.permitted_exposure"), 3, "measured-exposure"),
        table_of(
            rows,
            [
                Column(say("measurements.run"), lambda one: name(one.title, 120), row_head=True, share=0.8),
                num(say("measurements.heard_db_a"), lambda one: fixed(one.a_weighted, 1)),
                Column(say("measurements.permitted_in_a_day_without_protection"), exposure_words, share=3.0),
            ],
        ),
        text(say("measurements.a_tone_at_low_frequency_is"), "note"),
    ]
    return made


def _weighting(one: SoundRow) -> str:
    return (
        f"{one.weighting or '?'}, {one.detector}" if one.detector else one.weighting or say("measurements.not_recorded")
    )


def _gap(one: SoundRow) -> str:
    if one.gap is None or one.target is None or one.power_ratio is None:
        return ""
    if one.gap <= 0.0:
        return say(
            "measurements.the_target_of_db_is_reached",
            title=name(one.title),
            target=fixed(one.target),
            gap=fixed(-one.gap),
        )
    power = ""
    if one.power_now is not None and one.power_needed is not None:
        power = say(
            "measurements.about_w_instead_of_w",
            power_needed=fixed(one.power_needed, 0),
            power_now=fixed(one.power_now, 0),
        )
    return say(
        "measurements.db_below_the_target_of_db",
        title=name(one.title),
        gap=fixed(one.gap),
        target=fixed(one.target),
        power_ratio=fixed(one.power_ratio, 1),
        power=power,
        fed=say("measurements.could_it_be_fed", answer=one.fed) if one.fed else "",
    )


def exposure_words(one: SoundRow) -> str:
    """Permitted times of a run, or why none is stated."""
    if one.refusal:
        return say("measurements.not_stated", refusal=one.refusal)
    known = one.peak is not None and one.peak_basis is not None
    peak = say("measurements.peak", peak=at_least(one.peak), basis=one.peak_basis) if known else ""
    said = [peak or say("measurements.peak_unknown")]
    said += [_by_criterion(row) for row in one.permitted if not (row.action and one.over_peak)]
    return ". ".join(said) + "."


def _by_criterion(row: PermittedRow) -> str:
    """The time by one criterion, or in its place which ceiling leaves none."""
    weighting = f"({row.peak_weighting})" if row.peak_weighting != "Z" else ""
    criterion, source, peak = row.criterion, row.source, at_least(row.peak)
    if row.exceeds is Ceiling.PEAK and row.action:
        return say("measurements.peak_action", criterion=criterion, source=source, peak=peak, weighting=weighting)
    if row.exceeds is Ceiling.PEAK:
        return say("measurements.peak_exceeded", criterion=criterion, source=source)
    if row.exceeds is Ceiling.LEVEL:
        return say("measurements.ceiling_exceeded", criterion=criterion, source=source, level=at_least(row.level))
    if row.action:
        return say("measurements.action_after", criterion=criterion, source=source, time=minutes(row.seconds))
    if row.at_ear:
        return say("measurements.at_ear", criterion=criterion, source=source, time=minutes(row.seconds))
    return say("measurements.permitted", criterion=criterion, source=source, time=minutes(row.seconds))


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
        heading(say("measurements.before_and_after"), 2, "measured-beside"),
        data_table(
            [
                Column(say("columns.what"), row_head=True, share=2.2),
                Column(say("columns.revision"), share=0.6),
                Column(say("columns.date"), share=0.7),
                num(say("measurements.measured")),
                num(say("measurements.predicted")),
                num(say("measurements.difference")),
                num(say("measurements.change")),
                num(say("columns.unit")),
            ],
            lines,
            blocks=blocks,
        ),
    ]
