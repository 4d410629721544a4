"""A diagnostic as text for the terminal: in full with the line and a caret, or on one line."""

from __future__ import annotations

import os
import shutil
import textwrap
import unicodedata
from collections.abc import Iterator
from typing import TextIO

from dossier.diagnostic import Diagnostic, Place, Severity

_TAB = 4  # columns a tab is drawn with
_CUT = "..."
# Select Graphic Rendition (ECMA-48, 5th ed., 8.3.117): bold with red, magenta, yellow, cyan, green; 0 ends it.
_COLOURS = {
    Severity.ERROR: "1;31",
    Severity.STOP: "1;35",
    Severity.CAUTION: "1;33",
    Severity.NOTE: "1;36",
    Severity.OK: "1;32",
}
_DIM = "2"


def render(diagnostic: Diagnostic, style: str = "full", colour: bool = False, width: int = 100) -> str:
    """Text of one diagnostic, without a line end.

    Args:
        diagnostic: what to show. Its texts come from a user's file: they are shown, never obeyed.
        style: ``full``, or ``concise`` for one line.
        colour: whether to paint; the words say the same without.
        width: columns of the terminal; the concise line is never broken.
    """
    paint = _COLOURS[diagnostic.severity] if colour else ""
    mark = _painted(f"{diagnostic.severity.word}[{diagnostic.code}]", paint)
    headline = visible(diagnostic.headline)
    where = diagnostic.where
    if style == "concise":
        return f"{visible(str(where))}: {mark}: {headline}" if where else f"{mark}: {headline}"
    width = max(width, 40)
    lines = [f"{mark}: {headline}"]
    margin = 2
    if where:
        margin = max(3, len(str(where.line)) + 1)
        lines.append(_painted(f"{'-->':>{margin + 2}} ", _DIM if colour else "") + visible(str(where)))
        if where.text.strip():
            lines += _snippet(where, margin, width, paint)
    for name in ("expected", "consequence", "fix", "source"):
        if text := getattr(diagnostic, name):
            lines += _explained(name, visible(text), margin, width)
    return "\n".join(lines)


def terminal(stream: TextIO) -> tuple[bool, int]:
    """Whether to paint on a stream, and its width in columns.

    Colour only goes to a terminal that understands it, and never where ``NO_COLOR`` is set (no-color.org);
    ``FORCE_COLOR`` asks for it in a pipe as well.
    """
    wanted = stream.isatty() and os.environ.get("TERM") != "dumb"
    painted = (wanted or bool(os.environ.get("FORCE_COLOR"))) and not os.environ.get("NO_COLOR")
    return painted, shutil.get_terminal_size((100, 24)).columns


def visible(text: str) -> str:
    """Text in which nothing can move the cursor or hide: characters without a picture are spelt out."""
    return "".join(_drawn(character) for character in text)


def _drawn(character: str) -> str:
    if character == "\t":
        return " " * _TAB
    category = unicodedata.category(character)
    if category in ("Cc", "Cf", "Cs", "Zl", "Zp"):
        return f"<U+{ord(character):04X}>"
    return character


def columns(text: str) -> int:
    """Terminal columns of a text: wide and fullwidth characters take two (UAX 11), combining ones none."""
    return sum(_columns_of(character) for character in text)


def _columns_of(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def _snippet(where: Place, margin: int, width: int, paint: str) -> Iterator[str]:
    """The line and, below it, the caret; of a long line only the part around the caret."""
    before = visible(where.text[: where.column - 1])
    marked = visible(where.text[where.column - 1 : where.column - 1 + where.width]) or " "
    after = visible(where.text[where.column - 1 + where.width :])
    room = width - margin - 3
    if columns(before + marked + after) > room:
        before, marked, after = _window(before, marked, after, room)
    yield f"{where.line:>{margin}} | {before}{marked}{after}".rstrip()
    carets = _painted("^" * max(1, columns(marked)), paint)
    yield f"{'':>{margin}} | {' ' * columns(before)}{carets}"


def _window(before: str, marked: str, after: str, room: int) -> tuple[str, str, str]:
    """Cut a long line on both sides so that what is marked stays in sight."""
    marked = _first(marked, room // 2)
    room -= columns(marked)
    if columns(after) > room // 2:
        after = _first(after, max(room // 2, room - columns(before)) - len(_CUT)) + _CUT
    room -= columns(after)
    if columns(before) > room:
        before = _CUT + _first(before[::-1], room - len(_CUT))[::-1]
    return before, marked, after


def _first(text: str, room: int) -> str:
    """As many of the first characters as fit."""
    used = 0
    for index, character in enumerate(text):
        used += _columns_of(character)
        if used > room:
            return text[:index]
    return text


def _explained(name: str, text: str, margin: int, width: int) -> list[str]:
    """A named paragraph, wrapped, its further lines indented below the first."""
    first = f"{'':>{margin}} {name}: "
    return textwrap.wrap(
        text,
        max(width, len(first) + 20),
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )


def _painted(text: str, code: str) -> str:
    return f"\x1b[{code}m{text}\x1b[0m" if code else text
