"""What a reader would see otherwise is found, whichever libraries drew the document; what nobody sees is not."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from fontTools.ttLib import TTFont
from pikepdf import Array, Dictionary, Name, Pdf, Stream, String
from record_builds import place, run

from dossier.record.looks.documents import looks
from dossier.record.streams import unpacked


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The workshop edition of the small build."""
    folder = tmp_path_factory.mktemp("made")
    assert run("write", place(folder), "-o", folder, "--quick", "-q")[0] == 0
    return (folder / "small.pdf").read_bytes()


def fonts(pdf: Pdf) -> list[Any]:
    """Simple fonts with many letters."""
    return [
        one for one in pdf.objects
        if isinstance(one, Dictionary) and one.get("/Type") == Name.Font and len(one.get("/Widths", Array())) > 30
    ]  # fmt: skip


def outlines(pdf: Pdf) -> None:
    """Two outlines of a font exchanged."""
    file = fonts(pdf)[0].FontDescriptor.FontFile2
    font = TTFont(io.BytesIO(file.read_bytes()))
    names = [name for name in font.getGlyphOrder() if font["glyf"][name].numberOfContours > 0]
    shapes = font["glyf"]
    shapes[names[3]], shapes[names[5]] = shapes[names[5]], shapes[names[3]]
    out = io.BytesIO()
    font.save(out)
    file.write(out.getvalue())


def units_per_em(pdf: Pdf) -> None:
    """Every letter of a font drawn at half its size."""
    file = fonts(pdf)[0].FontDescriptor.FontFile2
    font = TTFont(io.BytesIO(file.read_bytes()))
    font["head"].unitsPerEm *= 2
    out = io.BytesIO()
    font.save(out)
    file.write(out.getvalue())


def read_as(pdf: Pdf) -> None:
    """A letter that is copied and read aloud as another."""
    table = fonts(pdf)[0].ToUnicode
    data = table.read_bytes()
    at = data.index(b"0031")
    table.write(data[:at] + b"0039" + data[at + 4 :])


def width(pdf: Pdf) -> None:
    """Letters after one of them stand elsewhere."""
    widths = fonts(pdf)[0].Widths
    for place_ in range(len(widths)):
        widths[place_] = 100


def content(old: bytes, new: bytes) -> Callable[[Pdf], None]:
    """Other operators on page 1."""

    def change(pdf: Pdf) -> None:
        data = pdf.pages[0].Contents.read_bytes()
        assert old in data
        pdf.pages[0].Contents.write(data.replace(old, new, 1))

    return change


def action(key: str) -> Callable[[Pdf], None]:
    """Something that runs: when the document is opened, or a page is shown."""

    def change(pdf: Pdf) -> None:
        script = Dictionary(S=Name.JavaScript, JS=String("app.alert(1)"))
        if key == "/AA":
            pdf.pages[1].obj["/AA"] = Dictionary(O=script)
        elif key == "/Names":
            pdf.Root.Names["/JavaScript"] = Dictionary(Names=Array([String("a"), script]))
        else:
            pdf.Root[key] = script

    return change


def box(key: str) -> Callable[[Pdf], None]:
    """A page that is cut, by its own box or that of the node above it."""

    def change(pdf: Pdf) -> None:
        (pdf.Root.Pages if key == "above" else pdf.pages[0].obj)[key if key != "above" else "/CropBox"] = Array(
            [0, 400, 595, 842]
        )

    return change


def form(key: str, value: list[float]) -> Callable[[Pdf], None]:
    """A drawn form that is clipped, or moved."""

    def change(pdf: Pdf) -> None:
        every = [
            one for page in pdf.pages for name, one in page.Resources.get("/XObject", {}).items() if "figure" in name
        ]
        every[0][key] = Array(value)

    return change


def annotation(**entries: Any) -> Callable[[Pdf], None]:
    """A link that looks or leads otherwise."""

    def change(pdf: Pdf) -> None:
        note = next(one for page in pdf.pages for one in page.obj.get("/Annots", []))
        for key, value in entries.items():
            note[f"/{key}"] = value
        if "AP" in entries:
            note.AP = Dictionary(
                N=Stream(pdf, b"0 0 9 9 re f", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]))
            )

    return change


def root(key: str, value: Any) -> Callable[[Pdf], None]:
    """Another entry of the catalog."""

    def change(pdf: Pdf) -> None:
        pdf.Root[key] = value

    return change


def picture(pdf: Pdf) -> None:
    """A photo in other colours, as large."""
    from PIL import Image, ImageOps

    image = next(one for one in pdf.objects if isinstance(one, Stream) and "/DCTDecode" in str(one.get("/Filter")))
    out = io.BytesIO()
    with Image.open(io.BytesIO(unpacked(image))) as shown:
        ImageOps.invert(shown.convert("RGB")).save(out, "JPEG")
    image.write(out.getvalue(), filter=Name.DCTDecode)


def alternative(pdf: Pdf) -> None:
    """What a figure is for somebody who hears it."""
    next(one for one in pdf.objects if isinstance(one, Dictionary) and "/Alt" in one)["/Alt"] = String("all is well")


