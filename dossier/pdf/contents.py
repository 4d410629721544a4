"""The table of contents; its page numbers are forms that the headings define later, so one pass is enough."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier import style
from dossier.pdf.flow import page_form
from dossier.pdf.fonts import width
from dossier.pdf.structure import Node
from dossier.pdf.styles import named
from dossier.pdf.tables import columns
from dossier.reader.wording import say

_BESIDE: Final = 3  # columns
_INDENT: Final = 15.0  # pt, of the titles behind their numbers


class ContentsLine(Flowable):  # type: ignore[misc]
    """One line of the contents: number, title, page; a link to the section."""

    node: Node | None = None

    def __init__(self, number: str, title: str, key: str) -> None:
        super().__init__()
        self.number, self.title, self.key = number, title, key
        self.style = named("contents")

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """One line with room for its rule."""
        self.width, self.height = available_width, self.style.leading + 1.0
        return self.width, self.height

    def hang(self, parent: Node) -> None:
        """Take a place in the table of contents under ``parent``."""
        last = parent.children[-1] if parent.children else None
        table = last if last is not None and last.role == "TOC" else parent.add("TOC")
        self.node = table.add("TOCI").add("Reference").add("Link")

    def draw(self) -> None:
        """Draw the line, its rule and its link."""
        canvas, made = self.canv, self.style
        y = self.height - made.fontSize - 2
        with canvas.content(self.node):
            canvas.setFont(made.fontName, made.fontSize)
            canvas.setFillColor(HexColor(style.MUTED))
            canvas.drawString(0, y, self.number)
            canvas.setFillColor(made.textColor)
            canvas.drawString(_INDENT, y, self.title)
            canvas.saveState()
            canvas.translate(self.width, y)
            canvas.doForm(page_form(self.key))
            canvas.restoreState()
        with canvas.artifact():
            canvas.setStrokeColor(HexColor(style.HAIR))
            canvas.setLineWidth(style.ROW_RULE)
            canvas.line(0, 0, self.width, 0)
        reach = max(self.width, width(self.title, made.fontName, made.fontSize))
        if self.node is not None:
            canvas.link(self.node, say("paper.to_section", title=self.title), self.key, (0, 0, reach, self.height))


def contents(entries: Sequence[tuple[str, str, str]]) -> Any:
    """Lines of (number, title, key) in columns, read downwards; the titles are our own words."""
    high = math.ceil(len(entries) / _BESIDE)
    return columns([[ContentsLine(*entry) for entry in entries[at : at + high]] for at in range(0, len(entries), high)])
