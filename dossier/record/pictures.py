"""Pictures from files of other people: bounded before they are unpacked, refused in words, flat in the end."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_PIXELS: Final = 60_000_000  # in the header, before anything is unpacked
MOST_TOGETHER: Final = 2_400_000_000  # unpacked, of all photos: as many as a build may have, of 12 megapixels each
_FORMATS: Final = ("JPEG", "PNG", "WEBP", "TIFF")


class PhotoRefusedError(Exception):
    """A picture that is not taken into the record; the message says why. ``missing``: there is no such file."""

    def __init__(self, why: str, *, missing: bool = False) -> None:
        super().__init__(why)
        self.missing = missing


@contextmanager
def opened_picture(data: bytes, most: int) -> Iterator[Image]:
    """A picture, its header checked; whatever goes wrong with it inside the block is a refusal.

    Args:
        data: the file.
        most: bytes it may have.

    Raises:
        PhotoRefusedError: it is damaged, too large, or in no format that is taken.
    """
    from PIL import Image, ImageFile, UnidentifiedImageError

    ImageFile.LOAD_TRUNCATED_IMAGES = False
    Image.MAX_IMAGE_PIXELS = None  # our own bound is checked before anything is unpacked
    if len(data) > most:
        raise PhotoRefusedError(f"is larger than {most // 2**20} MiB")
    try:
        with Image.open(io.BytesIO(data), formats=_FORMATS) as image:
            wide, high = image.size
            if wide * high > MOST_PIXELS:
                raise PhotoRefusedError(f"has {wide * high // 10**6} megapixels, at most {MOST_PIXELS // 10**6}")
            if getattr(image, "n_frames", 1) > 1:
                raise PhotoRefusedError("has several pictures in one file")
            yield image
    except PhotoRefusedError:
        raise
    except MemoryError:
        raise PhotoRefusedError("takes more memory than there is") from None
    except UnidentifiedImageError:
        raise PhotoRefusedError("is no JPEG, PNG, WebP or TIFF picture") from None
    except (OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, TypeError, OverflowError):
        raise PhotoRefusedError("is damaged") from None  # whatever a decoder says of a broken file


def flat(image: Image, wide: int, high: int) -> Image:
    """Upright, in sRGB, eight bits, red green blue, transparent parts on white; still larger than wide x high [px]."""
    from PIL import ImageOps

    # A picture much larger than it will be is made smaller at once: every step below keeps several copies.
    upright, turned = (max(image.width / x, image.height / y) for x, y in ((wide, high), (high, wide)))
    spare = int(min(upright, turned) / 2)
    if spare > 1:
        kept, orientation = dict(image.info), image.getexif()
        if image.mode == "P":
            image = image.convert("RGBA" if "transparency" in kept else "RGB")
            kept.pop("transparency", None)
        elif image.mode in ("1", "I;16", "I;16B"):
            image = image.convert("L" if image.mode == "1" else "I")
        image = image.reduce(spare)
        image.info = {**kept, "exif": orientation.tobytes()}
    return _flat(_srgb(ImageOps.exif_transpose(image)))


def _srgb(image: Image) -> Image:
    """The picture in sRGB, if it says in which other colours it is."""
    profile = image.info.get("icc_profile")
    if not profile:
        return image
    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        mode = "RGB" if image.mode not in ("RGB", "L", "CMYK") else image.mode
        made = ImageCms.profileToProfile(image.convert(mode), source, ImageCms.createProfile("sRGB"), outputMode="RGB")
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
