"""The logo of the letterhead: checked like a photo, flattened on white, made smaller, kept without loss.

A logo that was prepared before passes through unchanged, so that a dossier made again from its own attachments is
the same.
"""

from __future__ import annotations

import io
import struct
from pathlib import Path
from typing import Final

from dossier.buildfile.attached_files import BesideError, folder_of, read_beside
from dossier.buildfile.model import Build
from dossier.record.pictures import PhotoRefusedError, flat, opened_picture
from dossier.results.pictures import LOGO, Picture

MOST_BYTES: Final = 10 * 1024 * 1024
_WIDE, _HIGH = 640, 256  # 300 dpi of the largest place on a page
_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_TRUE_COLOUR: Final = b"\x08\x02\x00\x00\x00"  # eight bits, red green blue, no interlace (PNG, ISO/IEC 15948, 11.2.2)


def prepared_logo(build: Build) -> Picture | None:
    """The logo of the build's workshop, or of the configuration's; None without one.

    Raises:
        PhotoRefusedError: it cannot be taken; the message says why.
    """
    workshop = build.kept.workshop
    if workshop is None or not workshop.logo:
        return None
    if any(photo.file == workshop.logo for photo in build.kept.photos.values()) and build.configuration is None:
        raise PhotoRefusedError("is also a photo of this record; give it a file of its own")
    folder = Path(build.configuration.file).parent if build.configuration else folder_of(build)
    try:
        data = read_beside(folder, workshop.logo, MOST_BYTES)
    except BesideError as why:
        told = str(why).replace("the build file", "the file that names it")
        raise PhotoRefusedError(told, missing=why.missing) from None
    data, size = prepare_logo(data)
    return Picture(LOGO, workshop.name, "", data, size)


def prepare_logo(data: bytes) -> tuple[bytes, tuple[int, int]]:
    """A PNG in plain colours and its size in pixels, at most as large as it can be printed.

    Raises:
        PhotoRefusedError: it is damaged, too large, or in no format that is taken.
    """
    from PIL import Image

    with opened_picture(data, MOST_BYTES) as image:
        image.load()
        if image.size[0] <= _WIDE and image.size[1] <= _HIGH and _is_plain(data):
            return data, image.size
        made = flat(image, _WIDE, _HIGH)
    made.thumbnail((_WIDE, _HIGH), Image.Resampling.LANCZOS)
    made.info.clear()
    out = io.BytesIO()
    made.save(out, "PNG", optimize=False, compress_level=9)
    return out.getvalue(), made.size


def _is_plain(data: bytes) -> bool:
    """Whether a PNG holds nothing but a picture in plain colours: it is then taken as it is."""
    if not data.startswith(_SIGNATURE):
        return False
    at, kinds = len(_SIGNATURE), []
    while at + 12 <= len(data):
        length = struct.unpack_from(">I", data, at)[0]
        kinds.append(data[at + 4 : at + 8])
        if kinds == [b"IHDR"] and data[at + 16 : at + 21] != _TRUE_COLOUR:
            return False
        at += 12 + length
    return at == len(data) and kinds[:1] == [b"IHDR"] and kinds[-1:] == [b"IEND"] and set(kinds[1:-1]) == {b"IDAT"}
