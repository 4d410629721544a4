"""Foreign text made safe and showable: every string of a build file passes here before it is set."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Final
from xml.sax.saxutils import escape

from dossier.pdf.fonts import BODY, SYMBOLS, face_for

_SQUARE_MM: Final = re.compile(r"(?<=[\d ])mm2\b")  # as build files write it
_UNITS: Final = "%|V|A|kA|Ah|W|kW|Hz|kHz|dB|s|min|h|mm|mm²|mm2|cm|m|m²|km|ft|AWG|kg|lb|F|mΩ|Ω|mohm|ohm|J|kJ|r/min|°C|°F"
_BEFORE_UNIT: Final = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?!\w))")
_RUN_SHOWN: Final = 6  # of a run of signs no face can show, so many are spelt out
_BIDI: Final = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_WORD_SIGNS: Final = 16  # a longer word is cut within
_DROPPED: Final = frozenset("\ufeff\u00ad\u200b\u200c\u200d\u2060") | _BIDI


def _is_dropped(char: str) -> bool:
    """Control characters, lone surrogates, non-characters, and marks that steer or hide text."""
    code = ord(char)
    if char in _DROPPED or (code & 0xFFFE) == 0xFFFE or 0xFDD0 <= code <= 0xFDEF:
        return True
    return unicodedata.category(char) in ("Cc", "Cs")


@lru_cache(maxsize=4096)
def _shows(char: str) -> bool:
    """Whether a face has the character and we may set it: right-to-left scripts would come out reversed."""
    if ord(char) > 0xFFFF or unicodedata.bidirectional(char) in ("R", "AL", "AN"):
        return False
    return face_for(char) is not None


def is_shown(text: str) -> bool:
    """Whether every sign of ``text`` that is meant to be seen can be set as it is."""
    if text.isascii():
        return True
    return all(char in "\n\t\r\u2028\u2029" or _is_dropped(char) or _shows(char) for char in text)


def clean(text: str) -> str:
    """Normalise ``text`` and replace what cannot be shown by its code in square brackets.

    A size in ``mm2`` is shown in mm². The line feed stays; other white space becomes a space. A long run of unshowable
    characters is spelt out at its start and then counted, so that nothing vanishes unseen: ``[U+4E2D][U+6587]``.
    """
    if "mm2" in text:
        text = _SQUARE_MM.sub("mm²", text)
    if text.isascii() and text.isprintable():
        return text
    kept = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\t", " "))
    out: list[str] = []
    hidden: list[str] = []

    def flush() -> None:
        if hidden:
            out.extend(f"[U+{ord(char):04X}]" for char in hidden[:_RUN_SHOWN])
            if len(hidden) > _RUN_SHOWN:
                out.append(f"[{len(hidden) - _RUN_SHOWN} more]")
            hidden.clear()

    for char in kept:
        if char == "\n" or (char not in "\u2028\u2029" and not _is_dropped(char) and _shows(char)):
            flush()
            out.append(char)
        elif char in "\u2028\u2029":
            flush()
            out.append("\n")
        elif not _is_dropped(char):
            hidden.append(char)
    flush()
    return "".join(out)


def bound(text: str) -> str:
    """``text`` with every number on the line of its unit."""
    return _BEFORE_UNIT.sub("\u00a0", text)


def markup(text: str) -> str:
    """``text`` as paragraph markup that shows it literally, whatever it contains."""
    cleaned = clean(text)
    if cleaned.isascii() and "\n" not in cleaned:
        return escape(cleaned)
    out: list[str] = []
    run: list[str] = []
    face = BODY

    def flush() -> None:
        if run:
            body = escape("".join(run)).replace("\n", "<br/>")
            out.append(f'<font name="{SYMBOLS}">{body}</font>' if face == SYMBOLS else body)
            run.clear()

    for char in cleaned:
        wanted = BODY if char == "\n" else (face_for(char) or BODY)
        if wanted != face:
            flush()
            face = wanted
        run.append(char)
    flush()
    return "".join(out)


def plain(text: str, limit: int = 200) -> str:
    """``text`` on one line without markup, at most ``limit`` characters: titles, bookmarks, figure labels.

    What is longer ends in an ellipsis, after a whole word where one ends nearby.
    """
    line = " ".join(clean(text).split())
    if len(line) <= limit:
        return line
    cut = line[: limit - 1]
    words = cut if line[limit - 1] == " " else cut.rpartition(" ")[0]
    return (words if len(words) > limit - _WORD_SIGNS else cut).rstrip() + "…"
