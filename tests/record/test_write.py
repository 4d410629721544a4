"""The record: same bytes for the same build, complete as an archive, and written without harm."""

from __future__ import annotations

import errno
import hashlib
import io
import json
import os
import re
import subprocess
import sys
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pikepdf
import pytest
from pdf_text import pages_text
from PIL import ImageCms
from sample_build import sample_build
from sample_results import sample_results

from dossier.record import write as writing
from dossier.record.archive import Attachment, digest
from dossier.record.colour_profile import srgb_profile
from dossier.record.files import OutputError, replace_file
from dossier.record.write import compose, write_dossier

ROOT = Path(__file__).parents[2]
COMPOSE = (
    "import hashlib; from sample_build import sample_build; from sample_results import sample_results;"
    "from dossier.record.write import compose;"
    "print(hashlib.sha256(compose(sample_build(), sample_results())).hexdigest())"
)


@lru_cache(maxsize=2)
def document(paper: str = "a4") -> bytes:
    """The finished sample."""
    return compose(sample_build(), sample_results(), paper=paper)  # type: ignore[arg-type]


def elsewhere(folder: Path, **variables: str) -> str:
    """SHA-256 of the sample composed by another process in ``folder`` with other environment variables."""
    path = os.pathsep.join([str(ROOT), str(ROOT / "tests" / "samples")])
    environment = {**os.environ, "PYTHONPATH": path, **variables}
    done = subprocess.run(
        [sys.executable, "-c", COMPOSE], capture_output=True, text=True, env=environment, cwd=folder, check=True
    )
    return done.stdout.strip()


@pytest.mark.long
def test_the_same_build_gives_the_same_bytes_anywhere(tmp_path: Path) -> None:
    """Hash seed, time zone, locale, folder, drawing and layout settings of the user change nothing."""
    (tmp_path / "matplotlibrc").write_text("lines.linewidth: 9\nfont.size: 30\npdf.fonttype: 3\n")
    other = elsewhere(
        tmp_path,
        PYTHONHASHSEED="77",
        TZ="Asia/Kathmandu",
        LC_ALL="C",
        RL_pageCompression="0",
        RL_useA85="1",
        RL_invariant="0",
        SOURCE_DATE_EPOCH="1000000000",
    )
    assert other == hashlib.sha256(document()).hexdigest()


@pytest.mark.long
@pytest.mark.parametrize("seed", ["0", "1", "2", "random"])
def test_the_hash_seed_changes_nothing(seed: str, tmp_path: Path) -> None:
    """No set or dictionary order reaches the file."""
    assert elsewhere(tmp_path, PYTHONHASHSEED=seed) == hashlib.sha256(document()).hexdigest()


def test_twice_in_one_process_gives_the_same_bytes() -> None:
    """Nothing is left over from the first document."""
    assert compose(sample_build(), sample_results()) == document()


def test_another_build_gets_another_identifier() -> None:
    """The file identifier follows from the content."""
    other = compose(replace(sample_build(), text=b"format: 1\n# other\n"), sample_results())
    with pikepdf.open(io.BytesIO(document())) as one, pikepdf.open(io.BytesIO(other)) as two:
        assert bytes(one.trailer.ID[0]) != bytes(two.trailer.ID[0])


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_page_size_is_the_paper(paper: str) -> None:
    """A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in (ANSI/ASME Y14.1)."""
    size = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (612, 792)}[paper]
    with pikepdf.open(io.BytesIO(document(paper))) as pdf:
        for page in pdf.pages:
            assert [float(one) for one in page.mediabox] == pytest.approx([0, 0, *size], abs=0.01)


def test_every_face_is_embedded_and_readable() -> None:
    """No reader has to guess a face; every face has a map back to characters (ISO 19005-3, 6.2.11)."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        fonts = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/Font"]
        assert fonts
        for font in fonts:
            assert font.Subtype in ("/TrueType", "/Type0", "/CIDFontType2")
            if font.Subtype == "/Type0":
                assert "/ToUnicode" in font
                continue
            assert "/FontFile2" in font.FontDescriptor
            assert "Helvetica" not in str(font.BaseFont)


def test_figures_are_vector_and_opaque() -> None:
    """No raster image, no transparency, and the words of the figures can be found."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        for one in pdf.objects:
            if isinstance(one, pikepdf.Stream):
                assert one.get("/Subtype") != "/Image"
                assert "/SMask" not in one
            if isinstance(one, pikepdf.Dictionary):
                assert float(one.get("/ca", 1)) == 1.0
                assert float(one.get("/CA", 1)) == 1.0
    assert "Time from the start of the sound (s)" in pages_text(document())[0]


