"""Page breaks before headings: a heading takes what follows it along, or goes to the next page with it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from reportlab.platypus import CondPageBreak, Spacer

from dossier import style
from dossier.pdf.blank import BlankLines
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import Text, Together, TwoColumns
from dossier.pdf.tables import DataTable

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
