"""Text of a PDF with its place, read with pikepdf alone, so that no reader program has to be installed."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

import pikepdf

Matrix = tuple[float, float, float, float, float, float]
_UNIT: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Shown:
    """One piece of text as shown: page index, place [pt] from the lower left corner, size [pt], words."""

    page: int
    x: float
    y: float
    size: float
    words: str


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


class _Face:
    """Codes to characters by the ToUnicode map."""

    def __init__(self, font: pikepdf.Object) -> None:
        self.wide = font.get("/Subtype") == pikepdf.Name.Type0
        self.map: dict[int, str] = {}
        if "/ToUnicode" in font:
            source = font.ToUnicode.read_bytes().decode("latin-1")
            for block in re.findall(r"beginbfchar(.*?)endbfchar", source, re.S):
                for code, value in re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block):
                    self.map[int(code, 16)] = _utf16(value)
            for block in re.findall(r"beginbfrange(.*?)endbfrange", source, re.S):
                for first, last, rest in re.findall(
                    r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*(\[[^\]]*\]|<[0-9A-Fa-f]+>)", block
                ):
                    values = re.findall(r"<([0-9A-Fa-f]+)>", rest)
                    for step, code_ in enumerate(range(int(first, 16), int(last, 16) + 1)):
                        if rest.startswith("["):
                            self.map[code_] = _utf16(values[step])
                        else:
                            self.map[code_] = chr(int(values[0], 16) + step)

    def read(self, data: bytes) -> str:
        step = 2 if self.wide else 1
        codes = (int.from_bytes(data[i : i + step], "big") for i in range(0, len(data), step))
        return "".join(self.map.get(code, "\ufffd") for code in codes)


def _utf16(digits: str) -> str:
    return bytes.fromhex(digits).decode("utf-16-be")


def shown(data: bytes) -> list[Shown]:
    """Everything shown in a PDF, in the order of the content streams."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        faces: dict[object, _Face] = {}
        found: list[Shown] = []
        for index, page in enumerate(pdf.pages):
            found += _walk(page, page.obj.Resources, _UNIT, index, faces)
        return found


def _walk(
    stream: object,
    resources: pikepdf.Object,
    base: Matrix,
    page: int,
    faces: dict[object, _Face],
) -> Iterator[Shown]:
    stack: list[Matrix] = []
    now, line, face, size, leading = base, _UNIT, None, 0.0, 0.0
    for instruction in pikepdf.parse_content_stream(stream):  # type: ignore[arg-type]
        operands, name = list(instruction.operands), str(instruction.operator)
        numbers = [float(one) for one in operands] if name in ("cm", "Tm", "Td", "TD", "TL") else []
        if name == "q":
            stack.append(now)
        elif name == "Q":
            now = stack.pop()
        elif name == "cm":
            now = _times(tuple(numbers), now)  # type: ignore[arg-type]
        elif name == "BT":
            line = _UNIT
        elif name == "Tf":
            font = resources.Font[str(operands[0])]
            key = font.objgen if font.is_indirect else id(font)
            face = faces.setdefault(key, _Face(font))
            size = float(operands[1])
        elif name == "Tm":
            line = tuple(numbers)  # type: ignore[assignment]
        elif name == "TL":
            leading = numbers[0]
        elif name in ("Td", "TD"):
            line = _times((1, 0, 0, 1, numbers[0], numbers[1]), line)
            leading = -numbers[1] if name == "TD" else leading
        elif name == "T*":
            line = _times((1, 0, 0, 1, 0, -leading), line)
        elif name in ("Tj", "TJ"):
            assert face is not None
            parts = (
                [operands[0]] if name == "Tj" else [one for one in operands[0] if isinstance(one, pikepdf.String)]
            )
            place = _times(line, now)
            yield Shown(page, place[4], place[5], size, "".join(face.read(bytes(one)) for one in parts))
        elif name == "Do":
            form = resources.XObject[str(operands[0])]
            if form.get("/Subtype") == pikepdf.Name.Form:
                inner = form.get("/Resources", resources)
                own = tuple(float(one) for one in form.get("/Matrix", _UNIT))
                yield from _walk(form, inner, _times(own, now), page, faces)  # type: ignore[arg-type]


def pages_text(data: bytes) -> list[str]:
    """The words of every page, pieces joined by spaces, white space simplified."""
    pieces: dict[int, list[str]] = {}
    for one in shown(data):
        pieces.setdefault(one.page, []).append(one.words)
    return [" ".join(" ".join(pieces[page]).split()) for page in sorted(pieces)]
