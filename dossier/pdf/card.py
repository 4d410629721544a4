"""A card to cut out: a few paragraphs inside a cutting line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier import style
from dossier.pdf.flow import Text
from dossier.pdf.structure import Node

_PAD: Final = 7.0


class Card(Flowable):  # type: ignore[misc]
    """Paragraphs in a dashed frame, as high as they need and never below ``least`` [pt].

    Args:
        parts: what stands in it, from the top.
        wide: width of the frame [pt].
        least: its least height [pt].
    """

    def __init__(self, parts: Sequence[Text], wide: float, least: float = 0.0) -> None:
        super().__init__()
        self.parts, self.wide, self.least = list(parts), wide, least

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """The width is fixed."""
        inner = self.wide - 2 * _PAD
        high = sum(part.wrap(inner, style.LIVE_HEIGHT)[1] + part.getSpaceAfter() for part in self.parts) + 2 * _PAD
        self.width, self.height = self.wide, max(self.least, high)
        return self.width, self.height

    def hang(self, parent: Node) -> None:
        """Hang the parts under a block of their own."""
        block = parent.add("Div")
        for part in self.parts:
            part.hang(block)

    def draw(self) -> None:
        """Draw the cutting line and the words."""
        canvas: Any = self.canv
        with canvas.artifact():
            canvas.setStrokeColor(HexColor(style.RULE))
            canvas.setLineWidth(style.FURNITURE_RULE)
            canvas.setDash([3, 2])
            canvas.rect(0, 0, self.width, self.height, stroke=1, fill=0)
            canvas.setDash()
        y = self.height - _PAD
        for part in self.parts:
            y -= part.height
            part.drawOn(canvas, _PAD, y)
            y -= part.getSpaceAfter()
