"""Hostile words and sizes in the record sections: every edition is laid out, nothing is cut, nothing falls over."""

from __future__ import annotations

from pathlib import Path

import pytest
from pdf_text import pages_text
from record_builds import BUILD, place, run

LONG = "W" * 190
WORDS = {
    "long": LONG,
    "hebrew": "שלום עולם " * 15,
    "chinese": "漢字仮名交じり文" * 20,
    "emoji": "🔊🚗💥" * 30,
    "markup": "<b>x</b> <img src='/etc/passwd'/> & <font color=red> ]]> <!-- " * 2,
    "dollar": "$\\\\frac{1}{2}$ {braces} %s %(x)s {0}",
}


@pytest.mark.long
@pytest.mark.parametrize(
    "kind", [pytest.param(one, marks=[] if one == "markup" else pytest.mark.long) for one in WORDS]
)
def test_any_words_in_every_text(kind: str, tmp_path: Path) -> None:
    """Titles, names, captions, notes and remarks of any script and length are set literally in all three editions."""
    words = WORDS[kind][:190].replace('"', "")
    text = BUILD
    for plain in (
        "Small test build",
        "Test bench",
        "Test vehicle",
        "Short tone",
        "fitted it",
        "Front fuse.",
        "Larger feed.",
        "Fit a battery monitor.",
        "One rating is read off the box.",
        "Tighten.",
    ):
        text = text.replace(f": {plain}", f': "{words}"')
    note = (words + " ") * 10
    text += f'notes: ["{note[:1900]}"]\n'
    code, said = run("write", place(tmp_path, text), "-o", tmp_path, "--edition", "all", "--quick", "-q")
    assert code == 0, said
    for file in tmp_path.glob("*.pdf"):
        assert run("verify", file)[0] == 0
        found = " ".join(pages_text(file.read_bytes()))
        assert ("printed as codes in square brackets" in found) == (kind in ("hebrew", "chinese", "emoji"))
        assert len(pages_text(file.read_bytes())) < 40
        if kind == "markup":
            assert "<img src=" in found


@pytest.mark.long
def test_a_note_of_ten_thousand_signs(tmp_path: Path) -> None:
    """It is printed whole, word by word, over as many pages as it takes."""
    words = [f"word{i}" for i in range(1200)]
    text = BUILD + f'notes: ["{" ".join(words)}", "{"x" * 10_000}"]\n'
    path = place(tmp_path, text)
    code, said = run("write", path, "-o", tmp_path, "--edition", "all", "--quick", "-q")
    assert code == 0, said
    found = " ".join(pages_text((tmp_path / "small.pdf").read_bytes()))
    assert all(word in found for word in words)
    assert found.replace(" ", "").count("x" * 50) >= 150
    for file in tmp_path.glob("*.pdf"):
        assert run("verify", file)[0] == 0


@pytest.mark.parametrize("control", ["\x00", "\x07", "\x1b", "\x7f", "\u0085", "\ufffe"])
def test_control_characters(control: str, tmp_path: Path) -> None:
    """Typed into the file they are refused where they stand; written as an escape they leave nothing on paper."""
    path = place(tmp_path, BUILD.replace("Front fuse.", f"Front {control}fuse."))
    code, said = run("check", path)
    assert code in (0, 2), said
    assert "Traceback" not in said
    escaped = f"Front \\u{ord(control):04x}fuse."
    path = place(tmp_path, BUILD.replace("Front fuse.", f'"{escaped}"'))
    code, said = run("check", path)
    assert code in (0, 2), said
    assert "Traceback" not in said
    assert control not in said


@pytest.mark.long
def test_forty_cables_and_two_hundred_of_everything(tmp_path: Path) -> None:
    """A build at its bounds is written in every edition."""
    cables = "".join(
        f"  c{i}: {{role: {'feed' if i % 2 else 'return'}, from: bay, to: boot, size: 25 mm2, length: 4 m}}\n"
        for i in range(38)
    )
    text = BUILD.replace("cables:\n", f"cables:\n{cables}")
    joints = ", ".join(
        f"j{i}: {{drop: 1 mV, current: 100 A, cable: c{i % 38}, instrument: meter}}" for i in range(200)
    )
    text = text.replace("measurements:\n", f"measurements:\n  joints: {{{joints}}}\n")
    text = text.replace(
        "advice: {",
        "advice: {" + ", ".join(f"a{i}: {{advice: 'Advice {i}.', answer: open}}" for i in range(199)) + ", ",
    )
    code, said = run("write", place(tmp_path, text), "-o", tmp_path, "--edition", "all", "--quick", "-q")
    assert code in (0, 1), said
    assert "Advice 198." in " ".join(pages_text((tmp_path / "small-customer.pdf").read_bytes()))
