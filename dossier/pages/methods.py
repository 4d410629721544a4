"""The methods appendix: equations in words and signs, their sources, and the statistics of the music signal."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.equations import MEASURES, METHODS
from dossier.pages.section import Stamp
from dossier.pages.words import fixed, with_unit, word
from dossier.pdf.flow import heading, rich, text, together
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup
from dossier.reader.units import Way
from dossier.reference.batteries import CHARGING
from dossier.results.overview import Results


def methods(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every method with its equation and source."""
    story: list[Any] = [
        text(
            f"Computed with {stamp.program}. Signs: V voltage, I and i current, R resistance, P power. The "
            "equations are in SI units, whatever units this paper is printed in."
        )
    ]
    said = {
        name: with_unit(stamp.units, kind, si, Way.DOWN if kind == "distance" else Way.NEAREST)  # a limit
        for name, (kind, si) in MEASURES.items()
    }
    for title, equations, words, source in METHODS:
        story.append(
            together(
                text(title, "heading_3"),
                *(text(one, "equation") for one in equations),
                rich(f'{markup(words.format(**said))} <font color="#52606D" size="7.8">[{markup(source)}]</font>'),
            )
        )
    story += _windows()
    if results.music:
        story.append(heading("The music signal", 2, "methods-music"))
        story += [text(one) for one in dict.fromkeys(one.words for one in results.music)]
        story.append(
            data_table(
                [
                    num("Crest factor\ndB"),
                    num("Mean of full\npower"),
                    num("rms of the\nenvelope"),
                    num("Largest"),
                    num("Share of time\nat full, %"),
                ],
                [
                    [
                        fixed(one.crest_db, 1),
                        fixed(one.mean, 3),
                        fixed(one.rms, 3),
                        fixed(one.peak, 2),
                        fixed(100 * one.share_at_full, 1),
                    ]
                    for one in results.music
                ],
            )
        )
    return story


def _windows() -> list[Any]:
    """Charging windows of one cell, by chemistry, with their source."""
    return [
        heading("Charging windows of one cell", 2, "methods-windows"),
        data_table(
            [
                Column("Chemistry", row_head=True, share=1.0),
                num("Held\nV"),
                num("Fills from\nV"),
                num("Usual most\nV"),
                num("Never above\nV"),
                Column("Source", share=2.0),
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
            ],
        ),
    ]
