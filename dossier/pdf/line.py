"""One line of words: measured, cut to its room, set sign by sign in the face that has it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from dossier.pdf.fonts import BODY, SYMBOLS, face_for, width


def runs(words: str, face: str = BODY) -> Iterator[tuple[str, str]]:
    """Stretches of ``words`` with the face that shows them."""
    stretch, current = "", face
    for char in words:
        wanted = SYMBOLS if face_for(char) == SYMBOLS else face
        if wanted != current and stretch:
            yield stretch, current
            stretch = ""
        current = wanted
        stretch += char
    if stretch:
        yield stretch, current


def measured(words: str, size: float, face: str = BODY) -> float:
    """Length of ``words`` on one line [pt]."""
    if words.isascii():
        return width(words, face, size)
    return sum(width(part, one, size) for part, one in runs(words, face))


def cut(words: str, size: float, room: float, face: str = BODY) -> str:
    """``words``, or as many of them as fit into ``room`` [pt] with an ellipsis."""
    if measured(words, size, face) <= room:
        return words
    low, high = 0, len(words)
    while low < high:
        middle = (low + high + 1) // 2
        if measured(words[:middle].rstrip() + "…", size, face) <= room:
            low = middle
        else:
            high = middle - 1
    return words[:low].rstrip() + "…"


def set_line(canvas: Any, words: str, x: float, y: float, size: float, face: str = BODY, back: float = 0.0) -> None:
    """Draw ``words``; ``back`` is the share of their length that stands left of ``x``: 0 left, 1 right."""
    x -= back * measured(words, size, face) if back else 0.0
    for part, one in runs(words, face):
        canvas.setFont(one, size)
        canvas.drawString(x, y, part)
        x += width(part, one, size)