def test_outline_labels_language_and_title() -> None:
    """Bookmarks for every section, page labels, language, and the title in the window (ISO 19005-3, 6.6; PDF 12.3)."""
    with pikepdf.open(io.BytesIO(document())) as pdf, pdf.open_outline() as outline:
        titles = [item.title for item in outline.root]
        assert titles[0] == "1  Wiring diagram"
        assert titles[-1].endswith("Local codes and limits")
        voltage = next(item for item in outline.root if "Voltage" in item.title)
        assert [child.title for child in voltage.children] == [case.title for case in sample_results().load_cases]
        assert pdf.Root.PageLabels.Nums[1].S == "/D"
        assert str(pdf.Root.Lang) == "en-GB"
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)


def test_information_and_metadata_agree_and_carry_the_date_of_the_build() -> None:
    """Title, author and dates stand twice and are the same; no clock is asked."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        xmp = pdf.Root.Metadata.read_bytes().decode()
        information = {key: str(value) for key, value in pdf.docinfo.items()}
    assert information["/CreationDate"] == information["/ModDate"] == "D:20261003000000Z"
    assert re.findall(r"<xmp:\w+Date>(.*?)</xmp", xmp) == ["2026-10-03T00:00:00Z"] * 3
    assert f">{information['/Title']}<" in xmp
    assert f">{information['/Author']}<" in xmp
    assert "<pdfaid:part>3<" in xmp
    assert "<pdfaid:conformance>A<" in xmp
    assert "<pdfuaid:part>1<" in xmp


def test_build_and_results_are_attached_unchanged() -> None:
    """The attachments are the bytes they came from, with relationship, type, size and checksum (ISO 19005-3, 6.8)."""
    build = sample_build()
    with pikepdf.open(io.BytesIO(document())) as pdf:
        assert list(pdf.attachments) == ["sample.results.json", "sample.yaml"]
        assert pdf.attachments["sample.yaml"].get_file().read_bytes() == build.text
        results = json.loads(pdf.attachments["sample.results.json"].get_file().read_bytes())
        relations = {str(one.UF): str(one.AFRelationship) for one in pdf.Root.AF}
        for one in pdf.Root.AF:
            data = one.EF.F.read_bytes()
            assert int(one.EF.F.Params.Size) == len(data)
            assert bytes(one.EF.F.Params.CheckSum) == hashlib.md5(data).digest()
    assert relations == {"sample.yaml": "/Source", "sample.results.json": "/Data"}
    assert results["load_cases"][0]["amplifiers"][0]["mean_minimum"]["value_v"] == pytest.approx(11.508, abs=0.01)


def test_the_digest_is_printed_and_depends_on_every_byte() -> None:
    """The cover and the page that is signed show it; moving a byte from one part to the next changes it."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        parts = [Attachment(str(one.UF), one.EF.F.read_bytes(), "", "", "") for one in pdf.Root.AF]
    pages = pages_text(document())
    assert digest(parts) in pages[0]
    assert any(digest(parts) in page for page in pages if "Each signature is for" in page)
    assert re.fullmatch(r"([A-Z2-7]{4} ){4}[A-Z2-7]{4}", digest(parts))

    def two(a: bytes, b: bytes) -> str:
        return digest([Attachment("a", a, "", "", ""), Attachment("b", b, "", "", "")])

    assert len({two(b"xy", b""), two(b"x", b"y"), two(b"", b"xy")}) == 3


def test_structure_tree_covers_what_is_marked() -> None:
    """Every marked piece of content has its element, in order; figures have words; tables have heads with a scope."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        parents = pdf.Root.StructTreeRoot.ParentTree.Nums
        roles: dict[str, int] = {}
        for index, page in enumerate(pdf.pages):
            marks = []
            depth = 0
            for instruction in pikepdf.parse_content_stream(page):
                operands, operator = list(instruction.operands), instruction.operator
                if str(operator) == "BDC":
                    marks.append(int(operands[1].MCID))
                if str(operator) in ("BDC", "BMC"):
                    depth += 1
                if str(operator) == "EMC":
                    depth -= 1
                if str(operator) in ("Tj", "TJ", "Do", "f", "S", "B"):
                    assert depth == 1, "something is drawn outside a bracket"
            elements = parents[2 * int(page.obj.StructParents) + 1]
            assert marks == list(range(len(marks)))
            assert len(elements) == len(marks)
            assert int(parents[2 * index]) == index
            for element in elements:
                role = str(element.S)
                roles[role] = roles.get(role, 0) + 1
                if role == "/Figure":
                    assert len(str(element.Alt)) > 20
                if role == "/TH":
                    assert str(element.A.Scope) in ("/Column", "/Row")
        assert {"/H1", "/H2", "/P", "/TD", "/TH", "/Figure", "/Link"} <= set(roles)
        assert bool(pdf.Root.MarkInfo.Marked)


def test_links_are_internal_and_printed() -> None:
    """The contents are links inside the document; each annotation has the print flag (ISO 19005-3, 6.3.2)."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        notes = [note for page in pdf.pages for note in page.obj.get("/Annots", [])]
        with pdf.open_outline() as outline:
            assert len(notes) == len(outline.root)
        assert all(int(note.F) == 4 and note.Subtype == "/Link" for note in notes)


