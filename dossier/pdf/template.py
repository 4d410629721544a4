"""The page: live area, header, footer with page x of y, what stays together, and the single pass of the layout."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from reportlab.lib.colors import HexColor
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Frame, PageTemplate, Spacer

from dossier import style
from dossier.pdf.blank import BlankLines
from dossier.pdf.figure import FigureBox
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import Heading, Text, Together, TwoColumns, number_form
from dossier.pdf.fonts import BODY, STRONG, register
from dossier.pdf.line import cut, measured, set_line
from dossier.pdf.structure import Node, StructuredCanvas, level_headings
from dossier.pdf.styles import named
from dossier.pdf.tables import DataTable
from dossier.pdf.text import plain
from dossier.reader.wording import say, spoken

_LINES: Final = 3  # of running text that must stand below a heading
_MOST: Final = 0.98 * style.LIVE_HEIGHT  # what a fresh page always has


def with_breaks(story: Sequence[Any]) -> list[Any]:
    """``story`` with a conditional page break before every run of headings."""
    made: list[Any] = []
    for index, flowable in enumerate(story):
        if _heads(flowable) and not (made and _heads(made[-1])):
            made.append(CondPageBreak(min(_need(story, index), _MOST)))
        made.append(flowable)
    return made


def _heads(flowable: Any) -> bool:
    """Whether it stands above something: a heading, or words set like one."""
    return isinstance(flowable, Text) and flowable.level > 0


def _need(story: Sequence[Any], index: int) -> float:
    """Height [pt] of the heading at ``index`` with the least that may stand below it."""
    need, after = 1.0, 0.0
    introduced = False
    level = story[index].level
    for flowable in story[index:]:
        need += max(0.0, float(flowable.getSpaceBefore()) - after)  # the larger of two spaces counts
        if isinstance(flowable, (DataTable, BlankLines, FigureWithTable, TwoColumns)):
            return need + flowable.first_block()
        if introduced and isinstance(flowable, Text):
            deeper = flowable.level > level > 0
            if not deeper:
                return need  # running text, or a further heading with its own break
            level, introduced = flowable.level, False  # the first subsection begins below its introduction
        if isinstance(flowable, Together):
            return need + flowable.whole()
        high = float(flowable.wrapOn(None, style.LIVE_WIDTH, style.LIVE_HEIGHT)[1])
        after = float(flowable.getSpaceAfter())
        need += high + after
        if _heads(flowable) or isinstance(flowable, Spacer):
            continue
        if isinstance(flowable, Text) and high <= (_LINES + 1) * flowable.style.leading:
            introduced = True
            continue  # a short introduction stays with what it introduces
        if isinstance(flowable, Text):
            return need - high + _LINES * float(flowable.style.leading)
        return need
    return need


_STAMP: Final = 8.6  # pt, size of the words that mark a plan


@dataclass(frozen=True, slots=True)
class Furniture:
    """What every page repeats."""

    title: str  # name of the document, in the header from page 2
    number: str  # record number, header right
    footer: str  # revision, date and the like
    stamp: str = ""  # words set in the header of every page, for example that this is only a plan; may be empty
    alarm: bool = False  # whether they forbid something


@dataclass(frozen=True, slots=True)
class Laid:
    """A laid-out document, before finishing."""

    data: bytes  # the PDF as reportlab leaves it, with empty boxes for the figures
    figures: dict[str, FigureBox]  # the boxes by form name, in order of appearance
    structure: Node  # the tree with the place of every element
    pages: int  # how many pages there are


@dataclass(slots=True)
class _Page:
    """Draws what every page repeats."""

    paper: tuple[float, float]
    furniture: Furniture
    frame: tuple[float, float]  # lower left corner of the live area
    pages: int = field(default=0)

    def __call__(self, canvas: StructuredCanvas, document: Any) -> None:
        left, bottom = self.frame
        right = left + style.LIVE_WIDTH
        head = bottom + style.LIVE_HEIGHT + style.HEADER_ABOVE
        foot = bottom - style.FOOTER_BELOW
        page = canvas.getPageNumber()
        self.pages = page
        made = named("furniture")
        with canvas.artifact():
            canvas.setStrokeColor(HexColor(style.HAIR))
            canvas.setLineWidth(style.FURNITURE_RULE)
            canvas.line(left, head - 4, right, head - 4)
            canvas.line(left, foot + 9, right, foot + 9)
            canvas.setFillColor(made.textColor)
            size = made.fontSize
            number = cut(self.furniture.number, size, style.LIVE_WIDTH / 3)
            set_line(canvas, number, right, head, size, back=1.0)
            room = style.LIVE_WIDTH - measured(number, size) - 12.0
            if self.furniture.stamp:
                room = style.LIVE_WIDTH / 2 - self._half() - 8.0
            if page > 1:
                set_line(canvas, cut(self.furniture.title, size, room), left, head, size)
            set_line(canvas, cut(self.furniture.footer, size, style.LIVE_WIDTH * 0.85), left, foot, size)
            if self.furniture.stamp:
                self._stamp(canvas, left + style.LIVE_WIDTH / 2, head)
            canvas.saveState()
            canvas.translate(right, foot)
            canvas.doForm(f"footer-{page}")
            canvas.restoreState()

    def _stamp(self, canvas: StructuredCanvas, middle: float, y: float) -> None:
        words, half = self.furniture.stamp, self._half()
        colour = HexColor(style.BAD if self.furniture.alarm else style.CARE)
        canvas.setStrokeColor(colour)
        canvas.setFillColor(colour)
        canvas.setLineWidth(0.9)
        canvas.rect(middle - half, y - 0.5, 2 * half, 13, stroke=1, fill=0)
        set_line(canvas, words, middle, y + 3, _STAMP, STRONG, 0.5)

    def _half(self) -> float:
        """Half the width of the stamp [pt]."""
        return measured(self.furniture.stamp, _STAMP, STRONG) / 2 + 6


class _Document(BaseDocTemplate):  # type: ignore[misc]
    def handle_documentBegin(self) -> None:  # noqa: N802 - reportlab's name
        super().handle_documentBegin()
        self.canv.figures = {}

    def _endBuild(self) -> None:  # noqa: N802 - reportlab's name
        """Now the number of pages is known: the footers that were used before it are defined."""
        for page in range(1, self.page + 1):
            number_form(self.canv, f"footer-{page}", say("paper.page_of", page=page, last=self.page))
        super()._endBuild()


def paper_size(paper: str) -> tuple[float, float]:
    """Width and height [pt] of ``a4`` or ``letter``."""
    wide, high = style.PAPERS_MM[paper]
    return wide * style.POINTS_PER_MM, high * style.POINTS_PER_MM


def lay_out(story: Sequence[Any], furniture: Furniture, *, paper: str, author: str = "") -> Laid:
    """Lay ``story`` out on ``paper`` in a single pass.

    Args:
        story: flowables; those that are content have a ``hang`` method.
        furniture: what every page repeats.
        paper: ``a4`` or ``letter``.
        author: for the document information.
    """
    register()
    size = paper_size(paper)
    left = (size[0] - style.LIVE_WIDTH) / 2
    bottom = (size[1] - style.LIVE_HEIGHT) / 2 - style.LIVE_SHIFT_DOWN
    frame = Frame(
        left,
        bottom,
        style.LIVE_WIDTH,
        style.LIVE_HEIGHT,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
        id="live",  # columns come back to it
    )
    page = _Page(size, furniture, (left, bottom))
    out = io.BytesIO()
    document = _Document(
        out,
        pagesize=size,
        pageTemplates=[PageTemplate(id="page", frames=[frame], onPage=page)],
        title=plain(furniture.title),
        author=plain(author),
        lang=spoken().language,
        displayDocTitle=True,
        initialFontName=BODY,
        initialFontSize=style.BODY[0],
        initialLeading=style.BODY[1],
    )
    root = Node("Document")
    section = root
    for flowable in story:
        if isinstance(flowable, Heading) and flowable.level == 1:
            section = root.add("Sect")
        if hasattr(flowable, "hang"):
            flowable.hang(section)
    level_headings(root)
    document.build(with_breaks(story), canvasmaker=StructuredCanvas)
    return Laid(out.getvalue(), dict(document.canv.figures), root, page.pages)
