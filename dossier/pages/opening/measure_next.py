"""What moves the voltage, which of it is only assumed, and what to measure next, step by step and safely."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, fixed, word
from dossier.pdf.flow import TwoColumns, heading, rich, text
from dossier.pdf.lists import listed
from dossier.pdf.tables import Column, data_table, num, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.wording import lines, say
from dossier.results.overview import Results
from dossier.results.sensitivity import InputEffect, Sensitivity

_MOST = 15  # inputs listed


def measure_next(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Sensitivity table, the five to measure, and how; nothing where it was not computed."""
    found = results.sensitivity
    if found is None:  # not looked for in a quick run: that is no answer
        return []
    if not found.effects:
        return [text(say("measure.no_input_with_a_tolerance_moves"))]
    story: list[Any] = [
        text(say("measure.each_input_was_moved_across_its", words=plain(found.words, 250))), _table(found)
    ]
    rest = len(found.effects) - _MOST
    if rest > 0:
        story.append(
            text(say("measure.more_inputs_move_it_by_v", rest=rest, swing=fixed(found.effects[_MOST].swing, 2)), "note")
        )
    story += _big_unknowns(found)
    if results.reading_gains:
        story.append(text(say("measure.readings_before_they_are_taken")))
        for one in results.reading_gains:
            said = say("measure.reading_leaves", what=plain(one.what, 150), left=f"{100.0 * one.left:.0f}")
            story.append(rich(f"\u2022 {markup(said)}"))
    story.append(heading(say("measure.how_to_measure"), 2, "measure-how"))
    story.append(text(say("measure.before_any_of_it")))
    steps = listed(lines("measure.safety"), "item_small")
    for number, how in enumerate(found.measurements, start=1):
        tells = "; ".join(plain(c, 120) for c in how.covers)
        steps += [
            text(f"{number}. {how.title}", "heading_3"),
            rich(
                say(
                    "measure.tells_known_exactly_the_band_of" if number == 1 else "measure.tells_known_too_the_band_of",
                    tells=markup(tells),
                    narrows=fixed(how.narrows),
                    instruments=markup(how.instruments),
                ),
                "small",
            ),
            *(rich(f"{chr(96 + k)})&nbsp; {markup(step)}", "small") for k, step in enumerate(how.steps, start=1)),
        ]
    return [*story, TwoColumns(steps)]


def _table(found: Sensitivity) -> Any:
    rows = [
        [
            plain(f"{one.device}: {one.quantity}", 110),
            one.value,
            say("measure.band", low=one.low, high=one.high),
            word(one.basis),
            _change(one.at_low),
            _change(one.at_high),
            fixed(one.swing, 2),
        ]
        for one in found.effects[:_MOST]
    ]
    return data_table(
        [
            Column(say("columns.input"), share=1.6, row_head=True),
            Column(say("columns.value"), share=0.5),
            Column(say("columns.band"), share=0.7),
            Column(say("measure.rests_on"), share=0.5),
            num(say("measure.at_low_end_v")),
            num(say("measure.at_high_end_v")),
            num(say("measure.in_all_v")),
        ],
        rows,
    )


def _change(volts: float | None) -> str:
    return say("measure.collapse") if volts is None else fixed(volts, 2, sign=True)


def _big_unknowns(found: Sensitivity) -> list[Any]:
    if not found.measure_next:
        return [text(say("measure.all_the_inputs_that_move_this"))]
    return [
        heading(say("measure.measure_these_next"), 2, "measure-next"),
        text(say("measure.of_the_inputs_that_move_it")),
        table_of(
            found.measure_next,
            [
                Column(
                    say("columns.input"), lambda e: plain(f"{e.device}: {e.quantity}", 110), share=1.0, row_head=True
                ),
                Column(say("measure.now"), _now, share=0.5),
                num(say("measure.moves_it_by_v"), lambda e: fixed(e.swing, 2)),
                Column(say("measure.how"), lambda e: e.how or NONE, share=1.8),
            ],
        ),
    ]


def _now(effect: InputEffect) -> str:
    return f"{effect.value}, {word(effect.basis)}"
