"""Where the numbers of a log stand: text, delimiter, decimal sign, preamble, names, units, and its sample interval."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence

from dossier.buildfile.logs.cells import INDEX_WORDS, UNITS, has_comma, is_value, number, split_name, unit_in
from dossier.buildfile.logs.log import (
    LEAST_ROWS,
    MAXIMUM_BYTES,
    MAXIMUM_CELL,
    MAXIMUM_COLUMNS,
    MAXIMUM_ROWS,
    Lines,
    LogError,
)
from dossier.frozen import dataclass

_LOOKED_AT = 60  # lines of numbers from which the delimiter is told
_DELIMITERS = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "bar", " ": "spaces"}
_COMMENT = re.compile(r"\s*[#%!]+\s*")
_INTERVAL = re.compile(r"interval|increment|\bdelta[ _]?t\b|\bdt\b|sampl\w* (?:period|time)|abtastzeit", re.IGNORECASE)
_RATE = re.compile(r"(?:sampl\w*|scan|log\w*)[ _]?(?:rate|frequency)|abtastrate", re.IGNORECASE)
_QUANTITY = re.compile(r"([+-]?[\d.,]+(?:[eE][+-]?\d+)?)\s*([A-Za-zµμ/]*)")

Row = tuple[int, list[str]]  # number of the line, its cells


@dataclass(frozen=True, slots=True)
class Layout:
    """The body of a log: its rows, every one as wide, with the names and units of the columns (empty: not said).

    ``interval``: seconds between rows where the head says so; None otherwise.
    """

    rows: Sequence[Row]
    names: Sequence[str]
    units: Sequence[str]
    comma: bool
    interval: float | None
    words: str


def text_of(data: bytes, file: str) -> Lines:
    """The lines of a log.

    Raises:
        LogError: not a text, or too long.
    """
    nowhere = Lines(file, ())
    if len(data) > MAXIMUM_BYTES:
        raise nowhere.refused(
            "log-too-large", f"the log has {len(data) / 1e6:.0f} MB",
            expected=f"at most {MAXIMUM_BYTES / 1e6:.0f} MB", fix="export a shorter stretch",
        )  # fmt: skip
    for encoding in ("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return _bounded(Lines(file, re.split("\r\n|\r|\n", text)))
    raise nowhere.refused("log-not-text", "the log is not a text file", expected="a CSV file", fix="export as CSV")


def _bounded(text: Lines) -> Lines:
    if len(text.lines) > MAXIMUM_ROWS:
        raise text.refused(
            "log-too-large", f"the log has {len(text.lines)} lines",
            expected=f"at most {MAXIMUM_ROWS}", fix="export a shorter stretch",
        )  # fmt: skip
    for k, line in enumerate(text.lines, start=1):
        if len(line) <= MAXIMUM_CELL:
            continue
        for cell in re.finditer(rf"[^,;\t|]{{{MAXIMUM_CELL + 1},}}", line):
            raise text.refused(
                "log-too-large", f"this cell has {len(cell[0])} characters", k, cell.start() + 1,
                expected=f"at most {MAXIMUM_CELL}", fix="the file is damaged, or no log: export it again",
            )  # fmt: skip
    return text


def layout_of(text: Lines) -> Layout:
    """Where the numbers are and what the lines above them say.

    Raises:
        LogError: there are none, too few, or their lines differ in width.
    """
    delimiter = _delimiter(text)
    rows, comments = _rows(text, delimiter)
    comma = any(has_comma(cell) for _, row in rows for cell in row)
    filled = _filled(rows, comma)
    first = _first(rows, filled, comma)
    before = [row for _, row in [*comments, *rows[:first]]]
    interval = _interval(before, comma)
    if len(filled) < (2 if interval is None else 1):
        raise _no_columns(text)
    last = next((k for k in range(len(rows) - 1, -1, -1) if any(is_value(c, comma) for c in rows[k][1])), 0)
    body = [(n, row) for n, row in rows[first : last + 1] if any(cell.strip() for cell in row)]
    width = max((_width(row) for _, row in body[:LEAST_ROWS]), default=1)
    if width > MAXIMUM_COLUMNS:
        raise text.refused(
            "log-too-large", f"this line has {width} columns", body[0][0], expected=f"at most {MAXIMUM_COLUMNS}"
        )
    fix = "where the decimal sign is a comma, export with `;` between the columns" if delimiter == "," else ""
    for number_, row in body:
        if len(row) < width and delimiter != " " and len(row) >= width - 1 and not row[-1].strip():
            row.extend([""] * (width - len(row)))
        if len(row) != width and (len(row) < width or _width(row) > width):
            raise text.refused(
                "log-uneven", f"this line has {len(row)} columns, the first with numbers has {width}", number_,
                expected="the same number of columns in every line", fix=fix,
            )  # fmt: skip
    if len(body) < LEAST_ROWS:
        raise text.refused(
            "log-too-short", f"only {len(body)} lines of numbers", len(text.lines), expected=f"at least {LEAST_ROWS}"
        )
    names, units = _head(before, width, comma)
    words = f"columns separated by {_DELIMITERS[delimiter]}, decimal {'comma' if comma else 'point'}"
    return Layout(body, names, units, comma, interval, words)


def _no_columns(text: Lines) -> LogError:
    return text.refused(
        "log-no-columns", "no line holds two or more numbers",
        expected="a column of times and one or more of voltages, separated by `;`, `,` or tabs; or voltages alone with "
        "the sample interval above them",
    )  # fmt: skip


def _delimiter(text: Lines) -> str:
    """The delimiter by which most lines fall into the same number (two or more) of number columns.

    Of a log of one column, with its sample interval in the head, whatever stands in that head.
    """
    step = max(1, len(text.lines) // _LOOKED_AT)
    looked = [*text.lines[:_LOOKED_AT], *text.lines[_LOOKED_AT::step]]
    best: tuple[int, str] | None = None
    for delimiter in _DELIMITERS:
        comma = delimiter != ","
        cells = [line.split() if delimiter == " " else line.split(delimiter) for line in looked]
        good = sum(sum(is_value(c, comma) or has_comma(c.strip()) for c in row) >= 2 for row in cells)
        if good and (best is None or good > best[0]):
            best = (good, delimiter)
    alone = sum(has_comma(line) or math.isfinite(number(line, False)) for line in looked)
    if alone > len(looked) / 2 and any(_INTERVAL.search(line) or _RATE.search(line) for line in looked):
        return ";"
    if best is None:
        raise _no_columns(text)
    return best[1]


def _rows(text: Lines, delimiter: str) -> tuple[list[Row], list[Row]]:
    """The cells of every line, and those of the comments."""
    rows: list[Row] = []
    comments: list[Row] = []
    for k, line in enumerate(text.lines, start=1):
        if not line.strip():
            continue
        mark = _COMMENT.match(line)
        bare = line[mark.end() :] if mark else line
        try:
            if '"' in bare:
                row = next(csv.reader([bare], delimiter=delimiter, skipinitialspace=True), [])
            else:
                row = bare.split() if delimiter == " " else bare.split(delimiter)
        except csv.Error as why:
            raise text.refused("log-uneven", f"this line cannot be taken apart: {why}", k) from why
        (comments if mark else rows).append((k, row))
    return rows, comments


def _width(row: Sequence[str]) -> int:
    """Cells up to the last that holds anything."""
    return max((k + 1 for k, cell in enumerate(row) if cell.strip()), default=0)


def _filled(rows: Sequence[Row], comma: bool) -> tuple[int, ...]:
    """The columns that hold numbers in most of the log's lines; settings and remarks stand in others."""
    looked = [row for _, row in rows[:: max(1, len(rows) // (10 * _LOOKED_AT))]]
    counts = [0] * max(map(len, looked), default=0)
    for row in looked:
        for k, cell in enumerate(row):
            counts[k] += is_value(cell, comma)
    return tuple(k for k, count in enumerate(counts) if count >= max(0.5 * max(counts), 1))


def _first(rows: Sequence[Row], filled: Sequence[int], comma: bool) -> int:
    """The first row of numbers: more than half of those columns hold one."""
    for k, (_, row) in enumerate(rows):
        if sum(is_value(row[c], comma) for c in filled if c < len(row)) > 0.5 * len(filled):
            return k
    return len(rows)


def _head(before: Sequence[Sequence[str]], width: int, comma: bool) -> tuple[list[str], list[str]]:
    """Names and units from the lines above the numbers; a line of units may stand under the names, or alone."""
    wide = [row for row in before if _width(row) in (width, width - 1) or len(row) >= width > 1]
    units, names = [""] * width, [""] * width
    if wide and _names_units(wide[-1][:width]):
        units = [unit_in(cell) for cell in wide.pop()[:width]] + [""] * width
    told = wide[-1][:width] if wide else []
    if told and not _is_setting(told, comma):
        for k, cell in enumerate(told):
            names[k], unit = split_name(cell)
            units[k] = units[k] or unit
    return [name or f"column {k + 1}" for k, name in enumerate(names)], units[:width]


def _names_units(row: Sequence[str]) -> bool:
    """Whether a row holds units alone; an index has none, its cell may say what it is."""
    told = [cell for cell in row if cell.strip() and cell.strip(' "[]()').casefold() not in INDEX_WORDS]
    return bool(told) and all(unit_in(cell) for cell in told)


def _is_setting(row: Sequence[str], comma: bool) -> bool:
    """Whether a row is a setting and its value, not the names of columns; channels may be numbered."""
    values = [number(cell, comma) for cell in row]
    return any(math.isfinite(v) and (v != int(v) or not 0 <= v < 100) for v in values) or bool(
        len(row) == 2 and math.isfinite(values[1])
    )


def _interval(before: Sequence[Sequence[str]], comma: bool) -> float | None:
    """Seconds between rows as the head says: ``Interval: 100 ms``, ``Sample rate (Hz),10``, a value under its name."""
    for k, row in enumerate(before):
        for column, cell in enumerate(row):
            found = _INTERVAL.search(cell) or _RATE.search(cell)
            if not found:
                continue
            below = before[k + 1][column : column + 1] if k + 1 < len(before) else []
            for told in ([cell[found.end() :]], row[column + 1 : column + 3], below):
                quantity = _QUANTITY.search(" ".join(told))
                value = number(quantity[1], comma or "," in quantity[1]) if quantity else math.nan
                if quantity and value > 0.0:
                    bracket = re.search(r"[\[(]\s*([A-Za-zµμ/]+)", cell)
                    unit = (quantity[2] or (bracket[1] if bracket else "")).casefold()
                    if _RATE.search(cell):
                        return 1.0 / (value * (1e3 if unit.startswith("k") else 1.0))
                    kind, factor = UNITS.get(unit, ("time", 1.0))
                    return value * factor if kind == "time" else value
    return None
