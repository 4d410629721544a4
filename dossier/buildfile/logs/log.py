"""What a log is once it is read, and the one way to refuse it."""

from __future__ import annotations

from collections.abc import Sequence

from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.frozen import dataclass

MAXIMUM_BYTES = 20_000_000
MAXIMUM_ROWS = 500_000
MAXIMUM_COLUMNS = 64
MAXIMUM_CELL = 1_000  # characters; a number has twenty, a remark in a cell some hundred
LEAST_ROWS = 10


@dataclass(frozen=True, slots=True)
class LogColumn:
    """One column: its name as written, what it is (voltage | current | unknown), SI values, NaN where missing."""

    name: str
    kind: str
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class VoltageLog:
    """A log: times rising [s, from its first row], and its other columns."""

    t: tuple[float, ...]
    columns: tuple[LogColumn, ...]
    words: str  # how it was read: delimiter, decimal sign, where the times come from


class LogError(Exception):
    """A log that cannot be used."""

    def __init__(self, *diagnostics: Diagnostic) -> None:
        super().__init__(diagnostics[0].headline)
        self.diagnostics = diagnostics


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a log's text and what positions call the file."""

    file: str
    lines: Sequence[str]

    def refused(
        self, code: str, headline: str, number: int = 1, column: int = 1, *, expected: str = "", fix: str = ""
    ) -> LogError:
        """The log cannot be used because of what stands in a line (from 1) from a column on."""
        text = self.lines[number - 1] if 0 < number <= len(self.lines) else ""
        width = max(1, min(len(text) - column + 1, 60))
        where = Place(self.file, max(number, 1), column, text[:300], width)
        return LogError(Diagnostic(code, Severity.ERROR, headline, where=where, expected=expected, fix=fix))
