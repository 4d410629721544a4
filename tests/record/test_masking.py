"""Who it is stays out of the inspector's edition: in fields, notes, comments, results and photos, and after verify."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from pdf_text import pages_text
from PIL import Image
from record_builds import BUILD, place, run

from dossier.assessment.assess import assess
from dossier.buildfile.reader import read_build_text
from dossier.record.masking import masked, masked_build, masked_pictures
from dossier.record.photos import prepare

REGION = "[{left: 25 %, top: 20 %, right: 50 %, bottom: 45 %}]"
PHOTOS = f"""photos:
  front: {{file: pictures/front.png, caption: Front fuse., mask: {REGION}}}
  face: {{file: pictures/face.png, caption: The owner beside it., private: true}}
"""
SECRETS = ("HIDE 123", "HIDDENVIN", "Hidden Customer", "Hidden Owner")
TOLD = BUILD.replace("photos: {front: {file: pictures/front.png, caption: Front fuse.}}\n", PHOTOS)


def inside(path: Path) -> tuple[str, bytes, dict[str, bytes]]:
    """Text of the pages, everything attached in one, and the attachments."""
    with pikepdf.open(path) as pdf:
        parts = {name: pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments}
    return " ".join(pages_text(path.read_bytes())), b"".join(parts.values()), parts


def written(folder: Path, text: str, edition: str = "inspector") -> Path:
    """The inspector's edition of a build with two photos."""
    path = place(folder, text)
    noisy = Image.effect_noise((640, 480), 90).convert("RGB")
    noisy.paste("white", (160, 96, 320, 216))
    noisy.save(folder / "pictures" / "front.png")
    noisy.save(folder / "pictures" / "face.png")
    code, said = run("write", path, "-o", folder, "--quick", "-q", "--edition", edition)
    assert code == 0, said
    return folder / "small-inspector.pdf"


@pytest.mark.long
def test_photos_follow_the_mask(tmp_path: Path) -> None:
    """In the inspector's edition the region is black and the private photo missing; the workshop's has both whole."""
    path = written(tmp_path, TOLD, "all")
    text, _, parts = inside(path)
    assert sorted(name for name in parts if name.startswith("photo")) == ["photo-front.jpg"]
    assert "Photos left out to keep the identity: 1." in text
    assert "The owner beside it" not in text
    image = np.asarray(Image.open(io.BytesIO(parts["photo-front.jpg"])).convert("L"))
    high, wide = image.shape
    region = np.s_[int(0.20 * high) : int(0.45 * high), int(0.25 * wide) : int(0.50 * wide)]
    assert image[region].max() == 0
    assert image[:, int(0.55 * wide) :].max() > 100
    _, _, whole = inside(tmp_path / "small.pdf")
    assert sorted(name for name in whole if name.startswith("photo")) == ["photo-face.jpg", "photo-front.jpg"]
    assert np.asarray(Image.open(io.BytesIO(whole["photo-front.jpg"])).convert("L"))[region].min() > 200


def test_a_masked_dossier_verifies_byte_for_byte(tmp_path: Path) -> None:
    """What was blackened is not blackened again, what was left out is not missed."""
    code, said = run("verify", written(tmp_path, TOLD))
    assert code == 0, said
    assert "same figures" in said


ELSEWHERE = (
    ("caption: Front fuse.", "caption: Front fuse of hide 123."),
    ("note: One rating is read off the box.", "note: Asked by Hidden Customer."),
    ("changed: Larger feed.", "changed: Larger feed for Hidden  Owner."),
    ("title: Short tone", "title: Tone for HIDDENVIN"),
    ("limits:", "# seen by Hidden Customer, HIDE 123\nlimits:"),
)


def test_words_elsewhere_are_masked(tmp_path: Path) -> None:
    """A plate in a caption, a name in a note, a title or a comment: gone from pages, build file and results."""
    build = TOLD
    for old, new in ELSEWHERE:
        assert old in build
        build = build.replace(old, new, 1)
    path = written(tmp_path, build)
    text, attached, _ = inside(path)
    for secret in (*SECRETS, "hide 123", "Hidden  Owner"):
        assert secret not in text
        assert secret.encode() not in attached
    assert "Tone for masked" in text
    assert run("verify", path)[0] == 0


@pytest.mark.parametrize("secret", ["main", "owner", "1000", "boot", "Hidden Customer", "2 ohm"])
def test_a_word_that_means_something_stays(secret: str) -> None:
    """A customer who is called like a device or a quantity does not break the build file."""
    build = read_build_text(TOLD.replace("Hidden Customer", f'"{secret}"').encode(), "small", "small.yaml")
    hidden = masked_build(build)
    assert hidden.record.customer == "masked"
    assert hidden.amplifiers == build.amplifiers
    assert hidden.cables == build.cables


def test_masking_twice_is_masking_once(tmp_path: Path) -> None:
    """A photo whose regions are black is not packed again: its bytes stay."""
    place(tmp_path)
    build = read_build_text(TOLD.encode(), "small", str(tmp_path / "small.yaml"))
    out = io.BytesIO()
    Image.effect_noise((1023, 771), 120).convert("RGB").save(out, "PNG")
    once = masked_pictures(build, [prepare(build.kept.photos["front"], out.getvalue())[0]])
    again = prepare(build.kept.photos["front"], once[0].data)[0]
    assert masked_pictures(build, [again]) == once


def test_what_was_computed_stays() -> None:
    """Masking drops names only: what readings of alternating volts told, and whether a target can be fed, stay."""
    ac = "    ac: {voltage: 0.08 V, shows: ripple_rms, amplifier: mono, load_case: tone, instrument: meter}\n"
    text = BUILD.replace("  readings:\n", f"  readings:\n{ac}")
    build = read_build_text(text.encode(), "small", "small.yaml")
    results = assess(build, options=False)
    assert results.recorded.ripples
    assert results.recorded.sound[0].fed
    rows = masked(build, results)[1].recorded
    assert rows.ripples == results.recorded.ripples
    assert rows.sound == results.recorded.sound
