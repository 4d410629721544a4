"""Diagnostics on the terminal: position, line, caret, help; nothing a file contains can act on the terminal."""

from __future__ import annotations

import io
import re

import pytest

from dossier.cli.terminal import columns, render, terminal, visible
from dossier.diagnostic import Diagnostic, Place, Severity

SGR = re.compile("\x1b\\[[0-9;]*m")


def complaint(text: str, column: int, width: int = 1, *, expected: str = "", fix: str = "") -> Diagnostic:
    """An error at a place in a line."""
    where = Place("van.yaml", 12, column, text, width)
    return Diagnostic(
        "bare-number", Severity.ERROR, "`length` has no unit: `5`", "cables.feed.length", where, expected, fix=fix
    )


def caret_row(shown: str) -> tuple[str, str]:
    """The line shown and the row of carets, both behind the gutter."""
    rows = [row.split(" | ", 1)[1] for row in shown.split("\n") if " | " in row]
    assert len(rows) == 2
    return rows[0], rows[1]


def test_full() -> None:
    """In full: severity, code and sentence; place; line and caret; what was expected; the cure."""
    shown = render(complaint("  feed: {length: 5}", 18, expected="a length", fix="write `5 m`"))
    assert shown.split("\n") == [
        "error[bare-number]: `length` has no unit: `5`",
        "  --> van.yaml:12:18",
        " 12 |   feed: {length: 5}",
        "    |                  ^",
        "    expected: a length",
        "    fix: write `5 m`",
    ]


def test_concise() -> None:
    """On one line: place, severity, code, sentence."""
    shown = render(complaint("  feed: {length: 5}", 18, fix="write `5 m`"), "concise")
    assert shown == "van.yaml:12:18: error[bare-number]: `length` has no unit: `5`"


def test_finding() -> None:
    """A finding shows its consequence and source; without a place it has no snippet."""
    finding = Diagnostic(
        "fuse-too-big", Severity.STOP, "The fuse is too big", consequence="fire", source="common practice"
    )
    assert render(finding) == "\n".join(
        ["stop[fuse-too-big]: The fuse is too big", "   consequence: fire", "   source: common practice"]
    ).replace("   c", "   c")
    assert render(finding, "concise") == "stop[fuse-too-big]: The fuse is too big"


@pytest.mark.parametrize("style", ["full", "concise"])
@pytest.mark.parametrize("severity", Severity)
def test_colour_is_not_the_only_carrier(severity: Severity, style: str) -> None:
    """Without its colours the painted text is the plain text."""
    diagnostic = Diagnostic("a-code", severity, "A sentence", where=Place("f", 1, 1, "text"), fix="x")
    painted = render(diagnostic, style, colour=True)
    assert SGR.search(painted)
    assert SGR.sub("", painted) == render(diagnostic, style)
    assert severity.word in painted


@pytest.mark.parametrize(
    ("text", "column", "before"),
    [
        ("\tlength: 5", 10, 4 + 8),  # a tab is drawn four wide
        ("日本: 5", 5, 6),  # wide letters take two columns (UAX 11)
        ("e\u0301: 5", 5, 3),  # a combining accent takes none
        ("\x07: 5", 4, 10),  # a control character is spelt out: <U+0007>
        ("שלום: 5", 7, 6),
    ],
)
def test_caret_stands_below(text: str, column: int, before: int) -> None:
    """The caret stands below what it marks, whatever stands before it."""
    line, carets = caret_row(render(complaint(text, column)))
    assert carets.index("^") == before
    assert columns(line[: line.rindex("5")]) == before


@pytest.mark.parametrize("width", [40, 60, 80, 200])
@pytest.mark.parametrize("column", [1, 30, 500, 980, 1000])
def test_long_line_is_windowed(width: int, column: int) -> None:
    """Of a long line a window around the caret is shown that fits the terminal."""
    text = "".join(f"{n:04d}-" for n in range(200))
    line, carets = caret_row(render(complaint(text, column, 3), width=width))
    assert columns(line) + 6 <= width
    at = carets.index("^")
    assert line[at] == text[column - 1]
    assert ("..." in line) == (width < 1000)


def test_long_mark_is_cut() -> None:
    """A mark longer than the terminal does not push the line out of it."""
    line, carets = caret_row(render(complaint("a: " + "x" * 5000, 4, 5000), width=80))
    assert columns(line) <= 74
    assert len(carets) <= 74


def test_nothing_acts_on_the_terminal() -> None:
    """Escape sequences and reordering characters of a file are spelt out everywhere."""
    evil = "\x1b[2J\x9b1m\u202e\u2066\r\n\x00\x7f\ufeff"
    diagnostic = Diagnostic(
        "x", Severity.ERROR, evil, "", Place(evil, 1, 1, evil + "x", 3), expected=evil, fix=evil, source=evil
    )
    for style in ("full", "concise"):
        shown = render(diagnostic, style)
        assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufeff]", shown)
        assert "<U+001B>" in shown
    assert "\n" not in render(diagnostic, "concise")
    assert visible("aé日") == "aé日"


def test_long_help_is_wrapped() -> None:
    """A long explanation is wrapped below its first word."""
    shown = render(complaint("x", 1, expected="word " * 40), width=60)
    rows = [row for row in shown.split("\n") if "word" in row]
    assert len(rows) > 3
    assert all(len(row) <= 60 for row in rows)
    assert {row.index("word") for row in rows} == {rows[0].index("word")}


def test_empty_line_has_no_snippet() -> None:
    """At the end of a file there is no line to show."""
    assert " | " not in render(complaint("", 1))


def test_colour_only_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Colour goes to terminals only, and not where NO_COLOR is set (no-color.org) or the terminal is dumb."""

    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert terminal(Terminal())[0]
    assert not terminal(io.StringIO())[0]
    monkeypatch.setenv("NO_COLOR", "1")
    assert not terminal(Terminal())[0]
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not terminal(Terminal())[0]
    monkeypatch.setenv("COLUMNS", "72")
    assert terminal(Terminal())[1] == 72
