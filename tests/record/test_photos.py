"""Photos: upright, stripped, bounded, refused with a reason; nothing outside the build's folder is read."""

from __future__ import annotations

import io
import os
from pathlib import Path

import pytest
from PIL import Image
from record_builds import BUILD, place, run

from dossier.buildfile.reader import read_build
from dossier.buildfile.recorded import Photo
from dossier.record.photos import prepare, prepared
from dossier.record.pictures import PhotoRefusedError
from dossier.results.pictures import Picture

ONE = Photo("p", "p.jpg", "A picture.", "")


def packed(image: Image.Image, kind: str = "JPEG", **more: object) -> bytes:
    """The picture as a file."""
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def shown(data: bytes) -> Image.Image:
    """What comes of a file."""
    made: Picture = prepare(ONE, data)[0]
    image = Image.open(io.BytesIO(made.data))
    assert image.format == "JPEG"
    assert image.mode == "RGB"
    assert image.size == made.size
    return image


def exif(orientation: int) -> Image.Exif:
    """Orientation and a place on the globe."""
    tags = Image.Exif()
    tags[0x0112] = orientation
    tags[0x010F] = "Camera"
    tags.get_ifd(0x8825)[2] = (48.0, 30.0, 0.0)
    return tags


@pytest.mark.parametrize(("orientation", "corner"), [(1, (2, 2)), (3, (-3, -3)), (6, (-3, 2)), (8, (2, -3))])
def test_turned_upright_and_stripped(orientation: int, corner: tuple[int, int]) -> None:
    """EXIF orientations put the marked corner where it belongs; place and camera are gone (EXIF 2.3, tag 0x0112)."""
    picture = Image.new("RGB", (160, 120), "white")
    picture.paste("black", (0, 0, 40, 30))
    data = packed(picture, exif=exif(orientation), comment=b"secret", quality=95)
    assert b"Camera" in data
    image = shown(data)
    x, y = (edge + size if edge < 0 else edge for edge, size in zip(corner, image.size, strict=True))
    assert image.getpixel((x, y))[0] < 60  # type: ignore[index]
    assert image.size == ((160, 120) if orientation in (1, 3) else (120, 160))
    made = prepare(ONE, data)[0].data
    assert b"Exif" not in made
    assert b"Camera" not in made
    assert b"secret" not in made


def test_shrunk_to_what_is_printed() -> None:
    """A large picture becomes no larger than its place on the page needs."""
    image = shown(packed(Image.new("RGB", (5000, 3000), "navy")))
    assert max(image.size) <= 1320


def test_every_mode_comes_out_as_colour() -> None:
    """Palette, grey, sixteen bits, transparent and print colours become plain RGB on white."""
    assert shown(packed(Image.new("CMYK", (80, 60), (0, 255, 255, 0)))).getpixel((5, 5))[0] > 150  # type: ignore[index]
    assert shown(packed(Image.new("RGBA", (80, 60), (0, 0, 0, 0)), "PNG")).getpixel((5, 5)) == (255, 255, 255)
    assert shown(packed(Image.new("P", (80, 60)), "PNG")).size == (80, 60)
    deep = Image.new("I;16", (80, 60))
    deep.paste(40000, (0, 0, 40, 60))
    pixel = shown(packed(deep, "PNG"))
    assert pixel.getpixel((5, 5))[0] > 240  # type: ignore[index]
    assert pixel.getpixel((75, 5))[0] < 15  # type: ignore[index]
    assert shown(packed(Image.new("L", (80, 60), 128), "WEBP")).size == (80, 60)


def test_a_prepared_picture_passes_unchanged() -> None:
    """Preparing twice changes nothing, so that a record written from its own attachments is the same."""
    once = prepare(ONE, packed(Image.effect_noise((400, 300), 80).convert("RGB"), exif=exif(6)))[0].data
    assert prepare(ONE, once)[0].data == once
    for more in (b"trailing", b"\xff\xd9"):
        assert prepare(ONE, once + more)[0].data != once + more


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "is no JPEG"),
        (b"hello", "is no JPEG"),
        (b"<svg/>", "is no JPEG"),
        (packed(Image.new("RGB", (60, 60)), "GIF"), "is no JPEG"),
        (packed(Image.new("1", (12000, 10000)), "PNG"), "megapixels"),
        (packed(Image.effect_noise((300, 300), 90).convert("RGB"))[:-9000], "is damaged"),
        (packed(Image.effect_noise((300, 300), 90), "PNG")[:2000], "is damaged"),
        (bytes(41 * 2**20), "is larger than"),
        (
            packed(Image.new("RGB", (9, 9)), "TIFF", save_all=True, append_images=[Image.new("RGB", (9, 9))]),
            "several pictures",
        ),
    ],
)
def test_refused_with_a_reason(data: bytes, reason: str) -> None:
    """Damaged, huge, animated or foreign files are refused in plain words."""
    with pytest.raises(PhotoRefusedError, match=reason):
        prepare(ONE, data)


def file_of(folder: Path, name: str) -> tuple[tuple[Picture, ...], list[str]]:
    """What becomes of the small build when its photo is ``name``."""
    path = place(folder, BUILD.replace("pictures/front.png", name))
    made, refused = prepared(read_build(path))
    return made, [one.headline for one in refused]


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("pictures/none.png", "was not found"),
        ("pictures", "is no file|cannot be read"),
        ("link.png", "leads out"),
        ("away/outside.png", "leads out"),
        ("pipe", "is no file"),
    ],
)
def test_nothing_outside_the_folder(tmp_path: Path, name: str, reason: str) -> None:
    """Paths, links and pipes that lead elsewhere are refused, with the line of the build file."""
    folder = tmp_path / "build"
    folder.mkdir()
    Image.new("RGB", (9, 9)).save(tmp_path / "outside.png")
    (folder / "link.png").symlink_to(tmp_path / "outside.png")
    (folder / "away").symlink_to(tmp_path)
    os.mkfifo(folder / "pipe")
    made, refused = file_of(folder, name)
    assert made == ()
    [headline] = refused
    assert any(part in headline for part in reason.split("|")), headline


@pytest.mark.long
def test_a_refused_photo_is_a_finding_everywhere(tmp_path: Path) -> None:
    """Check prints it with its line, the dossier is still written and verifies."""
    path = place(tmp_path, BUILD.replace("pictures/front.png", "none.png"))
    code, said = run("check", path, "--show", "concise")
    assert code == 0
    assert "photo-refused" in said
    assert run("write", path, "-o", tmp_path, "--quick", "-q")[0] == 0
    assert run("verify", tmp_path / "small.pdf")[0] == 0


@pytest.mark.long
def test_a_photo_refused_for_damage_verifies(tmp_path: Path) -> None:
    """It is not attached, so its damage cannot be seen again: that is no change of the dossier."""
    path = place(tmp_path)
    (tmp_path / "pictures" / "front.png").write_bytes(b"no picture")
    assert run("write", path, "-o", tmp_path, "--quick", "-q")[0] == 0
    code, said = run("verify", tmp_path / "small.pdf")
    assert code == 0, said


@pytest.mark.long
def test_two_hundred_photos(tmp_path: Path) -> None:
    """As many photos as a build may have are set, and none is lost."""
    many = ", ".join(f"p{i}: {{file: pictures/front.png, caption: Photo {i}.}}" for i in range(200))
    path = place(tmp_path, BUILD.replace("front: {file: pictures/front.png, caption: Front fuse.}", many))
    code, said = run("write", path, "-o", tmp_path, "--quick", "-q")
    assert code == 0, said
    assert run("verify", tmp_path / "small.pdf")[0] == 0
