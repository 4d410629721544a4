"""A sheet of labels to print, cut out and stick on: every source, every fuse, every capacitor bank."""

from __future__ import annotations

from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, Paragraph

from dossier import style
from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import count, fixed, name, stated, word
from dossier.pdf.flow import gap, text, together
from dossier.pdf.structure import Node
from dossier.pdf.styles import named
from dossier.pdf.tables import columns
from dossier.pdf.text import markup, plain
from dossier.results.overview import EnergySource, Results

_WIDE: Final = (style.LIVE_WIDTH - 2 * 9.0) / 3
_HIGH: Final = 66.0
_PAD: Final = 6.0


class _Label(Flowable):  # type: ignore[misc]
    """One label: a head and a few words inside a cutting line."""

    node: Node | None = None

    def __init__(self, head: str, words: str) -> None:
        super().__init__()
        self.head = Paragraph(markup(plain(head, 60)), named("cell_strong"))
        self.words = Paragraph(markup(plain(words, 600)), named("cell_small"))

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """As high as the words need, never below the usual height."""
        inner = _WIDE - 2 * _PAD
        high = self.head.wrap(inner, 200)[1] + self.words.wrap(inner, 400)[1] + 2 * _PAD + 2
        self.width, self.height = _WIDE, max(_HIGH, high)
        return self.width, self.height

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``."""
        self.node = parent.add("P")

    def draw(self) -> None:
        """Draw the cutting line and the words."""
        canvas = self.canv
        with canvas.artifact():
            canvas.setStrokeColor(HexColor(style.RULE))
            canvas.setLineWidth(style.FURNITURE_RULE)
            canvas.setDash([3, 2])
            canvas.rect(0, 0, self.width, self.height, stroke=1, fill=0)
            canvas.setDash()
        with canvas.content(self.node):
            top = self.height - _PAD - self.head.height
            self.head.drawOn(canvas, _PAD, top)
            self.words.drawOn(canvas, _PAD, top - 2 - self.words.height)


def labels(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The sheet."""
    made = [_Label(head, words) for head, words in [*_sources(results), *_banks(results), *_fuses(build)]]
    if not made:
        return []
    rows = [made[index : index + 3] for index in range(0, len(made), 3)]
    return [
        text(
            "Print on adhesive film, cut along the dashed lines, and stick each label where it is seen before "
            "anything is touched.",
            "note",
        ),
        *(together(columns([[one] for one in row] + [[]] * (3 - len(row)), gutter=9.0), gap(7)) for row in rows),
    ]


def _sources(results: Results) -> list[tuple[str, str]]:
    every = results.energy_sources
    stores = [one for one in every if one.kind in ("battery", "capacitor bank")]
    return [(f"{name(one.title, 40)}: {count(len(every), 'energy source')}", _others(one, stores)) for one in stores]


def _others(one: EnergySource, stores: list[EnergySource]) -> str:
    rest = [f"{name(other.title, 40)} ({plain(other.location, 30)})" for other in stores if other.id != one.id]
    if not rest:
        return f"{one.detail}. The only store of energy of this system."
    return f"{one.detail}. Further source: {', '.join(rest)}. Taking this terminal off does not make the rest dead."


def _banks(results: Results) -> list[tuple[str, str]]:
    return [
        (
            f"{name(one.title, 40)}: {fixed(one.volts, 1)} V, {fixed(one.energy / 1000.0, 0)} kJ",
            f"Charged even with every battery off. Discharge through {one.bleed:.3g} Ω and measure under 1 "
            f"V before touching.",
        )
        for one in results.charging.banks
    ]


def _fuses(build: Build) -> list[tuple[str, str]]:
    made = []
    for cable in build.cables.values():
        for fuse in cable.fuses.values():
            breaking = f", breaks {stated(fuse.breaking_capacity)}" if fuse.breaking_capacity else ""
            each = f" Each of {cable.runs}." if cable.runs > 1 and not fuse.shared else ""
            place = build.locations[fuse.near].title if fuse.near in build.locations else fuse.near
            made.append(
                (
                    f"Fuse {stated(fuse.rating)} {word(fuse.style)}",
                    f"{name(cable.title, 50)}, at {plain(place, 40)}{breaking}.{each} Same rating and style "
                    f"only; blown twice: call the "
                    "workshop.",
                )
            )
    return made
