"""A sheet of the wiring diagram as a flowable: the display list painted on the page."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier.pages.diagram.display import MM, Display, Label, Line, Shape
from dossier.pdf.fonts import BODY, STRONG
from dossier.pdf.line import set_line
from dossier.pdf.structure import Node


class Drawing(Flowable):  # type: ignore[misc]
    """One sheet.

    Args:
        display: what to paint.
        alt: what it shows, in words.
    """

    node: Node | None = None

    def __init__(self, display: Display, alt: str) -> None:
        super().__init__()
        self.display, self.alt = display, alt
        self.width, self.height = display.width * MM, display.height * MM
        self.scale = 1.0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """The size is fixed."""
        return self.width, self.height

    def shrink(self, most: float) -> None:
        """Make it no higher than ``most`` [pt], everything in proportion, in the middle of the page."""
        self.scale = min(1.0, most / (self.display.height * MM))
        self.height = self.display.height * MM * self.scale

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``."""
        self.node = parent.add("Figure", alt=self.alt)

    def draw(self) -> None:
        """Paint strokes and shapes by layer, text on top."""
        with self.canv.content(self.node):
            self.canv.saveState()
            self.canv.translate(self.width * (1.0 - self.scale) / 2, 0.0)
            self.canv.scale(self.scale, self.scale)
            marks: list[Line | Shape] = sorted([*self.display.lines, *self.display.shapes], key=lambda one: one.layer)
            for mark in marks:
                self.canv.saveState()
                if isinstance(mark, Line):
                    self._line(mark)
                else:
                    self._shape(mark)
                self.canv.restoreState()
            for label in self.display.labels:
                self._label(label)
            self.canv.restoreState()

    def _y(self, y: float) -> float:
        return self.display.height * MM - y * MM

    def _line(self, one: Line) -> None:
        self.canv.setStrokeColor(HexColor(one.colour))
        self.canv.setLineWidth(one.weight * MM)
        if one.dash:
            self.canv.setDash([part * MM for part in one.dash])
        self.canv.line(one.x1 * MM, self._y(one.y1), one.x2 * MM, self._y(one.y2))

    def _shape(self, one: Shape) -> None:
        if one.stroke:
            self.canv.setStrokeColor(HexColor(one.stroke))
            self.canv.setLineWidth(one.weight * MM)
        if one.fill:
            self.canv.setFillColor(HexColor(one.fill))
        (x, y), *rest = one.points
        if one.radius:
            self.canv.circle(
                x * MM, self._y(y), one.radius * MM, stroke=int(bool(one.stroke)), fill=int(bool(one.fill))
            )
            return
        path: Any = self.canv.beginPath()
        path.moveTo(x * MM, self._y(y))
        for px, py in rest:
            path.lineTo(px * MM, self._y(py))
        if one.closed:
            path.close()
        self.canv.drawPath(path, stroke=int(bool(one.stroke)), fill=int(bool(one.fill)))

    def _label(self, one: Label) -> None:
        self.canv.saveState()
        self.canv.setFillColor(HexColor(one.colour))
        self.canv.translate(one.x * MM, self._y(one.y))
        back = {"left": 0.0, "middle": 0.5, "right": 1.0}[one.anchor]
        set_line(self.canv, one.words, 0.0, 0.0, one.size, STRONG if one.bold else BODY, back)
        self.canv.restoreState()
