"""The faces of the document, found, registered and asked what they can show.

Lato (SIL Open Font License, static TrueType with tabular digits) sets the text; DejaVu Sans, which comes with
matplotlib, lends the few signs Lato lacks (check marks, boxes). Both may be embedded.
"""

from __future__ import annotations

from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

import fontpkg_lato
from reportlab.pdfbase import pdfmetrics, ttfonts

BODY: Final = "Body"
STRONG: Final = "BodyStrong"
ITALIC: Final = "BodyItalic"
SYMBOLS: Final = "Symbols"


def lato_file(cut: str) -> Path:
    """Path of one cut of Lato, for example ``Regular``."""
    return Path(fontpkg_lato.ROOT) / "files" / f"Lato-{cut}.ttf"


def symbols_file() -> Path:
    """Path of DejaVu Sans inside matplotlib, found without importing matplotlib.

    Raises:
        FileNotFoundError: matplotlib is not installed.
    """
    spec = find_spec("matplotlib")
    if spec is None or not spec.submodule_search_locations:
        raise FileNotFoundError("DejaVu Sans: matplotlib is not installed")
    return Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"


@lru_cache(maxsize=1)
def register() -> dict[str, Any]:
    """Register the four faces with reportlab, once per process; returns them by name."""
    files = {
        BODY: lato_file("Regular"),
        STRONG: lato_file("Bold"),
        ITALIC: lato_file("Italic"),
        SYMBOLS: symbols_file(),
    }
    faces = {}
    for name, path in files.items():
        font = ttfonts.TTFont(name, str(path))
        _repeat_last_advance(font)
        pdfmetrics.registerFont(font)
        faces[name] = font
    pdfmetrics.registerFontFamily(BODY, normal=BODY, bold=STRONG, italic=ITALIC, boldItalic=STRONG)
    pdfmetrics.registerFontFamily(SYMBOLS, normal=SYMBOLS, bold=SYMBOLS, italic=SYMBOLS, boldItalic=SYMBOLS)
    return faces


def _repeat_last_advance(font: Any) -> None:
    """Glyphs past the last full metric take its advance (OpenType `hmtx`); the subsetter writes other widths."""
    face = font.face
    count = int.from_bytes(face.get_table("hhea")[34:36], "big")
    advance = face.hmetrics[count - 1][0]
    face.hmetrics[count:] = [(advance, bearing) for _, bearing in face.hmetrics[count:]]


@lru_cache(maxsize=1)
def _coverage() -> tuple[frozenset[int], frozenset[int]]:
    faces = register()
    text = [set(faces[name].face.charToGlyph) for name in (BODY, STRONG, ITALIC)]
    return frozenset(set.intersection(*text)), frozenset(faces[SYMBOLS].face.charToGlyph)


def face_for(char: str) -> str | None:
    """The face that shows ``char``: ``BODY``, ``SYMBOLS``, or None when neither can."""
    body, symbols = _coverage()
    code = ord(char)
    if code in body:
        return BODY
    return SYMBOLS if code in symbols else None


def width(text: str, face: str, size: float) -> float:
    """Width of ``text`` [pt] set on one line."""
    register()
    return float(pdfmetrics.stringWidth(text, face, size))
