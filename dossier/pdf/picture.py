"""Pictures and codes on the page: a photograph as it was prepared, and a square code drawn as vectors."""

from __future__ import annotations

import io
from typing import Any

from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel
from reportlab.lib.colors import HexColor
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from dossier import style
from dossier.pdf.structure import Node

_QUIET = 4  # modules of white around the code (ISO/IEC 18004)


class PhotoBox(Flowable):  # type: ignore[misc]
    """A photograph, as large as fits into ``most`` (width, height) [pt].

    Args:
        data: JPEG bytes.
        pixels: its width and height.
        most: the room it may fill [pt].
        alt: what it shows, in words.
    """

    node: Node | None = None

    def __init__(self, data: bytes, pixels: tuple[int, int], most: tuple[float, float], alt: str) -> None:
        super().__init__()
        self.data, self.alt = data, alt
        scale = min(most[0] / pixels[0], most[1] / pixels[1])
        # never by a rounding error more than the room there is
        self.width, self.height = min(pixels[0] * scale, most[0]), min(pixels[1] * scale, most[1])

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """The size is fixed."""
        return self.width, self.height

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``."""
        self.node = parent.add("Figure", alt=self.alt)

    def draw(self) -> None:
        """Place the picture."""
        with self.canv.content(self.node):
            self.canv.drawImage(ImageReader(io.BytesIO(self.data)), 0, 0, self.width, self.height)


class SquareCode(Flowable):  # type: ignore[misc]
    """A QR code of ``words``, ``size`` [pt] with its quiet zone, drawn as one path."""

    node: Node | None = None

    def __init__(self, words: str, size: float, alt: str) -> None:
        super().__init__()
        self.words, self.alt = words, alt
        self.width = self.height = size

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """The size is fixed."""
        return self.width, self.height

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``."""
        self.node = parent.add("Figure", alt=self.alt)

    def draw(self) -> None:
        """Draw the dark modules, those side by side as one rectangle."""
        code = QRCode(None, QRErrorCorrectLevel.M)
        code.addData(self.words)
        code.make()
        count = code.getModuleCount()
        step = self.width / (count + 2 * _QUIET)
        path: Any = self.canv.beginPath()
        for row in range(count):
            start = None
            for column in range(count + 1):
                dark = column < count and code.isDark(row, column)
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    y = self.height - (row + 1 + _QUIET) * step
                    path.rect((start + _QUIET) * step, y, (column - start) * step, step)
                    start = None
        with self.canv.content(self.node):
            self.canv.setFillColor(HexColor(style.INK))
            self.canv.drawPath(path, stroke=0, fill=1)
