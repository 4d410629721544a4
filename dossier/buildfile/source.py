"""The build file as text: read with a size cap, UTF-8 only, no invisible characters, cut into lines."""

from __future__ import annotations

import re
import stat
from pathlib import Path as FilePath

from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.frozen import dataclass

MAXIMUM_SIZE = 1024 * 1024  # bytes; a build of forty cables takes about 20 kB
MAXIMUM_PROBLEMS = 100

_LINE_END = re.compile("\r\n|\r|\n")  # as YAML 1.2 counts lines (ch. 5.4)
# Control characters except tab and line ends; the further line separators of YAML 1.1, which would move every
# line number after them; byte order marks inside the text; code points that are no characters.
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")
# Unicode Bidirectional Algorithm (UAX 9, ch. 2): embeddings, overrides, isolates reorder what a reader sees.
_BIDI = re.compile("[\u202a-\u202e\u2066-\u2069]")


class BuildFileError(Exception):
    """The build file cannot be used; carries every problem found, in the order of the file."""

    def __init__(self, diagnostics: tuple[Diagnostic, ...]) -> None:
        super().__init__("\n".join(f"{d.where or ''}: {d.headline} [{d.code}]" for d in diagnostics))
        self.diagnostics = diagnostics


@dataclass(frozen=True, slots=True)
class Source:
    """The text of a build file."""

    file: str  # path as the user gave it
    text: str  # the whole text, without a byte order mark
    lines: tuple[str, ...]  # its lines, without line ends

    def place(self, line: int, column: int, width: int = 1) -> Place:
        """A position, both numbers from 1; the end of the file stands after its last line."""
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return Place(self.file, line, column, text, max(1, width))


def error(
    code: str, headline: str, where: Place | None, *, path: str = "", expected: str = "", fix: str = ""
) -> Diagnostic:
    """A problem of the build file."""
    return Diagnostic(code, Severity.ERROR, headline, path, where, expected=expected, fix=fix)


def in_order(problems: list[Diagnostic], source: Source) -> tuple[Diagnostic, ...]:
    """Problems in the order of the file; of very many only the first."""
    ordered = sorted(problems, key=lambda p: (p.where.line, p.where.column) if p.where else (0, 0))
    if len(ordered) <= MAXIMUM_PROBLEMS:
        return tuple(ordered)
    rest = len(ordered) - MAXIMUM_PROBLEMS
    cure = "cure the first ones and check again"
    more = error("more-problems", f"{rest} more problems follow", source.place(len(source.lines), 1), fix=cure)
    return (*ordered[:MAXIMUM_PROBLEMS], more)


def read_bytes(path: FilePath) -> bytes:
    """The content of a build file.

    Raises:
        BuildFileError: it is missing, no regular file, unreadable or too large.
    """
    shown = f"`{path}`"
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            what = "a directory" if path.is_dir() else "not a regular file"
            raise BuildFileError(
                (error("not-a-file", f"{shown} is {what}", None, expected="one build file, a YAML text"),)
            )
        with path.open("rb") as stream:
            content = stream.read(MAXIMUM_SIZE + 1)
    except FileNotFoundError:
        nothing = error("file-not-found", f"there is no file {shown}", None, fix="check the name and the folder")
        raise BuildFileError((nothing,)) from None
    except (OSError, ValueError) as problem:  # ValueError: a name that no file can have
        reason = getattr(problem, "strerror", None) or str(problem)
        raise BuildFileError((error("file-not-readable", f"cannot read {shown}: {reason}", None),)) from None
    return content


def read_source(content: bytes, file: str) -> Source:
    """Text and lines of a build file.

    Raises:
        BuildFileError: too large, empty, not UTF-8, or with characters that cannot be seen.
    """
    start = Place(file, 1, 1, "")
    if len(content) > MAXIMUM_SIZE:
        too_large = error(
            "file-too-large",
            f"the file is larger than {MAXIMUM_SIZE // 1024} KiB",
            start,
            expected="a build file; even a large installation takes less than 100 KiB",
        )
        raise BuildFileError((too_large,))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise BuildFileError((_not_utf8(content, problem.start, file),)) from None
    source = Source(file, text, tuple(_LINE_END.split(text)))
    if problems := _invisible(source):
        raise BuildFileError(tuple(problems))
    if not text.strip():
        empty = error("empty-file", "the file is empty", start, expected="a build file that begins with `format: 1`")
        raise BuildFileError((empty,))
    return source


def _not_utf8(content: bytes, offset: int, file: str) -> Diagnostic:
    before = content[:offset].decode("utf-8-sig", "replace")
    lines = _LINE_END.split(before)
    wide = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    return error(
        "not-utf8",
        "the file is not UTF-8 text" + (" but UTF-16" if wide else f" (byte {content[offset]:#04x})"),
        Place(file, len(lines), len(lines[-1]) + 1, ""),
        expected="a YAML text saved as UTF-8",
        fix="save the file again with the encoding UTF-8",
    )


def _invisible(source: Source) -> list[Diagnostic]:
    """The first control character and the first reordering character, if any."""
    problems = []
    for code, found, what in (
        ("control-character", _CONTROL.search(source.text), "a control character"),
        ("reordering-character", _BIDI.search(source.text), "a character that reorders the text around it"),
    ):
        if found:
            before = _LINE_END.split(source.text[: found.start()])
            where = source.place(len(before), len(before[-1]) + 1)
            headline = f"the file contains {what}, U+{ord(found[0]):04X}"
            expected = "text in which everything can be seen"
            problems.append(error(code, headline, where, expected=expected, fix="delete the character"))
    return problems


def hidden_character(text: str) -> str:
    """The first character of a decoded scalar that cannot be seen, as `U+0007`, or an empty text."""
    found = _CONTROL.search(text) or _BIDI.search(text)
    return f"U+{ord(found[0]):04X}" if found else ""
