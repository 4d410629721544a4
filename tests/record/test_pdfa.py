"""PDF/A-3a and PDF/UA-1 proved by veraPDF, for every edition of every demo; tests/fetch_validator fetches it."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from record_builds import place, run

from dossier.pages.editions.edition import EDITIONS

ROOT = Path(__file__).parents[2]
HOME = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "dossier-tests" / "verapdf-1.28.2"
DEMOS = sorted((ROOT / "demo_builds").glob("*.yaml"))


def validate(files: list[Path], flavour: str = "3a") -> str:
    """What the validator says, one line a file; skips where there is none, fails in CI."""
    java = shutil.which("java")
    if java is None or not (HOME / "complete").exists():
        reason = "no validator: run tests/fetch_validator (needs mvn and java)"
        if os.environ.get("DOSSIER_CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    command = [
        java,
        "-cp",
        f"{HOME}/*",
        "org.verapdf.apps.GreenfieldCliWrapper",
        "--flavour",
        flavour,
        "--format",
        "text",
    ]
    done = subprocess.run([*command, *map(str, files)], capture_output=True, text=True, timeout=300)
    return done.stdout


def all_pass(said: str, files: list[Path]) -> None:
    """One PASS for each file."""
    lines = [line for line in said.splitlines() if line.startswith(("PASS", "FAIL"))]
    assert [line.split()[0] for line in lines] == ["PASS"] * len(files), said


def assert_claims(files: list[Path]) -> None:
    """What the metadata claim holds: level A of ISO 19005-3, and the part of ISO 14289-1 a machine can check."""
    for flavour in ("3a", "ua1"):
        all_pass(validate(files, flavour), files)


@pytest.mark.long
@pytest.mark.independent
@pytest.mark.parametrize("paper", ["a4", pytest.param("letter", marks=pytest.mark.long)])
def test_every_edition_of_a_full_record(paper: str, tmp_path: Path) -> None:
    """All editions with photo, attachments and tags are PDF/A-3a and PDF/UA-1 by veraPDF."""
    path = place(tmp_path)
    code, said = run("write", path, "-o", tmp_path, "--edition", "all", "--quick", "-q", "--paper", paper)
    assert code == 0, said
    files = sorted(tmp_path.glob("*.pdf"))
    assert len(files) == len(EDITIONS)
    assert_claims(files)


@pytest.mark.long
@pytest.mark.independent
def test_the_validator_can_fail(tmp_path: Path) -> None:
    """A PDF that is no PDF/A is called so: the check is alive."""
    import pikepdf

    pdf = pikepdf.Pdf.new()
    pdf.add_blank_page()
    pdf.save(tmp_path / "plain.pdf")
    for flavour in ("3a", "ua1"):
        assert validate([tmp_path / "plain.pdf"], flavour).startswith("FAIL")


@pytest.mark.long
@pytest.mark.independent
@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_every_demo(demo: Path, tmp_path: Path) -> None:
    """Every edition of every demo is PDF/A-3a and PDF/UA-1 by veraPDF."""
    code, said = run("write", demo, "-o", tmp_path, "--edition", "all", "--quick", "-q")
    assert code in (0, 1), said
    files = sorted(tmp_path.glob("*.pdf"))
    assert len(files) == len(EDITIONS) - ("\n  sound:" not in demo.read_text())  # one is made of sound-level runs
    assert_claims(files)
