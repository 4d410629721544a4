"""Lists: a sign and an indented paragraph each, tagged so that a screen reader counts the items."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.lib.colors import HexColor

from dossier import style
from dossier.pdf.flow import Text
from dossier.pdf.structure import Node
from dossier.pdf.styles import named
from dossier.pdf.text import bound, markup

_SIGN = "–"


class Item(Text):
    """One item of a list; make a list with `listed`."""

    role = "LBody"
    opens = False  # the first of its list
    sign_node: Node | None = None
    sign = _SIGN

    def hang(self, parent: Node) -> None:
        """Take a place in the list under ``parent``, which the first item opens."""
        row = (parent.add("L") if self.opens else parent.children[-1]).add("LI")
        self.sign_node, self.node = row.add("Lbl"), row.add("LBody")

    def draw(self) -> None:
        """Draw the sign in front of the first line, and the words."""
        canvas, made = self.canv, self.style
        if self.sign:
            with canvas.content(self.sign_node):
                canvas.setFont(made.fontName, made.fontSize)
                canvas.setFillColor(HexColor(style.MUTED))
                canvas.drawString(2, self.height - made.fontSize, self.sign)
        super().draw()

    def split(self, available_width: float, available_height: float) -> list[Any]:
        """Split over a page; the sign stays with the first part."""
        parts = super().split(available_width, available_height)
        for number, part in enumerate(parts):
            part.sign_node, part.sign = self.sign_node, self.sign if number == 0 else ""
        return parts


def listed(items: Sequence[str], style_name: str = "item") -> list[Any]:
    """A list of ``items``, each shown literally."""
    made = []
    for number, words in enumerate(items):
        one = Item(bound(markup(words)), named(style_name))
        one.opens = number == 0
        made.append(one)
    return made
