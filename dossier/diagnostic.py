"""One value type for every complaint: of the build file, of the installation, of ourselves."""

from __future__ import annotations

from enum import IntEnum

from dossier.frozen import dataclass


class Severity(IntEnum):
    """How much a complaint weighs; larger is worse."""

    OK = 0
    NOTE = 1
    CAUTION = 2  # works, but outside good practice, or not known well enough
    STOP = 3  # do not energise
    ERROR = 4  # the build file itself cannot be used

    @property
    def word(self) -> str:
        """The word printed for this severity."""
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Place:
    """A position in a text file.

    Attributes:
        file: path as the user gave it.
        line: line number, from 1.
        column: column number, from 1.
        text: the whole offending line, without its line end.
        width: how many characters the caret line marks, at least 1.
    """

    file: str
    line: int
    column: int
    text: str
    width: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """One complaint.

    Attributes:
        code: stable kebab-case code, for example ``fuse-above-ampacity``.
        severity: how much it weighs.
        headline: the sentence, with its numbers.
        path: dotted path in the build file, for example ``cables.main_feed.fuses.front``; may be empty.
        where: position in the build file, once known.
        expected: what would have been right (for errors of the build file).
        consequence: what follows if nothing is done (for findings).
        fix: what would cure it.
        source: published source, or "common practice".
        title: of the rule, in a few words (for findings).
        missing: it is about a file that is not there.
    """

    code: str
    severity: Severity
    headline: str
    path: str = ""
    where: Place | None = None
    expected: str = ""
    consequence: str = ""
    fix: str = ""
    source: str = ""
    title: str = ""
    missing: bool = False
