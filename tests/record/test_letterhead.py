"""Letterhead and logo: from the build or the user's configuration, in every edition, verified from its own parts."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from pathlib import Path

import pikepdf
import pytest
from pdf_text import pages_text
from PIL import Image
from record_builds import BUILD, place, run

from dossier.record.logo import MOST_BYTES, prepare_logo
from dossier.record.opened import open_dossier
from dossier.record.pictures import PhotoRefusedError
from dossier.record.restore import files_of
from dossier.record.verify import verify

CONFIG = """\
format: 1
paper: letter
units: us
edition: all
workshop: {name: Made-up workshop, address: [Yard 4, Sampletown], phone: "+00 147", email: a@b.example,
           registration: Reg. 147, logo: marks/logo.png}
"""
ANONYMOUS = BUILD.replace("  workshop: Test bench\n", "")
NAMES = ("small", "small-customer", "small-inspector")


def png(size: tuple[int, int] = (300, 100), mode: str = "RGBA") -> bytes:
    """A logo, half of it transparent where the mode can."""
    image = Image.new(mode, size, 0)
    image.paste((200, 30, 30, 255)[: len(image.getbands())], (0, 0, size[0] // 2, size[1]))
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def configured(folder: Path, logo: bytes | None = None) -> Path:
    """A configuration with a logo in a folder below its own."""
    (folder / "user" / "marks").mkdir(parents=True, exist_ok=True)
    path = folder / "user" / "config.yaml"
    path.write_text(CONFIG, encoding="utf-8")
    (folder / "user" / "marks" / "logo.png").write_bytes(png() if logo is None else logo)
    return path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All editions of an anonymous build under a configuration."""
    folder = tmp_path_factory.mktemp("letterhead")
    build = place(folder, ANONYMOUS)
    code, said = run("write", build, "-o", folder, "--quick", "-q", "--config", configured(folder))
    assert code == 0, said
    return folder


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.sweep(4)
def test_every_edition_stands_under_it(made: Path, name: str) -> None:
    """Name, address and contact on the first page, the name at the foot of every page, on the paper asked for."""
    data = (made / f"{name}.pdf").read_bytes()
    pages = pages_text(data)
    for words in ("Made-up workshop", "Yard 4, Sampletown", "+00 147", "a@b.example", "Reg. 147"):
        assert words in pages[0], words
    assert all(page.count("Made-up workshop") for page in pages)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert [float(x) for x in pdf.pages[0].MediaBox[2:]] == pytest.approx([612, 792])
        assert any(one.get("/Subtype") == "/Image" for one in pdf.pages[0].Resources.XObject.values())
        assert str(pdf.docinfo["/Author"]) == "Made-up workshop"


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.sweep(3)
def test_verified_from_its_own_parts(made: Path, name: str) -> None:
    """Configuration and logo are attached; the document made again from them is the same byte for byte."""
    found = open_dossier(made / f"{name}.pdf")
    assert found.parts["workshop-configuration.yaml"] == CONFIG.encode()
    assert "workshop-logo.png" in found.parts
    assert found.seal is not None
    assert (found.seal.units, found.seal.paper) == ("us", "letter")
    verdict = verify(found)
    assert verdict.is_same
    assert verdict.same_bytes
    assert {"letterhead/config.yaml", "letterhead/marks/logo.png"} <= set(files_of(found))


def test_same_build_and_configuration_same_bytes(made: Path, tmp_path: Path) -> None:
    """Where the files lie does not matter; another configuration gives another document."""
    build = place(tmp_path, ANONYMOUS)
    path = configured(tmp_path)
    run("write", build, "-o", tmp_path / "a", "--quick", "-q", "--config", path, "--edition", "customer")
    path.write_text(CONFIG.replace("Yard 4", "Yard 5"))
    run("write", build, "-o", tmp_path / "b", "--quick", "-q", "--config", path, "--edition", "customer")
    digests = [hashlib.sha256((folder / "small-customer.pdf").read_bytes()).hexdigest() for folder in (
        made, tmp_path / "a", tmp_path / "b"
    )]
    assert digests[0] == digests[1] != digests[2]