def test_every_link_says_where_it_leads_and_has_its_element() -> None:
    """Annotation, number tree and structure element point at each other (ISO 32000-1, 14.7.4.4)."""
    with pikepdf.open(io.BytesIO(document())) as pdf:
        parents = pdf.Root.StructTreeRoot.ParentTree.Nums
        numbers = {int(parents[i]): parents[i + 1] for i in range(0, len(parents), 2)}
        for page in pdf.pages:
            for note in page.obj.get("/Annots", []):
                element = numbers[int(note.StructParent)]
                assert element.S == "/Link"
                assert element.P.S == "/Reference"
                assert any(
                    isinstance(kid, pikepdf.Dictionary) and kid.Type == "/OBJR" and kid.Obj.objgen == note.objgen
                    for kid in element.K
                )
                assert str(note.Contents).startswith("To the section ")


def test_output_intent_is_a_profile_others_accept() -> None:
    """The profile is read by an independent colour engine (littleCMS) and leaves sRGB colours as they are."""
    profile = ImageCms.ImageCmsProfile(io.BytesIO(srgb_profile()))
    assert ImageCms.getProfileDescription(profile).strip() == "sRGB"
    from PIL import Image

    picture = Image.new("RGB", (3, 1))
    picture.putdata([(15, 76, 92), (163, 38, 42), (250, 128, 3)])
    same = ImageCms.profileToProfile(picture, profile, ImageCms.createProfile("sRGB"))
    assert same is not None
    for one, two in zip(picture.tobytes(), same.tobytes(), strict=True):
        assert abs(one - two) <= 1
    with pikepdf.open(io.BytesIO(document())) as pdf:
        assert pdf.Root.OutputIntents[0].DestOutputProfile.read_bytes() == srgb_profile()


def test_written_files_have_the_agreed_names(tmp_path: Path) -> None:
    """<stem>.pdf always, <stem>.results.json on request; missing folders are made; nothing else is left."""
    made = write_dossier(sample_build(), sample_results(), tmp_path / "a" / "b", results_json=True)
    assert [path.name for path in made] == ["sample.pdf", "sample.results.json"]
    assert made[0].read_bytes() == document()
    assert sorted(os.listdir(tmp_path / "a" / "b")) == ["sample.pdf", "sample.results.json"]


def test_an_old_file_survives_a_failure_before_and_during_writing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether the composing or the writing fails: the old dossier stays, no part of a new one is left."""
    old = tmp_path / "sample.pdf"
    old.write_bytes(b"old")
    new = document()
    monkeypatch.setattr(writing, "compose", lambda *_, **__: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_dossier(sample_build(), sample_results(), tmp_path)
    monkeypatch.setattr(writing, "compose", lambda *_, **__: new)

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError) as caught:
        write_dossier(sample_build(), sample_results(), tmp_path)
    assert "No space left" in caught.value.diagnostic.headline
    assert old.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["sample.pdf"]


def test_what_stands_in_the_way_is_named(tmp_path: Path) -> None:
    """A folder in place of the file, a file in place of the folder: one typed error, nothing changed."""
    (tmp_path / "sample.pdf").mkdir()
    with pytest.raises(OutputError, match="directory"):
        replace_file(tmp_path / "sample.pdf", b"x")
    (tmp_path / "plain").write_text("x")
    with pytest.raises(OutputError):
        replace_file(tmp_path / "plain" / "sample.pdf", b"x")
    with pytest.raises(OutputError):
        replace_file(tmp_path / ("n" * 300 + ".pdf"), b"x")
    assert sorted(os.listdir(tmp_path)) == ["plain", "sample.pdf"]
    assert os.listdir(tmp_path / "sample.pdf") == []


def test_a_new_file_gets_the_usual_permissions(tmp_path: Path) -> None:
    """Not the private ones of a temporary file."""
    before = os.umask(0o022)
    try:
        replace_file(tmp_path / "x.pdf", b"x")
    finally:
        os.umask(before)
    assert (tmp_path / "x.pdf").stat().st_mode & 0o777 == 0o644
