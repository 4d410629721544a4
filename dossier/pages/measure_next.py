"""What moves the voltage, which of it is only assumed, and what to measure next, step by step and safely."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, fixed, word
from dossier.pdf.flow import heading, rich, text, together
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.results.overview import Results
from dossier.results.sensitivity import InputEffect, Sensitivity

_MOST = 15  # inputs listed
_SAFETY = (
    "Stop at once when the battery or an amplifier falls below 10.5 V: the engine may not start, and control units "
    "may reset.",
    "Hearing protection for everybody in and near the vehicle before any tone; one test tone can use up the "
    "exposure of a day.",
    "Never run an engine in a closed garage. Wheels chocked, gear in neutral, hands and leads clear of belt and fan.",
    "Rings and watches off. Probes on a battery are fused and shrouded; a slip between post and body is a fault "
    "current of "
    "thousands of amperes.",
    "Meter: category III, leads without damage. Clamp: for direct current, rated above what is expected; zero it "
    "first; its jaw "
    "takes one cable at a time, add the runs.",
    "Never touch loudspeaker terminals while a tone plays.",
)


def measure_next(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Sensitivity table, the five to measure, and how; nothing where it was not computed."""
    found = results.sensitivity
    if found is None:  # not looked for in a quick run: that is no answer
        return []
    if not found.effects:
        return [text("No input with a tolerance moves the voltage of the load cases.")]
    story: list[Any] = [
        text(
            f"Each input was moved across its own band, one at a time, all others nominal; the voltage looked at is "
            f"the "
            f"{plain(found.words, 250)}. Largest first."
        ),
        _table(found),
    ]
    rest = len(found.effects) - _MOST
    if rest > 0:
        story.append(
            text(f"{rest} more inputs move it by {fixed(found.effects[_MOST].swing, 2)} V or less each.", "note")
        )
    story += _big_unknowns(found)
    story.append(heading("How to measure", 2, "measure-how"))
    story.append(text("Before any of it:"))
    story += [rich(f"\u2022 {markup(line)}") for line in _SAFETY]
    for number, one in enumerate(found.measurements, start=1):
        tells = "; ".join(plain(c, 120) for c in one.covers)
        story.append(
            together(
                text(f"{number}. {one.title}", "heading_3"),
                rich(
                    f"Tells: {markup(tells)}. Known exactly, the band of this voltage would be about "
                    f"<b>{fixed(one.narrows)} V</b> narrower. Takes: {markup(one.instruments)}."
                ),
                *(rich(f"{chr(96 + k)})&nbsp; {markup(step)}") for k, step in enumerate(one.steps, start=1)),
            )
        )
    return story


def _table(found: Sensitivity) -> Any:
    rows = [
        [
            plain(f"{one.device}: {one.quantity}", 110),
            one.value,
            f"{one.low} to {one.high}",
            word(one.basis),
            _change(one.at_low),
            _change(one.at_high),
            fixed(one.swing, 2),
        ]
        for one in found.effects[:_MOST]
    ]
    return data_table(
        [
            Column("Input", share=1.6, row_head=True),
            Column("Value", share=0.5),
            Column("Band", share=0.7),
            Column("Rests on", share=0.5),
            num("At low end\nV"),
            num("At high end\nV"),
            num("In all\nV"),
        ],
        rows,
    )


def _change(volts: float | None) -> str:
    return "collapse" if volts is None else fixed(volts, 2, sign=True)


def _big_unknowns(found: Sensitivity) -> list[Any]:
    if not found.measure_next:
        return [text("All the inputs that move this voltage are measured or from data sheets.")]
    return [
        heading("Measure these next", 2, "measure-next"),
        text(
            "Of the inputs that move it most, these are only estimated or assumed. Each could be a measured value "
            "tomorrow."
        ),
        data_table(
            [
                Column("Input", share=1.0, row_head=True),
                Column("Now", share=0.5),
                num("Moves it by\nV"),
                Column("How", share=1.8),
            ],
            [
                [plain(f"{e.device}: {e.quantity}", 110), _now(e), fixed(e.swing, 2), e.how or NONE]
                for e in found.measure_next
            ],
        ),
    ]


def _now(effect: InputEffect) -> str:
    return f"{effect.value}, {word(effect.basis)}"
