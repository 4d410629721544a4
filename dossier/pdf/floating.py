"""A large figure and the table beside it: where the figure does not fit, the table fills the page before it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile
from typing import Any, Final

from reportlab.platypus import CondPageBreak, Flowable, PageBreak
from reportlab.platypus.doctemplate import NullActionFlowable

from dossier import style
from dossier.pdf.flow import Heading, Together, hang_all
from dossier.pdf.structure import Node
from dossier.pdf.tables import DataTable

_MUCH: Final = style.LIVE_HEIGHT / 6.0  # room that is worth filling


class FigureWithTable(Flowable):  # type: ignore[misc]
    """Draws the figure first wherever it fits, else as much of the table as the page has room for.

    In the structure the figure always comes first.

    Args:
        figure: the figure and what belongs to it.
        title: heading of the table.
        table: what may be split.
    """

    def __init__(self, figure: Sequence[Any], title: Heading, table: DataTable) -> None:
        super().__init__()
        self.figure, self.title, self.table = list(figure), title, table

    def _high(self) -> float:
        """Height [pt] of the figure, or of its first sheet."""
        first = takewhile(lambda one: not isinstance(one, PageBreak), self.figure)
        return sum((_tall(one) for one in first), float(self.figure[0].getSpaceBefore()))

    def _head(self) -> float:
        high = self.title.wrapOn(None, style.LIVE_WIDTH, style.LIVE_HEIGHT)[1]
        return float(high + self.title.getSpaceBefore() + self.title.getSpaceAfter())

    def first_block(self) -> float:
        """Height [pt] it needs to begin on a page: of the figure, or of the first rows of the table if that is less."""
        least = max(_MUCH, self._head() + self.table.first_block())
        return min(self._high(), least)

    def hang(self, parent: Node) -> None:
        """Hang figure, heading and table in reading order."""
        hang_all([*self.figure, self.title, self.table], parent)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Always too high, so that it is asked to split."""
        return available_width, available_height + 1.0

    def split(self, available_width: float, available_height: float) -> list[Any]:
        """Figure and table in the order that fits."""
        need = self._head() + self.table.first_block()
        after = [CondPageBreak(need), self.title, self.table]
        if available_height >= self._high():
            # What a split begins with is not split again, and what stays together asks for that.
            return [NullActionFlowable(), *self.figure, *after]
        if available_height < self.first_block():
            return []
        parts = self.table.split(available_width, available_height - self._head())
        if not parts:
            return []
        return [self.title, parts[0], *self.figure, CondPageBreak(_MUCH), *parts[1:]]


def _tall(one: Any) -> float:
    if isinstance(one, Together):
        return one.whole()
    return float(one.wrapOn(None, style.LIVE_WIDTH, style.LIVE_HEIGHT)[1])
