"""Extract gives the build back, inside its folder only, and never overwrites unasked."""

from __future__ import annotations

from pathlib import Path

import pytest
from record_builds import place, run


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A dossier of the small build."""
    folder = tmp_path_factory.mktemp("made")
    assert run("write", place(folder), "-o", folder, "--quick", "-q")[0] == 0
    return folder / "small.pdf"


def test_round_trip(made: Path, tmp_path: Path) -> None:
    """What comes out is a build that makes the same dossier again, photo and all."""
    code, said = run("extract", made, "-o", tmp_path / "back")
    assert code == 0, said
    found = sorted(str(p.relative_to(tmp_path / "back")) for p in (tmp_path / "back").rglob("*") if p.is_file())
    assert found == ["pictures/front.png", "small.results.json", "small.yaml"]
    assert run("write", tmp_path / "back" / "small.yaml", "-o", tmp_path, "--quick", "-q")[0] == 0
    assert (tmp_path / "small.pdf").read_bytes() == made.read_bytes()


def test_nothing_is_overwritten(made: Path, tmp_path: Path) -> None:
    """A file that is there stops everything, unless it is asked for."""
    (tmp_path / "small.yaml").write_text("mine", encoding="utf-8")
    code, said = run("extract", made, "-o", tmp_path)
    assert code == 2
    assert "is there already" in said
    assert (tmp_path / "small.yaml").read_text(encoding="utf-8") == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["small.yaml"]
    assert run("extract", made, "-o", tmp_path, "--force")[0] == 0
    assert "Small test build" in (tmp_path / "small.yaml").read_text(encoding="utf-8")


def test_links_are_not_followed(made: Path, tmp_path: Path) -> None:
    """A link in the target folder leads nowhere, neither for a file nor for a folder, not even by force."""
    outside = tmp_path / "outside"
    outside.mkdir()
    target = tmp_path / "target"
    target.mkdir()
    (target / "pictures").symlink_to(outside)
    assert run("extract", made, "-o", target)[0] == 2
    (target / "pictures").unlink()
    (target / "small.yaml").symlink_to(outside / "x.yaml")
    assert run("extract", made, "-o", target, "--force")[0] == 2
    assert list(outside.iterdir()) == []


def test_folder_that_cannot_be_made(made: Path, tmp_path: Path) -> None:
    """A file in the place of the folder is said plainly."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    code, said = run("extract", made, "-o", tmp_path / "file")
    assert code == 3
    assert "cannot write" in said