def hidden(pdf: Pdf) -> None:
    """Everything on page 1 transparent."""
    pdf.pages[0].Resources["/ExtGState"] = Dictionary(Z=Dictionary(ca=0))
    pdf.pages[0].contents_add(b"/Z gs", prepend=True)


ATTACKS: dict[str, tuple[Callable[[Pdf], None], str]] = {
    "outlines": (outlines, "font|letter"),
    "units per em": (units_per_em, "font|letter"),
    "read as": (read_as, "font|words"),
    "widths": (width, "font|letter"),
    "added words": (content(b"BT", b"BT /F1+0 9 Tf (x) Tj ET BT"), "drawing|words"),
    "colour": (content(b".121569 .160784 .2 rg", b"1 1 1 rg"), "drawing|letter"),
    "moved": (content(b"1 0 0 1 0 4 Tm", b"1 0 0 1 0 4.2 Tm"), "drawing|letter"),
    "transparent": (hidden, "drawing|letter|shape"),
    "crop box": (box("/CropBox"), "page box"),
    "media box": (box("/MediaBox"), "page box"),
    "box above": (box("above"), "page box"),
    "turned": (lambda pdf: pdf.pages[0].rotate(180, relative=True), "page box"),
    "form clipped": (form("/BBox", [0, 0, 500, 20]), "form|shape"),
    "form moved": (form("/Matrix", [1, 0, 0, 1, 3000, 0]), "form|shape"),
    "appearance": (annotation(AP=1), "appearance"),
    "link moved": (annotation(Rect=Array([0, 0, 9, 9])), "annotation"),
    "link elsewhere": (annotation(A=Dictionary(S=Name.URI, URI=String("http://x.example"))), "action"),
    "on opening": (action("/OpenAction"), "action"),
    "on a page": (action("/AA"), "action"),
    "named script": (action("/Names"), "action"),
    "layers": (root("/OCProperties", Dictionary(OCGs=Array())), "layers"),
    "signature": (root("/AcroForm", Dictionary(SigFlags=3, Fields=Array())), "signature"),
    "language": (root("/Lang", String("fr")), "structure"),
    "spoken figure": (alternative, "structure"),
    "bookmark": (lambda pdf: pdf.Root.Outlines.First.__setitem__("/Title", String("x")), "bookmark"),
    "photo": (picture, "picture"),
    "page gone": (lambda pdf: pdf.pages.__delitem__(-1), "page"),
}


def changed(data: bytes, change: Callable[[Pdf], None]) -> bytes:
    """A copy with a change, packed anew."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        change(pdf)
        pdf.save(out, recompress_flate=True)
    return out.getvalue()


@pytest.mark.parametrize("exact", [True, False])
@pytest.mark.parametrize("name", ATTACKS)
@pytest.mark.sweep(5)
def test_every_attack_is_found(made: bytes, name: str, exact: bool) -> None:
    """And is called by a name that says where to look."""
    change, kinds = ATTACKS[name]
    found = looks(changed(made, change), made, exact=exact)
    assert any(kind in one.kind for one in found for kind in kinds.split("|")), found


def renamed(pdf: Pdf) -> None:
    """Names of resources, places within a hundredth of a point and the packing as another library would choose them."""
    page = pdf.pages[0]
    page.Resources.Font["/Other"] = page.Resources.Font["/F1+0"]
    data = page.Contents.read_bytes().replace(b"/F1+0 ", b"/Other ").replace(b"1 0 0 1 0 4 Tm", b"1 0 0 1 0 4.004 Tm")
    page.Contents.write(data.replace(b" rg\n", b" rg 1 w 1.0 w\n"))


@pytest.mark.parametrize("exact", [True, False])
def test_what_nobody_sees(made: bytes, exact: bool) -> None:
    """The same drawn in other words: other bytes for these libraries, the same look for others."""
    assert looks(changed(made, lambda pdf: None), made, exact=exact) == ()
    assert bool(looks(changed(made, renamed), made, exact=exact)) == exact


@pytest.mark.long
def test_other_libraries(made: bytes, tmp_path: Path) -> None:
    """A document that names another zlib is set again: the same look is 0, and changing that record hides nothing."""

    def other(pdf: Pdf) -> None:
        names = pdf.Root.PieceInfo.InstallDossier.Private.Made
        names[[str(one) for one in names].index("zlib") + 1] = String("9.9")

    def worse(pdf: Pdf) -> None:
        other(pdf)
        outlines(pdf)

    for change, wanted, words in ((other, 0, "same look, other bytes"), (worse, 1, "changed look: page 1")):
        (tmp_path / "b.pdf").write_bytes(changed(made, change))
        code, said = run("verify", tmp_path / "b.pdf")
        assert code == wanted, said
        assert words in said
        assert "zlib 9.9, here " in said


def test_a_page_that_draws_without_end(made: bytes) -> None:
    """Forms that name themselves, or each other many times over, end in a difference or a refusal, soon."""

    def fan(pdf: Pdf) -> None:
        made_ = pdf.make_indirect(
            Stream(pdf, b"/A Do /A Do /A Do", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 1, 1]))
        )
        made_.Resources = Dictionary(XObject=Dictionary(A=made_))
        pdf.pages[0].Resources.XObject["/A"] = made_
        pdf.pages[0].contents_add(b"/A Do", prepend=True)

    assert looks(changed(made, fan), made, exact=False)
