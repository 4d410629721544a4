"""The faces of the figures: those of the text, without the layout tables that cost most of the embedding time.

matplotlib opens faces by path and cuts them down to the glyphs used. With the kerning and substitution tables of
Lato that takes half a second per document, without them a few hundredths; the labels of a plot need neither.
"""

from __future__ import annotations

import struct
import tempfile
from functools import lru_cache
from pathlib import Path
from typing import Final

import fontpkg_lato
import matplotlib as mpl
from matplotlib import font_manager

from dossier.scratch import folder

# Names of our own, so that no face installed on the machine can take their place.
BODY: Final = "Dossier Body"
SYMBOLS: Final = "Dossier Symbols"
_KEPT: Final = (
    b"OS/2", b"cmap", b"cvt ", b"fpgm", b"gasp", b"glyf", b"head", b"hhea", b"hmtx", b"loca", b"maxp", b"name", b"post",
    b"prep",
)


@lru_cache(maxsize=1)
def register() -> None:
    """Make the faces known to matplotlib, once per process.

    Raises:
        OSError: there is no place for the faces. Whole ones would do, but not give the same bytes.
    """
    files = {
        BODY: Path(fontpkg_lato.ROOT) / "files" / "Lato-Regular.ttf",
        SYMBOLS: Path(mpl.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf",
    }
    place = Path(tempfile.mkdtemp(dir=folder()))  # processes of -j share the folder: each its own files
    for name, path in files.items():
        used = place / path.name
        used.write_bytes(slim(path.read_bytes()))
        font_manager.fontManager.ttflist.append(
            font_manager.FontEntry(
                fname=str(used),
                name=name,
                style="normal",
                variant="normal",
                weight=400,
                stretch="normal",
                size="scalable",
            )
        )


def slim(font: bytes) -> bytes:
    """A TrueType file with only the tables that draw glyphs (OpenType, table directory)."""
    count = struct.unpack_from(">H", font, 4)[0]
    kept = []
    for index in range(count):
        tag, checksum, offset, length = struct.unpack_from(">4sIII", font, 12 + 16 * index)
        if tag in _KEPT:
            kept.append((tag, checksum, font[offset : offset + length]))
    kept.sort()
    power = len(kept).bit_length() - 1
    head = font[:4] + struct.pack(">4H", len(kept), 16 << power, power, 16 * (len(kept) - (1 << power)))
    directory, body = b"", b""
    start = 12 + 16 * len(kept)
    for tag, checksum, data in kept:
        directory += struct.pack(">4sIII", tag, checksum, start + len(body), len(data))
        body += data + b"\0" * (-len(data) % 4)
    return head + directory + body
