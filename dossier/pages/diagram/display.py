"""The display list of a drawing: lines, shapes and labels in millimetres, y downwards; it can check itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, NamedTuple

from dossier import style
from dossier.pdf import line
from dossier.pdf.fonts import BODY, STRONG

MM: Final = style.POINTS_PER_MM
POSITIVE: Final = "#A3001B"
MINUS_COLOUR: Final = "#4F8FC9"  # lighter than the positive: told apart in greyscale
CAP: Final = 0.72  # height of a capital over the size of the type, Lato
DESCENT: Final = 0.22


class Box(NamedTuple):
    """A rectangle, edges in mm."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box, slack: float = 0.02) -> bool:
        """Whether two rectangles overlap by more than ``slack``."""
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.top < other.bottom - slack
            and other.top < self.bottom - slack
        )


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke; a wire is one that a label must not touch."""

    x1: float
    y1: float
    x2: float
    y2: float
    weight: float
    colour: str = style.INK
    dash: tuple[float, ...] = ()
    layer: int = 2
    wire: bool = False


@dataclass(frozen=True, slots=True)
class Shape:
    """A closed or open outline through ``points``, or a circle of ``radius`` around the first."""

    points: tuple[tuple[float, float], ...]
    stroke: str = style.INK
    fill: str = ""
    weight: float = 0.33
    closed: bool = True
    radius: float = 0.0
    layer: int = 4


@dataclass(frozen=True, slots=True)
class Label:
    """One line of text; ``x``, ``y`` is its base line at the anchor."""

    words: str
    x: float
    y: float
    size: float  # pt
    bold: bool = False
    anchor: str = "left"  # left | middle | right
    colour: str = style.INK

    @property
    def length(self) -> float:
        """Length of the text [mm]."""
        return measured(self.words, self.size, self.bold)

    @property
    def box(self) -> Box:
        """The rectangle the text fills, from its descenders to the height of its capitals."""
        back = {"left": 0.0, "middle": 0.5, "right": 1.0}[self.anchor] * self.length
        up, down = self.size * CAP / MM, self.size * DESCENT / MM
        return Box(self.x - back, self.y - up, self.x - back + self.length, self.y + down)


def measured(words: str, size: float, bold: bool = False) -> float:
    """Length of a text on one line [mm]."""
    return line.measured(words, size, STRONG if bold else BODY) / MM


def cut(words: str, size: float, room: float, bold: bool = False) -> str:
    """``words``, or as many of them as fit into ``room`` [mm] with an ellipsis."""
    return line.cut(words, size, room * MM, STRONG if bold else BODY)


@dataclass(slots=True)
class Display:
    """Everything drawn on one sheet.

    Attributes:
        width, height: of the sheet [mm].
        symbols: rectangles of symbols, which labels must not touch.
        shortened: tags of what is not written out in full on the drawing; the list beside it does.
    """

    width: float
    height: float = 0.0
    lines: list[Line] = field(default_factory=list)
    shapes: list[Shape] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    symbols: list[tuple[str, Box]] = field(default_factory=list)
    shortened: set[str] = field(default_factory=set)

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        weight: float,
        colour: str = style.INK,
        *,
        layer: int = 2,
        wire: bool = False,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Add a stroke."""
        self.lines.append(Line(x1, y1, x2, y2, weight, colour, dash, layer, wire))

    def shape(
        self,
        *points: tuple[float, float],
        stroke: str = style.INK,
        fill: str = "",
        weight: float = 0.33,
        closed: bool = True,
        layer: int = 4,
    ) -> None:
        """Add an outline."""
        self.shapes.append(Shape(points, stroke, fill, weight, closed, 0.0, layer))

    def circle(
        self,
        x: float,
        y: float,
        radius: float,
        *,
        stroke: str = style.INK,
        fill: str = "",
        weight: float = 0.33,
        layer: int = 4,
    ) -> None:
        """Add a circle."""
        self.shapes.append(Shape(((x, y),), stroke, fill, weight, True, radius, layer))

    def label(
        self,
        words: str,
        x: float,
        y: float,
        size: float,
        *,
        bold: bool = False,
        anchor: str = "left",
        colour: str = style.INK,
    ) -> Label:
        """Add a text."""
        made = Label(words, x, y, size, bold, anchor, colour)
        self.labels.append(made)
        return made
