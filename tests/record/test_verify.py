"""Verify tells the honest, the changed and the foreign apart, names what changed, and survives hostile files."""

from __future__ import annotations

import io
import json
import zlib
from pathlib import Path

import pikepdf
import pytest
from pikepdf import Array, AttachedFileSpec, Dictionary, Name, Pdf, String
from record_builds import place, run

from dossier.record import opened as opening
from dossier.record import verify as verifying
from dossier.record import write as writing
from dossier.record.compare import differences
from dossier.record.opened import NotADossierError, open_dossier, opened


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with all three editions of the small build."""
    folder = tmp_path_factory.mktemp("made")
    code, said = run("write", place(folder), "-o", folder, "--edition", "all", "--quick", "-q")
    assert code == 0, said
    return folder


def changed(source: Path, target: Path, name_end: str, old: bytes, new: bytes) -> Path:
    """A copy in which an attachment was exchanged."""
    with pikepdf.open(source) as pdf:
        name = next(key for key in pdf.attachments if key.endswith(name_end))
        data = pdf.attachments[name].get_file().read_bytes()
        assert old in data
        del pdf.attachments[name]
        pdf.attachments[name] = AttachedFileSpec(pdf, data.replace(old, new, 1), filename=name)
        pdf.save(target)
    return target


@pytest.mark.parametrize("name", ["small.pdf", "small-customer.pdf", "small-inspector.pdf"])
@pytest.mark.sweep(4)
def test_honest(made: Path, name: str) -> None:
    """Every edition is the same, byte for byte, when it is made again from its attachments."""
    code, said = run("verify", made / name)
    assert code == 0
    assert "same figures" in said
    assert "byte for byte" in said
    assert "does not show who wrote them" in said


def test_changed_build(made: Path, tmp_path: Path) -> None:
    """A changed build file is named, and so are the figures that follow from it."""
    bad = changed(made / "small.pdf", tmp_path / "b.pdf", ".yaml", b"25 mm2", b"16 mm2")
    code, said = run("verify", bad)
    assert code == 1
    assert "changed attachment: small.yaml: changed" in said
    assert "differs: " in said
    assert "changed look" not in said


def test_build_that_cannot_be_read(made: Path, tmp_path: Path) -> None:
    """A build file changed into nonsense is a difference, not an error of ours."""
    bad = changed(made / "small.pdf", tmp_path / "b.pdf", ".yaml", b"format: 1", b"format: [")
    code, said = run("verify", bad)
    assert code == 1
    assert "not computed" in said


def test_changed_results(made: Path, tmp_path: Path) -> None:
    """A figure changed in the results is listed with both values."""
    with pikepdf.open(made / "small.pdf") as pdf:
        data = json.loads(pdf.attachments["small.results.json"].get_file().read_bytes())
    rms = next(row["rms_a"] for row in data["schedule"] if row["id"] == "feed")
    old = f'"rms_a": {json.dumps(rms)}'.encode()
    bad = changed(made / "small.pdf", tmp_path / "b.pdf", ".results.json", old, b'"rms_a": 1.5')
    code, said = run("verify", bad, "--show", "json")
    assert code == 1
    tree = json.loads(said)
    assert tree["changed_attachments"] == ["small.results.json: changed"]
    [figure] = tree["figures"]
    assert figure["path"] == "schedule[feed].rms_a"
    assert figure["attached"] == "1.5"
    assert float(figure["computed"]) == rms


def test_changed_page(made: Path, tmp_path: Path) -> None:
    """Other words on a page are told apart from other figures, and the page is named."""
    with pikepdf.open(made / "small.pdf") as pdf:
        pdf.pages[2].contents_add(b"BT /F1 10 Tf 72 72 Td (x) Tj ET")
        pdf.save(tmp_path / "b.pdf")
    code, said = run("verify", tmp_path / "b.pdf")
    assert code == 1
    assert "changed look: page 3\n" in said
    assert "same figures" in said
    assert "changed attachment" not in said


@pytest.mark.long
def test_page_taken_out(made: Path, tmp_path: Path) -> None:
    """A missing last page is a difference."""
    with pikepdf.open(made / "small.pdf") as pdf:
        last = len(pdf.pages)
        del pdf.pages[-1]
        pdf.save(tmp_path / "b.pdf")
    code, said = run("verify", tmp_path / "b.pdf")
    assert code == 1
    assert f"page {last}" in said


def test_note_stuck_on_a_page(made: Path, tmp_path: Path) -> None:
    """An annotation laid over a page is a difference."""
    with pikepdf.open(made / "small-customer.pdf") as pdf:
        note = Dictionary(
            Type=Name.Annot, Subtype=Name.FreeText, Rect=Array([72, 72, 300, 100]), Contents=String("All is well")
        )
        pdf.pages[0].obj["/Annots"] = Array([pdf.make_indirect(note)])
        pdf.save(tmp_path / "b.pdf")
    code, said = run("verify", tmp_path / "b.pdf")
    assert code == 1
    assert "changed look: page 1\n" in said


@pytest.mark.long
def test_saved_again_by_another_tool(made: Path, tmp_path: Path) -> None:
    """The same parts packed differently: nothing looks otherwise, and that it is no longer the file written is said."""
    with pikepdf.open(made / "small.pdf") as pdf:
        pdf.save(tmp_path / "b.pdf", object_stream_mode=pikepdf.ObjectStreamMode.disable, linearize=True)
    code, said = run("verify", tmp_path / "b.pdf")
    assert (code, "saved again by another program" in said, "changed look" in said) == (1, True, False)
    (tmp_path / "c.pdf").write_bytes((made / "small.pdf").read_bytes() + b"9000 0 obj\n<<>>\nendobj\n%%EOF\n")
    code, said = run("verify", tmp_path / "c.pdf")
    assert (code, "something was appended" in said) == (1, True)


def test_a_signature_appended_is_named(made: Path, tmp_path: Path) -> None:
    """An increment with a signature field (ISO 32000-1, 12.8): it is called that, with what it adds."""
    data = (made / "small.pdf").read_bytes()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        root, number, size = pdf.Root.unparse(resolved=True), pdf.Root.objgen[0], int(pdf.trailer["/Size"])
    last = data[data.rindex(b"startxref") :].split()[1]
    field = b"<< /FT /Sig /T (who) /V << /Type /Sig /Filter /Adobe.PPKLite /ByteRange [0 0 0 0] /Contents <00> >> >>"
    form = root[:-2] + f"/AcroForm << /SigFlags 3 /Fields [ {size} 0 R ] >> >>".encode()
    places, body = [], data + b"\n"
    for n, one in ((number, form), (size, field)):
        places.append(f"{n} 1\n{len(body):010d} 00000 n \n".encode())
        body += f"{n} 0 obj\n".encode() + one + b"\nendobj\n"
    end = f"trailer\n<< /Size {size + 1} /Root {number} 0 R /Prev ".encode() + last + b" >>\nstartxref\n"
    table = b"xref\n" + b"".join(places) + end + str(len(body)).encode() + b"\n%%EOF\n"
    (tmp_path / "signed.pdf").write_bytes(body + table)
    code, said = run("verify", tmp_path / "signed.pdf")
    assert (code, "a signature was appended" in said, "signature or form field" in said) == (1, True, True), said


@pytest.mark.long
def test_older_program(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A dossier of another version with the same figures is the same, and the other version is named."""
    monkeypatch.setattr(writing, "PROGRAM", "install-dossier 0.0.9")
    code, said = run("write", place(tmp_path), "-o", tmp_path, "--quick", "-q")
    assert code == 0, said
    monkeypatch.undo()
    code, said = run("verify", tmp_path / "small.pdf")
    assert code == 0
    assert "changed program: made with install-dossier 0.0.9" in said
    assert "changed look" not in said
    with pikepdf.open(tmp_path / "small.pdf") as pdf:
        pdf.pages[1].contents_add(b"0 0 10 10 re f")
        pdf.save(tmp_path / "b.pdf")
    code, said = run("verify", tmp_path / "b.pdf")
    assert code == 1
    assert "changed look: page 2\n" in said


