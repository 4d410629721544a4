"""Photographs for the record: found inside the build's folder, bounded, turned upright, stripped, made smaller.

Nothing of the file but its pixels goes on: no location, no camera, no comment. A picture that was prepared before
passes through unchanged, so that a record written again from its own attachments is the same.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from dossier.assessment.overview import verdict
from dossier.buildfile.attached_files import BesideError, folder_of, read_beside
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import Photo
from dossier.diagnostic import Diagnostic
from dossier.findings.record import LOGO, PHOTO
from dossier.record.logo import prepared_logo
from dossier.record.pictures import MOST_TOGETHER, PhotoRefusedError, flat, opened_picture
from dossier.results.overview import Results
from dossier.results.pictures import Picture

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES: Final = 40 * 1024 * 1024
_WIDE, _HIGH = 1320, 990  # 200 dpi of the largest place on a page
_QUALITY: Final = 85
# Segments a baseline JPEG without metadata has: tables, frame, scan, restart interval, and the JFIF header.
_PLAIN_SEGMENTS: Final = frozenset({0xDB, 0xC0, 0xC4, 0xDA, 0xDD, 0xE0})


def prepared(build: Build) -> tuple[tuple[Picture, ...], tuple[Diagnostic, ...]]:
    """Every photo and the logo as far as they can be taken in, and a finding for every one that cannot."""
    folder = folder_of(build)
    made: list[Picture] = []
    refused: list[Diagnostic] = []
    room = MOST_TOGETHER
    for photo in build.kept.photos.values():
        try:
            picture, pixels = prepare(photo, read_beside(folder, photo.file, MOST_BYTES), room)
            made.append(picture)
            room -= pixels
        except (BesideError, PhotoRefusedError) as why:
            refused.append(refusal(build, photo, why))
    try:
        logo = prepared_logo(build)
        made += [logo] if logo else []
    except PhotoRefusedError as why:
        refused.append(_no_logo(build, why))
    return tuple(made), tuple(refused)


def refusal(build: Build, photo: Photo, why: BesideError | PhotoRefusedError) -> Diagnostic:
    """The finding for a photo that is not taken in."""
    path = f"photos.{photo.id}.file"
    finding = PHOTO.caution(f"Photo `{photo.id}` ({photo.file}): {why}", path)
    return replace(finding, where=build.places.get(path), missing=why.missing)


def _no_logo(build: Build, why: PhotoRefusedError) -> Diagnostic:
    path = "workshop.logo"
    assert build.kept.workshop is not None  # it named one
    whose = " of the configuration file" if build.configuration else ""
    finding = LOGO.caution(f"The logo{whose} ({build.kept.workshop.logo}): {why}", path)
    return replace(finding, where=build.places.get(path), missing=why.missing)


def with_findings(build: Build, results: Results, found: Sequence[Diagnostic]) -> Results:
    """``results`` with more findings, and the verdict that follows."""
    if not found:
        return results
    every = tuple(sorted((*results.findings, *found), key=lambda one: -one.severity))
    return replace(results, findings=every, verdict=verdict(build, every, results.recorded))


def prepare(photo: Photo, data: bytes, room: int = MOST_TOGETHER) -> tuple[Picture, int]:
    """One picture, upright, in sRGB, without metadata, at most as large as it can be printed, and pixels unpacked.

    Args:
        photo: what the build says of it.
        data: the file.
        room: pixels that may be unpacked.

    Raises:
        PhotoRefusedError: it is damaged, too large, or in no format that is taken.
    """
    from PIL import Image as Images

    with opened_picture(data, MOST_BYTES) as image:
        wide, high = image.size
        if image.format == "JPEG":
            image.draft("RGB", (2 * _WIDE, 2 * _HIGH))
        pixels = image.width * image.height
        if pixels > room:
            raise PhotoRefusedError(f"is one too many: all photos have more than {MOST_TOGETHER // 10**6} megapixels")
        image.load()
        if image.format == "JPEG" and (wide <= _WIDE and high <= _HIGH) and _is_plain(data, image.mode):
            return Picture(photo.id, photo.caption, photo.date, data, image.size), pixels
        made = flat(image, _WIDE, _HIGH)
    made.thumbnail((_WIDE, _HIGH), Images.Resampling.LANCZOS)
    return Picture(photo.id, photo.caption, photo.date, as_jpeg(made), made.size), pixels


def as_jpeg(image: Image) -> bytes:
    """A flat picture as a baseline JPEG that holds nothing else."""
    image.info.clear()  # a comment or a profile would be written again
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_QUALITY, subsampling=2, optimize=False, progressive=False)
    return out.getvalue()


def _is_plain(data: bytes, mode: str) -> bool:
    """Whether a JPEG holds nothing but a baseline RGB picture: it is then taken as it is."""
    if mode != "RGB" or not data.startswith(b"\xff\xd8") or not data.endswith(b"\xff\xd9"):
        return False
    at = 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            return False
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        if marker not in _PLAIN_SEGMENTS or (marker == 0xE0 and (data[at + 4 : at + 9] != b"JFIF\0" or length != 16)):
            return False
        if marker == 0xDA:  # the scan: entropy-coded to the end, no further segment inside
            scan = data[at + 2 + length : -2]
            return not any(scan[i + 1] not in (0, *range(0xD0, 0xD8)) for i in range(len(scan) - 1) if scan[i] == 0xFF)
        at += 2 + length
    return False
