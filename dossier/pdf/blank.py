"""Ruled lines to write on; they fill what is left of their page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier import style
from dossier.pdf.flow import Heading
from dossier.pdf.structure import Node
from dossier.pdf.styles import named

_MOST: Final = 0.9 * style.LIVE_HEIGHT  # a heading goes above
_LINE: Final = 20.0  # written by hand


def _height(flowables: Sequence[Any]) -> float:
    """Height [pt] of ``flowables`` on one page; spaces at a heading add up, since a page break stands between."""
    total, after = 1.0, 0.0
    for one in flowables:
        before = float(one.getSpaceBefore())
        total += before if isinstance(one, Heading) else max(0.0, before - after)
        after = float(one.getSpaceAfter())
        total += float(one.wrapOn(None, style.LIVE_WIDTH, style.LIVE_HEIGHT)[1]) + after
    return total


class BlankLines(Flowable):  # type: ignore[misc]
    """As many lines as the page has room for, between ``least`` and ``most``.

    Args:
        heads: (words, share of the width) of each column.
        least: lines below which it goes to the next page.
        most: lines it never exceeds.
        followed: what has to find room below it on the same page, if a page can hold it.
    """

    node: Node | None = None

    def __init__(self, heads: Sequence[tuple[str, float]], least: int, most: int, followed: Sequence[Any] = ()) -> None:
        super().__init__()
        self.heads, self.least, self.most = tuple(heads), least, most
        self.spaceAfter = 8.0
        self.head: float = named("head").leading + 5.0
        below = _height(followed)
        fits = self.head + least * _LINE + self.spaceAfter + below < _MOST
        self.kept = below if fits else 0.0

    def first_block(self) -> float:
        """Height [pt] it needs at least, with what follows."""
        return self.head + self.least * _LINE + self.spaceAfter + self.kept

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Take the room there is."""
        room = available_height - self.head - self.spaceAfter - self.kept
        self.lines = max(self.least, min(self.most, int(room // _LINE)))
        self.width, self.height = available_width, self.head + self.lines * _LINE
        if room < self.least * _LINE:
            self.height += self.kept  # too little room for what must stay below: to the next page
        return self.width, self.height

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``: the heads are read, the lines are furniture."""
        self.node = parent.add("P")

    def draw(self) -> None:
        """Draw the heads and the lines."""
        canvas, made = self.canv, named("head")
        total = sum(share for _, share in self.heads)
        y = self.height - made.fontSize - 1.0
        x = 0.0
        with canvas.content(self.node):
            canvas.setFont(made.fontName, made.fontSize)
            canvas.setFillColor(made.textColor)
            for words, share in self.heads:
                canvas.drawString(x, y, words)
                x += self.width * share / total
        with canvas.artifact():
            for number in range(self.lines + 1):
                canvas.setStrokeColor(HexColor(style.RULE if number == 0 else style.HAIR))
                canvas.setLineWidth(style.HEAD_RULE if number == 0 else style.ROW_RULE)
                y = self.height - self.head - number * _LINE
                canvas.line(0, y, self.width, y)
