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
from dossier.buildfile.beside import BesideError, folder_of, read_beside
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import Photo
from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.record import PHOTO
from dossier.results.overview import Results
from dossier.results.pictures import Picture

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES: Final = 40 * 1024 * 1024
MOST_PIXELS: Final = 60_000_000  # in the header, before anything is unpacked
_WIDE, _HIGH = 1320, 990  # 200 dpi of the largest place on a page
_FORMATS: Final = ("JPEG", "PNG", "WEBP", "TIFF")
_QUALITY: Final = 85
# Segments a baseline JPEG without metadata has: tables, frame, scan, restart interval, and the JFIF header.
_PLAIN_SEGMENTS: Final = frozenset({0xDB, 0xC0, 0xC4, 0xDA, 0xDD, 0xE0})


class PhotoRefusedError(Exception):
    """A photo that is not taken into the record; the message says why."""


def prepared(build: Build) -> tuple[tuple[Picture, ...], tuple[Diagnostic, ...]]:
    """Every photo that can be taken in, and a finding for every one that cannot."""
    photos = build.kept.photos
    if not photos:
        return (), ()
    folder = folder_of(build)
    made: list[Picture] = []
    refused: list[Diagnostic] = []
    for photo in photos.values():
        try:
            made.append(prepare(photo, read_beside(folder, photo.file, MOST_BYTES)))
        except (BesideError, PhotoRefusedError) as why:
            refused.append(refusal(build, photo, str(why)))
    return tuple(made), tuple(refused)


def refusal(build: Build, photo: Photo, why: str) -> Diagnostic:
    """The finding for a photo that is not taken in."""
    path = f"photos.{photo.id}.file"
    finding = PHOTO.finding(Severity.CAUTION, f"Photo `{photo.id}` ({photo.file}): {why}", path)
    return replace(finding, where=build.places.get(path))


def with_findings(build: Build, results: Results, found: Sequence[Diagnostic]) -> Results:
    """``results`` with more findings, and the verdict that follows."""
    if not found:
        return results
    every = tuple(sorted((*results.findings, *found), key=lambda one: -one.severity))
    return replace(results, findings=every, verdict=verdict(build, every))


def prepare(photo: Photo, data: bytes) -> Picture:
    """One picture, upright, in sRGB, without metadata, at most as large as it can be printed.

    Raises:
        PhotoRefusedError: it is damaged, too large, or in no format that is taken.
    """
    from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

    ImageFile.LOAD_TRUNCATED_IMAGES = False
    Image.MAX_IMAGE_PIXELS = None  # our own bound is checked before anything is unpacked
    if len(data) > MOST_BYTES:
        raise PhotoRefusedError(f"is larger than {MOST_BYTES // 2**20} MiB")
    try:
        with Image.open(io.BytesIO(data), formats=_FORMATS) as image:
            wide, high = image.size
            if wide * high > MOST_PIXELS:
                raise PhotoRefusedError(
                    f"has {wide * high // 10**6} megapixels, at most {MOST_PIXELS // 10**6}"
                )
            if getattr(image, "n_frames", 1) > 1:
                raise PhotoRefusedError("has several pictures in one file")
            if image.format == "JPEG":
                image.draft("RGB", (2 * _WIDE, 2 * _HIGH))
            image.load()
            if image.format == "JPEG" and (wide <= _WIDE and high <= _HIGH) and _is_plain(data, image.mode):
                return Picture(photo.id, photo.caption, photo.date, data, image.size)
            upright = ImageOps.exif_transpose(image)
            flat = _flat(_srgb(upright))
    except PhotoRefusedError:
        raise
    except UnidentifiedImageError:
        raise PhotoRefusedError("is no JPEG, PNG, WebP or TIFF picture") from None
    except (
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
        MemoryError,
        IndexError,
        KeyError,
        TypeError,
        OverflowError,
    ):
        raise PhotoRefusedError("is damaged") from None  # whatever a decoder says of a broken file
    flat.thumbnail((_WIDE, _HIGH), Image.Resampling.LANCZOS)
    flat.info.clear()  # a comment or a profile would be written again
    out = io.BytesIO()
    flat.save(out, "JPEG", quality=_QUALITY, subsampling=2, optimize=False, progressive=False)
    return Picture(photo.id, photo.caption, photo.date, out.getvalue(), flat.size)


def _srgb(image: Image) -> Image:
    """The picture in sRGB, if it says in which other colours it is."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        mode = "RGB" if image.mode not in ("RGB", "L", "CMYK") else image.mode
        made = ImageCms.profileToProfile(
            image.convert(mode), source, ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image  # an unusable profile is no reason to lose the picture
    return made or image


def _flat(image: Image) -> Image:
    """Eight bits, red green blue, transparent parts on white."""
    from PIL import Image as Images

    if image.mode in ("I", "I;16", "I;16B", "F"):
        grey = image.convert("F")
        edges: tuple[float, float] = grey.getextrema()  # type: ignore[assignment]
        span = (edges[1] - edges[0]) or 1.0
        image = grey.point(lambda v: v * (255.0 / span) - edges[0] * 255.0 / span).convert("L")
    if image.mode == "P" or image.mode.endswith("A") or "transparency" in image.info:
        clear = image.convert("RGBA")
        white = Images.new("RGBA", clear.size, "white")
        return Images.alpha_composite(white, clear).convert("RGB")
    return image.convert("RGB")


def _is_plain(data: bytes, mode: str) -> bool:
    """Whether a JPEG holds nothing but a baseline RGB picture: it is then taken as it is."""
    if mode != "RGB" or not data.startswith(b"\xff\xd8") or not data.endswith(b"\xff\xd9"):
        return False
    at = 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            return False
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        if marker not in _PLAIN_SEGMENTS or (
            marker == 0xE0 and (data[at + 4 : at + 9] != b"JFIF\0" or length != 16)
        ):
            return False
        if marker == 0xDA:  # the scan: entropy-coded to the end, no further segment inside
            scan = data[at + 2 + length : -2]
            return not any(
                scan[i + 1] not in (0, *range(0xD0, 0xD8)) for i in range(len(scan) - 1) if scan[i] == 0xFF
            )
        at += 2 + length
    return False
