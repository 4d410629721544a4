"""Flowables that know their place in the structure: text, numbers, headings, rules, kept-together blocks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import BalancedColumns, Flowable, KeepTogether, PageBreak, Paragraph, Spacer

from dossier import style
from dossier.pdf.line import measured, set_line
from dossier.pdf.structure import Node
from dossier.pdf.styles import named
from dossier.pdf.text import bound, markup, plain

_NARROW: Final = ("cell", "head", "key")  # styles of narrow columns, in which every space may break
_ROLES: Final = {"title": "H1", "title_owner": "H1", "heading_1": "H1", "heading_2": "H2", "heading_3": "H3"}


class Text(Paragraph):  # type: ignore[misc]
    """A paragraph; make one with `text` (literal) or `rich` (our own markup)."""

    role = "P"
    node: Node | None = None
    level = 0  # of what is set like a heading
    once = False  # a table head: content the first time, furniture when repeated on the next page

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``."""
        self.node = parent.add(self.role)

    def draw(self) -> None:
        """Draw, bracketed as content of the node."""
        repeated = self.once and self.node is not None and self.node.marks
        with self.canv.content(None if repeated else self.node):
            super().draw()

    def split(self, available_width: float, available_height: float) -> list[Any]:
        """Split over a page; every part belongs to the same node."""
        parts: list[Any] = super().split(available_width, available_height)
        for part in parts:
            part.node, part.role, part.once = self.node, self.role, self.once
        return parts


class Heading(Text):
    """A heading with a bookmark; level 1 and 2 stand in the outline, level 1 in the contents."""

    key = ""
    level = 1
    label = ""

    def draw(self) -> None:
        """Draw, mark the place and remember the page for the contents."""
        canvas = self.canv
        canvas.bookmarkHorizontal(self.key, 0, self.height + 6)
        if self.level <= 2:
            canvas.addOutlineEntry(self.label, self.key, self.level - 1, closed=self.level == 1)
        super().draw()
        if self.level == 1:
            number_form(canvas, page_form(self.key), str(canvas.getPageNumber()), "contents")

    def split(self, available_width: float, available_height: float) -> list[Any]:
        """A heading stays whole."""
        return []


def page_form(key: str) -> str:
    """Name of the form that holds the page number of a section; it is used before it is defined."""
    return f"page-{key}"


def number_form(canvas: Any, name: str, words: str, style_name: str = "furniture") -> None:
    """Define form ``name`` as ``words``, its origin at the right end."""
    made = named(style_name)
    canvas.beginForm(name, -400, -20, 400, 40)
    canvas.setFont(made.fontName, made.fontSize)
    canvas.setFillColor(made.textColor)
    canvas.drawRightString(0, 0, words)
    canvas.endForm()


class Number(Flowable):  # type: ignore[misc]
    """One short line set flush right (or left) in a table cell: cheap, and digits stay in columns.

    Attributes:
        tail: room [pt] left free at the right, so that the decimal points of a column stand above each other.
    """

    role = "P"
    node: Node | None = None
    tail = 0.0

    def __init__(self, words: str, style_name: str = "cell", align: str = "right") -> None:
        super().__init__()
        self.words, self.style, self.align = words, named(style_name), align

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Take the whole width of the cell."""
        self.width, self.height = available_width, self.style.leading
        return self.width, self.height

    def natural_width(self) -> float:
        """Width of the words with the room right of them [pt]."""
        return measured(self.words, self.style.fontSize, self.style.fontName) + self.tail

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``."""
        self.node = parent.add(self.role)

    def draw(self) -> None:
        """Draw the words."""
        canvas = self.canv
        size, right = self.style.fontSize, self.align == "right"
        with canvas.content(self.node):
            canvas.setFillColor(self.style.textColor)
            x = self.width - self.tail if right else 0.0
            set_line(canvas, self.words, x, self.height - size, size, self.style.fontName, float(right))