def test_older_program_with_other_figures(made: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where another version computes something else, each figure is listed, and no attachment is blamed."""
    monkeypatch.setattr(verifying, "differences", lambda old, new: differences({**old, "budget": None}, new))
    code, said = run("verify", made / "small.pdf")
    assert code == 1
    assert "differs: budget" in said
    assert "changed attachment" not in said


@pytest.mark.analytic
def test_tolerance() -> None:
    """The stated tolerance holds: a thousandth and one step of a last digit are the same, more is not."""
    assert differences({"a": 1.0}, {"a": 1.0009}) == []
    assert differences({"a": 1.0}, {"a": 1.002})
    assert differences({"a": "11.4 V for 3 s"}, {"a": "11.5 V for 3 s"}) == []
    assert differences({"a": "11.4 V for 3 s"}, {"a": "11.6 V for 3 s"})
    assert differences({"a": "2 cautions"}, {"a": "3 cautions"})
    assert differences({"a": "−0.1 dB"}, {"a": "0.1 dB"})
    assert differences({"a": [1, 2]}, {"a": [1]})
    assert differences({"a": None}, {"a": 0.0})
    assert differences({"a": True}, {"a": 1}) == []


def refused(path: Path, word: str) -> None:
    """Both commands say 2 and one plain reason, no traceback."""
    for words in (("verify", path), ("extract", path, "-o", path.parent / "out")):
        code, said = run(*words)
        assert code == 2, said
        assert word in said
        assert "Traceback" not in said
    assert not (path.parent / "out").exists()


def test_foreign_files(tmp_path: Path, made: Path) -> None:
    """Nothing, no PDF, a PDF without attachments, a truncated and an encrypted one are refused."""
    path = tmp_path / "x.pdf"
    path.write_bytes(b"")
    refused(path, "is no PDF")
    path.write_bytes(b"hello\n" * 100)
    refused(path, "is no PDF")
    refused(tmp_path / "none.pdf", "was not found")
    pdf = Pdf.new()
    pdf.add_blank_page()
    pdf.save(path)
    refused(path, "has no build file attached")
    whole = (made / "small.pdf").read_bytes()
    for size in (200, len(whole) // 2, len(whole) - 40):
        path.write_bytes(whole[:size])
        refused(path, "is damaged")
    with pikepdf.open(made / "small.pdf") as pdf:
        pdf.save(path, encryption=pikepdf.Encryption(owner="a", user=""))
    refused(path, "encrypted")
    with pikepdf.open(made / "small.pdf") as pdf:
        pdf.save(path, encryption=pikepdf.Encryption(owner="a", user="b"))
    refused(path, "encrypted")


def with_attachments(files: list[tuple[str, bytes]], extra: bytes = b"") -> bytes:
    """A PDF with attachments of any name, its streams packed by hand."""
    pdf = Pdf.new()
    pdf.add_blank_page()
    names: list[object] = []
    for name, data in files:
        stream = pdf.make_stream(zlib.compress(data), Filter=Name.FlateDecode)
        spec = Dictionary(Type=Name.Filespec, F=String(name), UF=String(name), EF=Dictionary(F=stream))
        names += [String(name), pdf.make_indirect(spec)]
    pdf.Root["/Names"] = Dictionary(EmbeddedFiles=Dictionary(Names=Array(names)))
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue() + extra


@pytest.mark.parametrize(
    "name",
    [
        "../evil.txt",
        "/etc/evil",
        "a/../../b",
        "..\\evil",
        "C:evil",
        ".hidden",
        "nul",
        "a\nb",
        "x" * 300,
        "sub/dir.txt",
    ],
)
def test_attachment_names_that_lead_out(tmp_path: Path, name: str) -> None:
    """An attachment whose name is no plain file name is never written, and nothing else of that file either."""
    path = tmp_path / "x.pdf"
    path.write_bytes(with_attachments([("a.yaml", b"format: 1"), ("a.results.json", b"{}"), (name, b"evil")]))
    code, said = run("extract", path, "-o", tmp_path / "out")
    assert code == 2, said
    assert "not a plain file name" in said
    assert sorted(p.name for p in tmp_path.iterdir()) == ["x.pdf"]
    assert run("verify", path)[0] == 1


def test_bombs(tmp_path: Path) -> None:
    """Attachments that unpack to more than they should, a list that turns in circles, too many of them: refused."""
    path = tmp_path / "x.pdf"
    path.write_bytes(
        with_attachments([("a.yaml", b"x"), ("a.results.json", b"{}"), ("big.bin", bytes(70 * 2**20))])
    )
    refused(path, "unpack to more")
    path.write_bytes(with_attachments([(f"f{i}.txt", b"x") for i in range(800)]))
    refused(path, "attachments")
    pdf = Pdf.new()
    pdf.add_blank_page()
    node = pdf.make_indirect(Dictionary())
    node["/Kids"] = Array([node, node])
    pdf.Root["/Names"] = Dictionary(EmbeddedFiles=node)
    pdf.save(path)
    refused(path, "never ends")
    path.write_bytes(with_attachments([("a.yaml", b"x"), ("a.yaml", b"y"), ("a.results.json", b"{}")]))
    refused(path, "two attachments of one name")


@pytest.mark.long
def test_object_stream_bomb(made: Path) -> None:
    """An inner stream that the PDF library would unpack on opening is refused before it does."""
    bomb = b"\n9 0 obj\n<</Type /ObjStm /N 1 /First 5 /Filter /FlateDecode /Length 9>>\nstream\n" + zlib.compress(
        bytes(2**27)
    )
    with pytest.raises(NotADossierError, match="unpack"):
        opened((made / "small.pdf").read_bytes() + bomb)


def test_a_pdf_inside_is_left_alone(tmp_path: Path, made: Path) -> None:
    """A dossier attached to a dossier is a file like any other: it is not opened."""
    inner = (made / "small.pdf").read_bytes()
    path = tmp_path / "x.pdf"
    path.write_bytes(with_attachments([("a.yaml", b"format: ["), ("a.results.json", b"{}"), ("inner.pdf", inner)]))
    assert run("verify", path)[0] == 1
    assert open_dossier(path).parts["inner.pdf"] == inner


def test_nothing_is_written_that_would_not_open_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One bound for both sides: parts, file or results beyond it are refused when written, and nothing is left."""
    monkeypatch.setattr(opening, "MOST_ATTACHED", 2000)
    code, said = run("write", place(tmp_path), "-o", tmp_path / "out", "--quick", "-q")
    assert (code, "record-too-large" in said, "would not open again" in said) == (3, True, True)
    assert not list((tmp_path / "out").glob("*"))