def test_the_builds_own_workshop_wins(tmp_path: Path) -> None:
    """A build with its own letterhead takes nothing from the configuration but units and paper; options go first."""
    own = ANONYMOUS.replace("vehicle:", "workshop: {name: Own yard, logo: own.png}\nvehicle:", 1)
    build = place(tmp_path, own)
    (tmp_path / "own.png").write_bytes(png())
    code, said = run(
        "write", build, "-o", tmp_path, "--quick", "-q", "--config", configured(tmp_path), "--edition", "customer",
        "--paper", "a4", "--units", "metric",
    )
    assert code == 0, said
    found = open_dossier(tmp_path / "small-customer.pdf")
    text = " ".join(pages_text(found.data))
    assert "Own yard" in text
    assert "Made-up" not in text
    assert "workshop-configuration.yaml" not in found.parts
    assert "workshop-logo.png" in found.parts
    assert "own.png" in files_of(found)
    assert found.seal is not None
    assert (found.seal.units, found.seal.paper) == ("metric", "a4")
    assert verify(found).same_bytes


def test_a_broken_configuration_stops_with_its_place(tmp_path: Path) -> None:
    """Nothing is written or checked under a configuration that cannot be read; the complaint names its line."""
    path = tmp_path / "config.yaml"
    path.write_text("format: 1\npapper: letter\n")
    build = place(tmp_path, BUILD)
    for call in (("write", build, "-o", tmp_path), ("check", build)):
        code, said = run(*call, "--config", path)
        assert code == 2
        assert "config.yaml:2:1" in said
        assert "paper" in said
    assert not list(tmp_path.glob("*.pdf"))


def bomb() -> bytes:
    """A header of 50000 x 50000 pixels with next to nothing behind it."""
    head = struct.pack(">IIBBBBB", 50000, 50000, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", b""), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data)) for name, data in chunks
    )


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"<svg/>", "is no JPEG, PNG, WebP or TIFF picture"),
        (png()[:-40], "is damaged"),
        (bomb(), "megapixels"),
        (b"\0" * (MOST_BYTES + 1), "larger than"),
        (b"", "is no JPEG"),
    ],
)
def test_refused_with_a_reason(data: bytes, reason: str) -> None:
    """A damaged, huge or foreign logo is refused in plain words."""
    with pytest.raises(PhotoRefusedError, match=reason):
        prepare_logo(data)


@pytest.mark.parametrize(
    ("logo", "reason"),
    [("none.png", "was not found"), ("out.png", "leads out")],
)
def test_nothing_outside_the_folder(tmp_path: Path, logo: str, reason: str) -> None:
    """A logo outside the folder of the build file is a finding with its line, and the dossier stands without it."""
    (tmp_path / "secret.png").write_bytes(png())
    inner = tmp_path / "inner"
    inner.mkdir()
    (inner / "out.png").symlink_to(tmp_path / "secret.png")
    own = ANONYMOUS.replace("vehicle:", f"workshop: {{name: Own yard, logo: {logo}}}\nvehicle:", 1)
    code, said = run("check", place(inner, own))
    assert "logo-refused" in said
    assert reason in said
    assert code == 0


def test_a_logo_that_is_taken_is_no_finding(tmp_path: Path) -> None:
    """The same build with a good logo has no such finding."""
    own = ANONYMOUS.replace("vehicle:", "workshop: {name: Own yard, logo: own.png}\nvehicle:", 1)
    build = place(tmp_path, own)
    (tmp_path / "own.png").write_bytes(png())
    assert "logo-refused" not in run("check", build)[1]


@pytest.mark.long
def test_a_refused_logo_of_the_configuration_is_no_difference(tmp_path: Path) -> None:
    """Its dossier says why, names the configuration, and verifies although the picture cannot be attached."""
    build = place(tmp_path, ANONYMOUS)
    path = configured(tmp_path, b"no picture")
    code, said = run("write", build, "-o", tmp_path, "--quick", "-q", "--config", path, "--edition", "workshop")
    assert code == 0, said
    found = open_dossier(tmp_path / "small.pdf")
    assert "The logo of the configuration file" in " ".join(pages_text(found.data))
    assert not verify(found).figures


def test_flat_small_and_once(tmp_path: Path) -> None:
    """Transparent parts become white, a large one is made smaller, what was prepared passes unchanged."""
    data, size = prepare_logo(png((2000, 500)))
    assert size == (640, 160)
    image = Image.open(io.BytesIO(data))
    assert image.mode == "RGB"
    assert image.getpixel((600, 80)) == (255, 255, 255)
    assert image.getpixel((40, 80)) == (200, 30, 30)
    assert prepare_logo(data) == (data, size)
    for mode in ("L", "P", "LA", "I;16"):
        out = io.BytesIO()
        Image.new("L" if mode == "I;16" else mode, (20, 10)).convert(mode).save(out, "PNG")
        made, _ = prepare_logo(out.getvalue())
        assert prepare_logo(made)[0] == made
