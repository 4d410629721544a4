"""Editions: each says what its reader needs, the inspector's masks what it must, and all are the same everywhere."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

import pikepdf
import pytest
from pdf_text import pages_text
from record_builds import BUILD, place, run

ROOT = Path(__file__).parents[2]
SECRETS = ("HIDE 123", "HIDDENVIN", "Hidden Customer", "Hidden Owner")
EDITIONS = ("small", "small-customer", "small-inspector")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All editions of the small build."""
    folder = tmp_path_factory.mktemp("editions")
    code, said = run("write", place(folder), "-o", folder, "--edition", "all", "--quick", "-q")
    assert code == 0, said
    return folder


@lru_cache(maxsize=8)
def pages(path: Path) -> tuple[str, ...]:
    """Text of the pages."""
    return tuple(pages_text(path.read_bytes()))


def test_owner_reads_plain_words(made: Path) -> None:
    """The owner's paper says where, how dead, how long, how loud, what to do; it has no equation and no method."""
    found = pages(made / "small-customer.pdf")
    text = " ".join(found)
    for needed in (
        "Read this first",
        "How to make it dead",
        "Note for garage and rescue",
        "Engine off",
        "Normal volts",
        "Below 11.5 V",
        "Lamps that dim",
        "Never a bigger one",
        "Jump start",
        "Charger",
        "Battery swap",
        "Winter",
        "Hearing",
        "insurer",
        "Declined",
        "2027-03-03",
        "Log of work",
        "HIDE 123",
        "Received by",
        "How long it plays",
        "Never without the workshop",
    ):
        assert needed in text, needed
    assert "=" not in text
    assert "Peukert" not in text
    assert 6 <= len(found) <= 8


def test_inspection_in_order(made: Path) -> None:
    """The inspector's list goes through the vehicle in order."""
    found = pages(made / "small-inspector.pdf")
    steps = ["Paper", "Made dead", "Bonnet", "Route", "Rear", "Outputs", "Meter", "Tone", "Sign"]
    first = " ".join(found).split("The list, in the order of the vehicle")[1]
    places = [first.index(f"{step}. ") for step in steps]
    assert places == sorted(places)
    assert 3 <= len(found) <= 5
    assert "One rating is read off the box." in " ".join(found)


def test_identity_is_masked(made: Path) -> None:
    """Neither the pages nor the attachments nor the information of the inspector's paper tell who it is."""
    path = made / "small-inspector.pdf"
    text = " ".join(pages(path))
    assert "masked" in text
    with pikepdf.open(path) as pdf:
        inside = b"".join(pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments)
        inside += bytes(pdf.Root.Metadata.read_bytes()) + str(pdf.docinfo).encode()
    for secret in SECRETS:
        assert secret not in text
        assert secret.encode() not in inside
    assert all(secret in " ".join(pages(made / "small.pdf")) for secret in SECRETS)


def test_unmasked_where_nothing_is_asked(tmp_path: Path) -> None:
    """Without the flag the inspector sees the plate."""
    path = place(tmp_path, BUILD.replace(", masked: true", ""))
    assert run("write", path, "-o", tmp_path, "--edition", "inspector", "--quick", "-q")[0] == 0
    assert "HIDE 123" in " ".join(pages(tmp_path / "small-inspector.pdf"))


@pytest.mark.parametrize("name", EDITIONS)
def test_digest_on_the_first_page_and_where_it_is_signed(made: Path, name: str) -> None:
    """Twenty base-32 signs in groups of four stand on the cover and on the page that is signed."""
    found = pages(made / f"{name}.pdf")
    code, said = run("verify", made / f"{name}.pdf")
    assert code == 0
    digest = said.split("digest ")[1].splitlines()[0]
    assert len(digest.split()) == 5
    assert digest in found[0]
    assert any(digest in page for page in found[1:])


@pytest.mark.long
def test_owner_and_workshop_share_the_digest(made: Path) -> None:
    """Two editions of one build carry the same parts; the masked one has its own."""
    digests = [run("verify", made / f"{name}.pdf")[1].split("digest ")[1][:24] for name in EDITIONS]
    assert digests[0] == digests[1] != digests[2]


