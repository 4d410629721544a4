"""The signs of a font as a reader gets them: outline, width and the character it is read as.

TrueType only, as every dossier has it; any other font stands for itself and is the same only as a whole.
"""

from __future__ import annotations

import hashlib
import io
import re
from typing import Any, Final

from pikepdf import Array, Dictionary, Name, Stream

from dossier.frozen import dataclass
from dossier.record.looks.plain import number, plain
from dossier.record.streams import Work

_SIGNS: Final = 65536
_BLOCK: Final = re.compile(rb"\d+\s+beginbf(char|range)\s(.*?)\sendbf(?:char|range)", re.DOTALL)
_CHAR: Final = re.compile(rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>")
_RANGE: Final = re.compile(rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*(?:<([0-9A-Fa-f]+)>|\[([^\]]*)\])")
_HEX: Final = re.compile(rb"<([0-9A-Fa-f]+)>")


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign: what it is read as, its outline as a digest, and its advance [1/1000 of the size]."""

    text: str
    outline: bytes
    width: float


class Face:
    """A font of a document."""

    def __init__(self, font: Any, work: Work) -> None:
        self.work = work
        self.wide = font.get("/Subtype") == Name.Type0  # codes of two bytes
        holder = font.DescendantFonts[0] if self.wide else font
        descriptor = holder.get("/FontDescriptor")
        file = descriptor.get("/FontFile2") if isinstance(descriptor, Dictionary) else None
        self._holder, self._known = holder, dict[int, Sign]()
        self._texts, rest = _texts(font, work)
        # What else decides which outline a code gets, or how it is drawn.
        self.kind: tuple[Any, ...] = (
            str(font.get("/Subtype")), plain(font.get("/Encoding"), work), str(holder.get("/Subtype")), rest,
        )  # fmt: skip
        self._sfnt: Any = None
        if isinstance(file, Stream):
            from fontTools.ttLib import TTFont

            flags = int(descriptor.get("/Flags", 0))
            self._sfnt = TTFont(io.BytesIO(work.unpacked(file)), lazy=True)
            self._outlines = self._sfnt.getGlyphSet()
            self._maps = [one.cmap for one in self._sfnt["cmap"].tables] if "cmap" in self._sfnt else []
            hints = [self._sfnt.getTableData(name) for name in ("fpgm", "prep", "cvt ") if name in self._sfnt]
            self.kind += (flags, hashlib.sha256(b"\0".join(hints)).digest(), self._sfnt["head"].unitsPerEm)
        else:
            self.kind += (plain(font, work),)
        to_glyph = holder.get("/CIDToGIDMap")
        self._to_glyph = work.unpacked(to_glyph) if isinstance(to_glyph, Stream) else None
        self._widths = _widths(holder) if self.wide else {}

    def codes(self, data: bytes) -> list[int]:
        """The codes of a shown text."""
        if not self.wide:
            return list(data)
        return [int.from_bytes(data[at : at + 2], "big") for at in range(0, len(data), 2)]

    def sign(self, code: int) -> Sign:
        """The sign of a code."""
        if code not in self._known:
            self._known[code] = Sign(self._texts.get(code, ""), self._outline(code), self._width(code))
        return self._known[code]

    def _width(self, code: int) -> float:
        if self.wide:
            return self._widths.get(code, number(self._holder.get("/DW", 1000)) or 0.0)
        place = code - int(self._holder.get("/FirstChar", 0))
        widths = self._holder.get("/Widths")
        if isinstance(widths, Array) and 0 <= place < len(widths):
            return number(widths[place]) or 0.0
        return 0.0

    def _outline(self, code: int) -> bytes:
        if self._sfnt is None:
            return b""
        order = self._sfnt.getGlyphOrder()
        if self.wide:
            place = int.from_bytes(self._to_glyph[2 * code : 2 * code + 2], "big") if self._to_glyph else code
            names = {order[place]} if place < len(order) else set()
        else:  # viewers differ in which table they ask: all have to agree
            asked = (0xF000 + code, 0xF100 + code, 0xF200 + code, code)
            names = {table[one] for table in self._maps for one in asked if one in table}
        drawn = sorted({self._drawn(name) for name in names})
        return hashlib.sha256(b"".join(drawn)).digest() if drawn else b""

    def _drawn(self, name: str) -> bytes:
        from fontTools.pens.recordingPen import DecomposingRecordingPen

        self.work.step()
        pen = DecomposingRecordingPen(self._outlines)
        self._outlines[name].draw(pen)
        glyph = self._sfnt["glyf"][name]
        program = glyph.program.getBytecode() if hasattr(glyph, "program") else b""
        return hashlib.sha256(repr(pen.value).encode() + bytes(program)).digest()


def _widths(holder: Any) -> dict[int, float]:
    """Widths of a font with codes of two bytes (ISO 32000-1, 9.7.4.3)."""
    found: dict[int, float] = {}
    entries = holder.get("/W")
    every = list(entries) if isinstance(entries, Array) else []
    at = 0
    while at + 1 < len(every):
        first = int(every[at])
        if isinstance(every[at + 1], Array):
            found |= {first + i: number(one) or 0.0 for i, one in enumerate(every[at + 1])}
            at += 2
        else:
            last, width = min(int(every[at + 1]), _SIGNS), number(every[at + 2]) or 0.0
            found |= dict.fromkeys(range(first, last + 1), width)
            at += 3
    return found


def _texts(font: Any, work: Work) -> tuple[dict[int, str], bytes]:
    """Code -> text, and what else stands in that table (ISO 32000-1, 9.10.3)."""
    table = font.get("/ToUnicode")
    if not isinstance(table, Stream):
        return {}, b""
    data = work.unpacked(table)
    found: dict[int, str] = {}
    for kind, block in _BLOCK.findall(data):
        if kind == b"char":
            found |= {int(code, 16): _text(to) for code, to in _CHAR.findall(block)}
            continue
        for low, high, start, each in _RANGE.findall(block):
            first, last = int(low, 16), min(int(high, 16), _SIGNS)
            if start:
                text = _text(start)
                for i in range(last - first + 1):
                    work.step()
                    found[first + i] = text[:-1] + chr(min(ord(text[-1]) + i, 0x10FFFF)) if text else ""
            else:
                found |= {first + i: _text(to) for i, to in enumerate(_HEX.findall(each))}
    return found, re.sub(rb"[\s\d]+", b" ", _BLOCK.sub(b"", data))


def _text(digits: bytes) -> str:
    return bytes.fromhex(digits.decode() + "0" * (len(digits) % 2)).decode("utf-16-be", "replace")
