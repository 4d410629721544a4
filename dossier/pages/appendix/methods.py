"""The methods appendix: equations in words and signs, their sources, and the statistics of the music signal."""

from __future__ import annotations

from collections.abc import Container, Mapping
from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import fixed, with_unit, word
from dossier.pdf.flow import TwoColumns, heading, rich, text
from dossier.pdf.tables import Column, data_table, num, table_of
from dossier.pdf.text import markup
from dossier.reader.units import Kind, Way
from dossier.reader.wording import entries, say
from dossier.reference.batteries import CHARGING
from dossier.results.overview import Results

# What the words of the methods name in braces: printed in the reader's units.
MEASURES: Final[Mapping[str, tuple[Kind, float]]] = {
    "rise": ("rise", 15.0),
    "swing": ("rise", 5.0),
    "table": ("temperature", 30.0),
    "bay": ("temperature", 50.0),
    "frost": ("temperature", 0.0),
    "warm": ("temperature", 25.0),
    "plain": ("temperature", 160.0),
    "set": ("temperature", 250.0),
    "rated": ("temperature", 125.0),
    "lead": ("temperature", 60.0),
    "boot": ("temperature", 40.0),
    "seven": ("distance", 0.1778),
    "forty": ("distance", 1.016),
    "iso": ("distance", 0.2),
    "craft": ("distance", 0.18),
    "trade": ("distance", 0.4572),
}


def methods(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every method with its equation and source."""
    said = {
        name: with_unit(stamp.units, kind, si, Way.DOWN if kind == "distance" else Way.NEAREST)  # a limit
        for name, (kind, si) in MEASURES.items()
    }
    story: list[Any] = [text(say("methods.introduction", program=stamp.program))]
    story.append(TwoColumns([part for one in entries("methods.methods") for part in _method(one, said)]))
    story += _windows({one.chemistry for one in build.batteries.values()})
    if results.music:
        story.append(heading(say("methods.music_signal"), 2, "methods-music"))
        story += [text(one) for one in dict.fromkeys(one.words for one in results.music)]
        story.append(
            table_of(
                results.music,
                [
                    num(say("methods.crest_factor_db"), lambda one: fixed(one.crest_db, 1)),
                    num(say("methods.mean_of_full_power"), lambda one: fixed(one.mean, 3)),
                    num(say("methods.rms_of_the_envelope"), lambda one: fixed(one.rms, 3)),
                    num(say("methods.largest"), lambda one: fixed(one.peak, 2)),
                    num(say("methods.share_of_time_at_full"), lambda one: fixed(100 * one.share_at_full, 1)),
                ],
            )
        )
    return story


def _method(one: Mapping[str, Any], said: Mapping[str, str]) -> list[Any]:
    """Title, equations, words and source of one method."""
    source = f'<font color="{style.MUTED}" size="7.2">[{markup(one["source"])}]</font>'
    return [
        text(one["title"], "heading_3"),
        *(text(equation, "equation") for equation in one["equations"]),
        rich(f"{markup(one['words'].format(**said))} {source}", "small"),
    ]


def _windows(fitted: Container[str]) -> list[Any]:
    """Charging windows of one cell of every chemistry that is fitted, with their source."""
    if not any(name in fitted for name in CHARGING):
        return []
    return [
        heading(say("methods.windows"), 2, "methods-windows"),
        data_table(
            [
                Column(say("methods.chemistry"), row_head=True, share=1.0),
                num(say("methods.held_v")),
                num(say("methods.fills_from_v")),
                num(say("methods.usual_most_v")),
                num(say("methods.never_above_v")),
                Column(say("methods.source"), share=2.0),
            ],
            [
                [
                    word(name),
                    f"{fixed(one.float_low, 2)}–{fixed(one.float_high, 2)}",
                    fixed(one.charge_low, 2),
                    fixed(one.charge_high, 2),
                    fixed(one.maximum, 2),
                    one.source.text,
                ]
                for name, one in CHARGING.items()
                if name in fitted
            ],
        ),
    ]