@pytest.mark.parametrize(
    "stage", ["plan", *(pytest.param(one, marks=pytest.mark.long) for one in ("design", "as_built"))]
)
@pytest.mark.long
def test_a_plan_says_so_on_every_page(tmp_path: Path, stage: str) -> None:
    """Every page of every edition of a plan is marked, none of what was built is; the owner agrees to a plan."""
    path = place(tmp_path, BUILD.replace("stage: as_built", f"stage: {stage}"))
    assert run("write", path, "-o", tmp_path, "--edition", "all", "--quick", "-q")[0] == 0
    for name in EDITIONS:
        assert all(("PLAN" in page) == (stage != "as_built") for page in pages(tmp_path / f"{name}.pdf"))
    owner = " ".join(pages(tmp_path / "small-customer.pdf"))
    assert ("What is planned" in owner and "Agreed by" in owner) == (stage != "as_built")
    assert ("What was fitted" in owner and "Received by" in owner) == (stage == "as_built")


@pytest.mark.long
def test_same_bytes_everywhere(tmp_path: Path) -> None:
    """Hash seed, time zone, locale, folder and the clock change no byte of any edition."""
    seen = set()
    for number, changes in enumerate(
        (
            {"PYTHONHASHSEED": "0", "TZ": "UTC"},
            {"PYTHONHASHSEED": "77", "TZ": "Asia/Tokyo", "LC_ALL": "C", "SOURCE_DATE_EPOCH": "1"},
            {
                "PYTHONHASHSEED": "random",
                "TZ": "America/St_Johns",
                "LC_ALL": "C.UTF-8",
                "MPLCONFIGDIR": str(tmp_path / "mpl"),
            },
        )
    ):
        folder = tmp_path / f"folder {number}"
        place(folder)
        environment = {**os.environ, "PYTHONPATH": str(ROOT), **changes}
        command = [
            sys.executable,
            "-m",
            "dossier",
            "write",
            "small.yaml",
            "-o",
            "out",
            "--edition",
            "all",
            "--quick",
            "-q",
        ]
        subprocess.run(command, check=True, cwd=folder, env=environment, capture_output=True)
        data = b"".join((folder / "out" / f"{name}.pdf").read_bytes() for name in EDITIONS)
        seen.add(hashlib.sha256(data).hexdigest())
    assert len(seen) == 1


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
@pytest.mark.independent
@pytest.mark.parametrize("name", EDITIONS)
def test_sound_by_another_reader(made: Path, name: str) -> None:
    """Qpdf finds nothing wrong and sees every attachment."""
    path = made / f"{name}.pdf"
    assert subprocess.run(["qpdf", "--check", path], capture_output=True).returncode == 0
    listed = subprocess.run(["qpdf", "--list-attachments", path], capture_output=True, text=True).stdout
    assert [line.split()[0] for line in listed.splitlines()] == [
        "photo-front.jpg",
        "small.results.json",
        "small.yaml",
    ]


def test_attachments_have_relationship_and_type(made: Path) -> None:
    """Build file and logs are sources, results are data, photos a supplement (ISO 19005-3, Annex E)."""
    with pikepdf.open(made / "small.pdf") as pdf:
        found = {
            str(one.UF): (str(one.AFRelationship), str(one.EF.F.Subtype))
            for one in pdf.Root.AF
        }
    assert found == {
        "small.yaml": ("/Source", "/application/yaml"),
        "small.results.json": ("/Data", "/application/json"),
        "photo-front.jpg": ("/Supplement", "/image/jpeg"),
    }


def test_editions_add_up(tmp_path: Path) -> None:
    """Every edition that is asked for is written, whatever the order; none silently replaces another."""
    call = ["write", str(place(tmp_path)), "-o", str(tmp_path), "--quick", "-q"]
    assert run(*call, "--edition", "customer", "--edition", "inspector", "--edition", "customer")[0] == 0
    assert {file.stem for file in tmp_path.glob("*.pdf")} == {"small-customer", "small-inspector"}


def test_entry_shows_the_runs(tmp_path: Path) -> None:
    """The entry edition is verified like the others; without runs it is refused with the cure."""
    path = place(tmp_path)
    call = ("write", path, "-o", tmp_path, "--quick", "-q", "--edition")
    assert run(*call, "entry")[0] == 0
    found = pages(tmp_path / "small-entry.pdf")
    assert len(found) <= 4
    assert run("verify", tmp_path / "small-entry.pdf")[0] == 0
    bare = tmp_path / "bare"
    bare.mkdir()
    without = re.sub(r"(?m)^  sound:\n(    .*\n)+", "", BUILD)
    assert without != BUILD
    none = place(bare, without)
    code, said = run("write", none, "-o", bare, "--quick", "-q", "--edition", "entry")
    assert code == 2
    assert "measurements.sound" in said
    assert run("write", none, "-o", bare, "--quick", "-q", "--edition", "all")[0] == 0
    assert not (bare / "small-entry.pdf").exists()
    assert (bare / "small-inspector.pdf").exists()
