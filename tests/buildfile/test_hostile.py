"""Hostile and broken files: always a diagnostic, never an exception of another kind, never a long wait."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from dossier.buildfile.reader import BuildFileError, read_build, read_build_text
from dossier.diagnostic import Diagnostic

MINIMAL = (Path(__file__).parent / "examples" / "good" / "minimal.yaml").read_text()


def complaints(content: bytes | str) -> tuple[Diagnostic, ...]:
    """What is said about a file that must not pass."""
    text = content.encode() if isinstance(content, str) else content
    begun = time.process_time()
    with pytest.raises(BuildFileError) as caught:
        read_build_text(text, "x", "x.yaml")
    assert time.process_time() - begun < 10  # a bound on runaway work, not a benchmark
    assert caught.value.diagnostics
    assert all(d.where is not None and (d.expected or d.fix) for d in caught.value.diagnostics)
    return caught.value.diagnostics


def test_missing_file(tmp_path: Path) -> None:
    """A file that is not there is named."""
    with pytest.raises(BuildFileError) as caught:
        read_build(tmp_path / "none.yaml")
    assert caught.value.diagnostics[0].code == "file-not-found"
    assert "none.yaml" in caught.value.diagnostics[0].headline


@pytest.mark.parametrize("name", ["dir.yaml", "nul\0.yaml", "n" * 5000 + ".yaml"])
def test_not_a_file(tmp_path: Path, name: str) -> None:
    """A directory and impossible names are complaints, not exceptions."""
    if name == "dir.yaml":
        (tmp_path / name).mkdir()
    with pytest.raises(BuildFileError) as caught:
        read_build(tmp_path / name)
    assert caught.value.diagnostics[0].code in ("not-a-file", "file-not-readable", "file-not-found")


@pytest.mark.skipif(os.name != "posix", reason="special files are a thing of POSIX systems")
def test_special_files_are_not_read() -> None:
    """An endless device is refused before it is read."""
    with pytest.raises(BuildFileError) as caught:
        read_build(Path("/dev/zero"))
    assert caught.value.diagnostics[0].code == "not-a-file"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "empty-file"),
        (b" \n\t\n", "empty-file"),
        (b"# nothing\n", "empty-file"),
        (bytes(range(256)) * 16, "not-utf8"),
        (b"format: 1\nrecord: \xff", "not-utf8"),
        ("format: 1".encode("utf-16"), "not-utf8"),
        (b"\xed\xa0\x80: 1", "not-utf8"),  # a lone surrogate, encoded
        (b"format: 1\0", "control-character"),
        (b"format: 1\x1b[2J", "control-character"),
        ("format: 1 \u2028# line separator".encode(), "control-character"),
        ("format: 1 # \u202e desrever".encode(), "reordering-character"),
        ("format: 1 # \u2066 isolated".encode(), "reordering-character"),
        (b'title: "\\ud800"', "yaml-syntax"),
        (b'title: "\\u202e"', "control-character"),
        (b'? "\\x00"\n: 1', "key-not-text"),
        (b"x" * (1024 * 1024 + 1), "file-too-large"),
        (b"a: 1\n" * 1_000_000, "file-too-large"),
        (b"[" * 5000 + b"]" * 5000, "too-deep"),
        (b"a: " * 5000, "yaml-syntax"),
        (b"- " * 5000, "too-deep"),
        (b"[" * 30 + b"]" * 30, "too-deep"),
        (b"[" + b"1," * 60_000 + b"1]", "too-many-values"),
        (b"a: [" + b"{a: 1, a: 2}," * 20_000 + b"]", "duplicate-key"),
        (b"%YAML 9.9\n---\na: 1", "yaml-syntax"),
        (b"%TAG ! tag:example,2000:\n---\na: !x 1", "tag"),
        (b"---\na: 1\n---\nb: 2\n", "several-documents"),
        (b"*a", "alias"),
        (b"a: *b", "alias"),
        (b"!!python/object/apply:os.system [true]", "tag"),
        (b"a: !!binary aGVsbG8=", "tag"),
        (b"<<: {a: 1}", "merge-key"),
        (b"? {a: 1}\n: 2", "key-not-text"),
        (b"? *a\n: 2", "key-not-text"),
        (b"? !!str a\n: 2", "tag"),
        (b'"": 2', "key-not-text"),
        (b"hello", "wrong-type"),
        (b"- 1\n- 2\n", "wrong-type"),
        (b"12", "wrong-type"),
        (b"null", "wrong-type"),
        (b"a: b: c", "yaml-syntax"),
        (b"a: [1,\nb: 2\n", "yaml-syntax"),
        (b"a: 'b", "yaml-syntax"),
        (b"a: @b", "yaml-syntax"),
        (b"\tformat: 1", "yaml-syntax"),
    ],
)
def test_hostile_text(content: bytes, code: str) -> None:
    """A hostile or broken text is refused quickly, for the right reason, with a position."""
    assert code in {d.code for d in complaints(content)}


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [("a: 1\nb: [", 2, 4), ("a: 1\nb: [\n\n\n", 2, 4), ('a: "x\nb: 1\n', 1, 4), ("é: {a: 1\n\n", 1, 4)],
)
def test_what_has_no_end_is_shown_where_it_begins(text: str, line: int, column: int) -> None:
    """A bracket or quote that is never closed is marked itself, not the end of the file where it was missed."""
    where = complaints(text)[0].where
    assert where is not None
    assert (where.line, where.column) == (line, column)
    assert where.text == text.split("\n")[line - 1]


def test_alias_bomb() -> None:
    """A billion laughs are refused at every anchor and alias; nothing is expanded."""
    lines = ["a: &a [x,x,x,x,x,x,x,x,x]"]
    lines += [
        f"{new}: &{new} [{','.join(['*' + old] * 9)}]"
        for old, new in zip("abcdefgh", "bcdefghi", strict=True)
    ]
    found = complaints("\n".join(lines))
    assert {"anchor", "alias"} <= {d.code for d in found}
    assert len(found) <= 101


def test_python_tag_runs_nothing(tmp_path: Path) -> None:
    """A tag that would run a command in a careless loader runs nothing."""
    victim = tmp_path / "ran"
    complaints(f'x: !!python/object/apply:os.system ["touch {victim}"]')
    complaints(f'x: !!python/object/new:os.system ["touch {victim}"]')
    assert not victim.exists()


def test_very_many_problems_are_cut() -> None:
    """Of very many problems the first hundred are told, and how many more there are."""
    found = complaints(MINIMAL + "".join(f"x{number}: 1\n" for number in range(5000)))
    assert len(found) == 101
    assert found[-1].code == "more-problems"
    assert "4900 more" in found[-1].headline


@pytest.mark.parametrize("size", [10_000, 900_000])
def test_huge_scalars(size: int) -> None:
    """A huge text or number is refused where it stands, quickly."""
    for scalar in ("x" * size, "9" * size, '"' + "y" * size + '"', "1" * size + " m"):
        assert complaints(MINIMAL.replace("title: The least", f"title: {scalar}"))
        assert complaints(MINIMAL.replace("length: 5.1 m", f"length: {scalar}"))


def test_many_entries_are_fast() -> None:
    """Two hundred cables with a mistake each are read in well under three seconds."""
    cables = "".join(
        f"  c{n}: {{role: feed, frm: front, to: boot, size: 35, length: 5 m}}\n" for n in range(190)
    )
    found = complaints(MINIMAL.replace("cables:\n", "cables:\n" + cables))
    assert {"unknown-key", "bare-number"} <= {d.code for d in found}


def test_columns_count_characters() -> None:
    """Behind wide, combined and right-to-left letters a column still counts characters."""
    text = MINIMAL.replace("title: The least", 'title: "日本語 שלום e\u0301", stag: x')
    [typo] = [d for d in complaints(text) if d.code == "unknown-key"]
    assert typo.where is not None
    assert typo.where.text[typo.where.column - 1 :].startswith("stag: x")