def stacked(words: str, *below: str) -> str | list[Number]:
    """What stands in a column of numbers, smaller words under it; side by side they would leave the titles no room."""
    return [Number(words), *(Number(one, "note") for one in below)] if below else words


class Rule(Flowable):  # type: ignore[misc]
    """A horizontal line across the frame."""

    def __init__(self, weight: float = style.HEAD_RULE, before: float = 0.0, after: float = 0.0) -> None:
        super().__init__()
        self.weight, self.spaceBefore, self.spaceAfter = weight, before, after

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """As wide as the frame."""
        self.width, self.height = available_width, self.weight
        return self.width, self.height

    def draw(self) -> None:
        """Draw the line as furniture."""
        with self.canv.artifact():
            self.canv.setStrokeColor(HexColor(style.RULE))
            self.canv.setLineWidth(self.weight)
            self.canv.line(0, 0, self.width, 0)


class Together(KeepTogether):  # type: ignore[misc]
    """Flowables that stay on one page."""

    def whole(self) -> float:
        """Height [pt] of all parts with the space between them."""
        parts = self._content
        heights = [part.wrapOn(None, style.LIVE_WIDTH, style.LIVE_HEIGHT)[1] for part in parts]
        spaces = [max(one.getSpaceAfter(), two.getSpaceBefore()) for one, two in pairwise(parts)]
        return float(sum(heights) + sum(spaces))

    def hang(self, parent: Node) -> None:
        """Hang every part under ``parent``."""
        hang_all(self._content, parent)


class TwoColumns(BalancedColumns):  # type: ignore[misc]
    """Flowables in two columns, each read downwards, from page to page."""

    def __init__(self, flowables: Sequence[Any]) -> None:
        super().__init__(list(flowables), nCols=2, innerPadding=style.GUTTER)

    def first_block(self) -> float:
        """Height [pt] it needs to begin on a page."""
        return style.LIVE_HEIGHT / 8.0

    def hang(self, parent: Node) -> None:
        """Hang every part under ``parent``, in reading order."""
        hang_all(self._content, parent)


def beneath(title: Any, flowable: Any) -> Together:
    """A heading and what stands below it, never on two pages."""
    return together(title, *(flowable._content if isinstance(flowable, Together) else [flowable]))


def hang_all(flowables: Sequence[Any], parent: Node) -> None:
    """Give every flowable that is content its place under ``parent``."""
    for flowable in flowables:
        if hasattr(flowable, "hang"):
            flowable.hang(parent)


def rich(marked: str, style_name: str = "body", align: str = "left") -> Text:
    """A paragraph from markup of our own; foreign parts in it must have passed `markup`.

    What is set like a heading is one for a screen reader too, though not in the outline.
    """
    made = Text(marked if style_name.startswith(_NARROW) else bound(marked), named(style_name, align))
    made.role = _ROLES.get(style_name, "P")
    made.level = int(made.role[1]) if made.role != "P" else 0
    return made


def text(raw: str, style_name: str = "body", align: str = "left") -> Text:
    """A paragraph that shows ``raw`` literally."""
    return rich(markup(raw), style_name, align)


def heading(raw: str, level: int, key: str, number: str = "") -> Heading:
    """A heading; `dossier.pdf.template` keeps it with what follows.

    Args:
        raw: the words, literal.
        level: 1 to 3.
        key: unique name of the place.
        number: section number, printed muted in front.
    """
    words = plain(raw, 120)
    front = f'<font color="{style.MUTED}">{number}</font>&nbsp;&nbsp;' if number else ""
    made = Heading(front + markup(words), named(f"heading_{level}"))
    made.role, made.level, made.key = f"H{level}", level, key
    made.label = f"{number}  {words}" if number else words
    return made


def gap(height: float) -> Any:
    """Empty space [pt]."""
    return Spacer(1, height)


def together(*flowables: Any) -> Together:
    """Keep ``flowables`` on one page."""
    return Together(list(flowables))


def new_page() -> Any:
    """Go on on a new page."""
    return PageBreak()
