"""Paragraph styles, named for what they set."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle

from dossier import style
from dossier.pdf.fonts import BODY, ITALIC, STRONG, register

_ALIGN = {"left": TA_LEFT, "right": TA_RIGHT, "centre": TA_CENTER}


def _style(
    name: str,
    size: tuple[float, float],
    *,
    face: str = BODY,
    colour: str = style.INK,
    before: float = 0.0,
    after: float = 0.0,
    indent: float = 0.0,
) -> Any:
    return ParagraphStyle(
        name,
        fontName=face,
        bulletFontName=face,
        fontSize=size[0],
        leading=size[1],
        textColor=HexColor(colour),
        spaceBefore=before,
        spaceAfter=after,
        leftIndent=indent,
        allowWidows=0,
        allowOrphans=0,
        splitLongWords=1,
        alignment=TA_LEFT,
    )


@lru_cache(maxsize=1)
def _all() -> dict[str, Any]:
    register()
    made = [
        _style("title", style.TITLE, face=STRONG, after=2),
        _style("title_owner", (20.0, 24.5), face=STRONG, after=2),
        _style("subtitle", (12.5, 16.0), colour=style.MUTED, after=4),
        _style("lead", style.LEAD, after=6),
        _style("verdict", (15.0, 19.0), face=STRONG, after=6),
        _style("heading_1", style.HEADING_1, face=STRONG, before=15, after=6),
        _style("heading_2", style.HEADING_2, face=STRONG, before=11, after=3),
        _style("heading_3", (8.4, 11.0), face=STRONG, before=5, after=1),
        _style("body", style.BODY, after=5),
        _style("small", (7.6, 9.9), after=2),
        _style("item", style.BODY, after=2, indent=12),
        _style("item_small", (7.6, 9.9), after=2, indent=9),
        _style("item_large", (10.4, 14.0), after=2, indent=14),
        _style("note", style.CAPTION, colour=style.MUTED, after=4),
        _style("caption", style.CAPTION, colour=style.MUTED, before=2, after=8),
        _style("cell", style.CELL),
        _style("cell_large", (10.4, 14.0)),
        _style("cell_large_strong", (10.4, 14.0), face=STRONG),
        _style("cell_strong", style.CELL, face=STRONG),
        _style("cell_muted", style.CELL, colour=style.MUTED),
        _style("cell_bad", style.CELL, colour=style.BAD),
        _style("cell_small", (7.6, 9.8)),
        _style("cell_small_muted", (7.6, 9.8), colour=style.MUTED),
        _style("label_large", (13.0, 16.0), face=STRONG, after=2),
        _style("head", style.CELL_HEAD, face=STRONG, colour=style.MUTED),
        _style("key_figure", style.KEY_FIGURE, face=STRONG, colour=style.ACCENT),
        _style("key_caption", style.CAPTION, colour=style.MUTED),
        _style("warning", (10.4, 14.2), face=STRONG),
        _style("equation", (8.2, 10.8), face=ITALIC, after=1, indent=12),
        _style("furniture", style.FURNITURE, colour=style.MUTED),
        _style("contents", (7.6, 10.0)),
    ]
    return {one.name: one for one in made}


@lru_cache(maxsize=64)
def named(name: str, align: str = "left") -> Any:
    """The style of that name; ``align`` is left, right or centre."""
    base = _all()[name]
    if align == "left":
        return base
    return ParagraphStyle(f"{name}_{align}", parent=base, alignment=_ALIGN[align])
