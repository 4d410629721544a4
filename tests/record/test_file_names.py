"""One rule for names: what is written comes back and verifies, what could not is refused with its line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from record_builds import BUILD, place, run

from dossier.buildfile.file_names import file_stem, refusal, settled

PHOTO = "photos: {front: {file: pictures/front.png, caption: Front fuse.}}"


@pytest.mark.parametrize(
    "name",
    ["../x.png", "/etc/x.png", ".hid/x.png", "a/.x.png", "x.png.", "con.png", "a/NUL", "c:x.png", "a\\x.png", "a?.png",
     "x" * 300, "a.results.json", "letterhead/logo.png", "a/" * 20 + "x.png", "B.YAML"],
)  # fmt: skip
def test_names_that_could_not_come_back(tmp_path: Path, name: str) -> None:
    """A photo, a log or a logo of such a name is refused where it stands."""
    quoted = "'" + name + "'"
    code, said = run("check", place(tmp_path, BUILD.replace("pictures/front.png", quoted)), "--show", "concise")
    assert code == 2
    assert "small.yaml:39:24: error[file-name]" in said


def test_two_names_that_are_one_elsewhere(tmp_path: Path) -> None:
    """Names that differ in capitals only, or one file with two masks, are refused; one file twice is not."""
    for other, code in (("pictures/Front.png", 2), ("./pictures//front.png", 0)):
        both = PHOTO.replace("}}", "}, again: {file: " + other + ", caption: Again.}}")
        assert run("check", place(tmp_path, BUILD.replace(PHOTO, both)), "-q")[0] == code
    region = "{left: 0 %, right: 9 %, top: 0 %, bottom: 9 %}"
    masked = "}, again: {file: pictures/front.png, caption: A., mask: [" + region + "]}}"
    code, said = run("check", place(tmp_path, BUILD.replace(PHOTO, PHOTO.replace("}}", masked))))
    assert (code, "other regions masked" in said) == (2, True)


@pytest.mark.long
def test_detours_and_odd_build_names(tmp_path: Path) -> None:
    """Detours in a path, and build names no other system could have, are written, verified and given back."""
    build = place(tmp_path, BUILD.replace("pictures/front.png", "./pictures//front.png"))
    for name in ("CON.yml", "my: car?.yaml", ".car.yaml", "x" * 240 + ".yaml", "Ünder 車.yaml"):
        shutil.copy(build, tmp_path / name)
        assert run("write", tmp_path / name, "-o", tmp_path / "out", "--quick", "-q")[0] == 0
        made = tmp_path / "out" / f"{file_stem(Path(name).stem)}.pdf"
        code, said = run("verify", made)
        assert (code, "byte for byte" in said) == (0, True), said
        assert run("extract", made, "-o", tmp_path / "back", "-q")[0] == 0
        assert (tmp_path / "back" / "pictures" / "front.png").is_file()
        shutil.rmtree(tmp_path / "back")


def test_the_rule_settles() -> None:
    """What the rule makes of a name it leaves alone afterwards, and it takes plain names."""
    assert settled("./a//b/./c.jpg") == "a/b/c.jpg"
    assert not any(refusal(one) for one in ("a.jpg", "./a b/ü 車.jpg", "console.png", "a..b.jpg"))
    for stem in ("", " ", ".", "con", "CON.a", "x" * 400, "é" * 200, "a b. ", "-", "a/b"):
        assert file_stem(file_stem(stem)) == file_stem(stem)
        assert not refusal(f"{file_stem(stem)}.yaml")
