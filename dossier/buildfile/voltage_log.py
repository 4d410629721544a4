"""A CSV log of voltages and currents to columns in SI: delimiter, decimal comma, header, units and times worked out."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from dossier.diagnostic import Diagnostic, Place, Severity

MAXIMUM_BYTES = 20_000_000
MAXIMUM_ROWS = 500_000
MAXIMUM_COLUMNS = 64
LEAST_ROWS = 10
_LOOKED_AT = 60  # lines from which the delimiter is told
_DELIMITERS = ("\t", ";", ",", "|")
_UNIT = re.compile(r"[\[(/ ]\s*(mV|V|mA|kA|A|µs|us|ms|s|sec|min|h)\s*[\])]?\s*$")
_FACTORS = {
    "mV": ("voltage", 1e-3), "V": ("voltage", 1.0), "mA": ("current", 1e-3), "A": ("current", 1.0),
    "kA": ("current", 1e3), "µs": ("time", 1e-6), "us": ("time", 1e-6), "ms": ("time", 1e-3), "s": ("time", 1.0),
    "sec": ("time", 1.0), "min": ("time", 60.0), "h": ("time", 3600.0),
}  # fmt: skip
_TIME_WORDS = ("time", "zeit", "temps", "tijd", "elapsed", "timestamp", "seconds", "t")
_MISSING = {"", "-", "--", "---", "nan", "na", "n/a", "ol", "o.l", "overload", "inf", "-inf", "null"}
_CLOCK = re.compile(r"(?:(\d{4}-\d{2}-\d{2})[T ])?(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?Z?")


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
    words: str  # how it was read: delimiter, decimal sign, time column


class LogError(Exception):
    """A log that cannot be used."""

    def __init__(self, *diagnostics: Diagnostic) -> None:
        super().__init__(diagnostics[0].headline)
        self.diagnostics = diagnostics


def read_log(data: bytes, file: str) -> VoltageLog:
    """Read a log.

    Args:
        data: the bytes of the file.
        file: what positions call it.

    Raises:
        LogError: with what is wrong and where.
    """
    lines = _text(data, file).splitlines()
    delimiter = _delimiter(lines)
    if delimiter is None:
        raise _refused(
            "log-no-columns",
            "the file has no line with two or more numbers",
            file,
            lines,
            1,
            expected="a column of times and one or more of voltages, separated by `;`, `,` or tabs",
        )
    rows = _rows(lines, delimiter, file)
    comma = delimiter != "," and any(re.fullmatch(r"\s*[+-]?\d+,\d+\s*", cell) for _, row in rows for cell in row)
    first = next((k for k, (_, row) in enumerate(rows) if _counts(row, comma) >= 2), None)
    if first is None:
        raise _refused("log-no-columns", "no line holds two or more numbers", file, lines, 1)
    width = len(rows[first][1])
    names, units = _head(rows[:first], width)
    body = [(n, row) for n, row in rows[first:] if any(cell.strip() for cell in row)]
    for number, row in body:
        if len(row) != width:
            fix = "where the decimal sign is a comma, export with `;` between the columns" if delimiter == "," else ""
            raise _refused(
                "log-uneven",
                f"this line has {len(row)} columns, the first with numbers has {width}",
                file,
                lines,
                number,
                expected="the same number of columns in every line",
                fix=fix,
            )
    if len(body) < LEAST_ROWS:
        raise _refused(
            "log-too-short",
            f"only {len(body)} lines of numbers",
            file,
            lines,
            len(lines),
            expected=f"at least {LEAST_ROWS}",
        )
    time = _time_column(names, units, body, comma)
    t = _times(body, time, units[time], comma, file, lines)
    columns = tuple(
        _column(names[k], units[k], [row[k] for _, row in body], comma) for k in range(width) if k != time
    )
    known = tuple(c for c in columns if any(math.isfinite(v) for v in c.values))
    if not known:
        raise _refused("log-no-columns", "no column beside the times holds numbers", file, lines, body[0][0])
    shown = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "bar"}[delimiter]
    sign = "comma" if comma else "point"
    return VoltageLog(
        t, known, f"{len(t)} rows, columns separated by {shown}, decimal {sign}, times in `{names[time]}`"
    )


def _text(data: bytes, file: str) -> str:
    if len(data) > MAXIMUM_BYTES:
        raise LogError(
            _problem(
                "log-too-large",
                f"the log has {len(data) / 1e6:.0f} MB",
                Place(file, 1, 1, ""),
                expected=f"at most {MAXIMUM_BYTES / 1e6:.0f} MB",
                fix="export a shorter stretch",
            )
        )
    for encoding in ("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise LogError(
        _problem(
            "log-not-text",
            "the log is not a text file",
            Place(file, 1, 1, ""),
            expected="a CSV file",
            fix="export as CSV",
        )
    )


def _delimiter(lines: Sequence[str]) -> str | None:
    """The delimiter by which most of the first lines fall into the same number (two or more) of number columns."""
    best: tuple[int, str] | None = None
    for delimiter in _DELIMITERS:
        comma = delimiter != ","
        counts = [_counts(line.split(delimiter), comma) for line in lines[:_LOOKED_AT]]
        good = sum(count >= 2 for count in counts)
        if good and (best is None or good > best[0]):
            best = (good, delimiter)
    return best[1] if best else None


def _rows(lines: Sequence[str], delimiter: str, file: str) -> list[tuple[int, list[str]]]:
    if len(lines) > MAXIMUM_ROWS:
        raise LogError(
            _problem(
                "log-too-large",
                f"the log has {len(lines)} lines",
                Place(file, 1, 1, ""),
                expected=f"at most {MAXIMUM_ROWS}",
                fix="export a shorter stretch",
            )
        )
    rows = []
    for number, line in enumerate(lines, start=1):
        if line.strip() and not line.lstrip().startswith("#"):
            row = next(csv.reader(io.StringIO(line), delimiter=delimiter), [])
            if len(row) > MAXIMUM_COLUMNS:
                raise _refused(
                    "log-too-large",
                    f"this line has {len(row)} columns",
                    file,
                    lines,
                    number,
                    expected=f"at most {MAXIMUM_COLUMNS}",
                )
            rows.append((number, row))
    return rows


def _counts(row: Sequence[str], comma: bool) -> int:
    return sum(math.isfinite(_number(cell, comma)) or bool(_CLOCK.fullmatch(cell.strip())) for cell in row)


def _number(cell: str, comma: bool) -> float:
    """Value of a cell, NaN where it is none."""
    text = cell.strip().strip('"').replace("\u2212", "-")
    text = re.sub(r"\s*(mV|V|mA|A|s|ms)$", "", text)
    if comma:
        text = text.replace(".", "").replace(",", ".") if "," in text else text
    if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", text):
        return math.nan
    return float(text)


def _head(before: Sequence[tuple[int, list[str]]], width: int) -> tuple[list[str], list[str]]:
    """Names and units from the lines above the numbers; a line of units alone may stand under the names."""
    wide = [row for _, row in before if len(row) == width]
    units = [""] * width
    if len(wide) > 1 and all(cell.strip(" []()") in _FACTORS or not cell.strip() for cell in wide[-1]):
        units = [cell.strip(" []()") for cell in wide.pop()]
    names = [cell.strip().strip('"') for cell in wide[-1]] if wide else [f"column {k + 1}" for k in range(width)]
    for k, name in enumerate(names):
        found = _UNIT.search(name)
        if found and not units[k]:
            units[k], names[k] = found[1], name[: found.start()].strip() or name
    return names, units


def _time_column(names: list[str], units: list[str], body: list[tuple[int, list[str]]], comma: bool) -> int:
    for k, unit in enumerate(units):
        if unit and _FACTORS[unit][0] == "time":
            return k
    for k, name in enumerate(names):
        if re.split(r"[^a-zäöü]+", name.casefold())[0] in _TIME_WORDS:
            return k
    for k in range(len(names)):
        if all(_CLOCK.fullmatch(row[k].strip()) for _, row in body[:LEAST_ROWS]):
            return k
    return 0


def _times(
    body: list[tuple[int, list[str]]], column: int, unit: str, comma: bool, file: str, lines: Sequence[str]
) -> tuple[float, ...]:
    factor = _FACTORS[unit][1] if unit and _FACTORS[unit][0] == "time" else 1.0
    times: list[float] = []
    for number, row in body:
        seconds = _clock(row[column], comma)
        if math.isnan(seconds):
            seconds = _number(row[column], comma) * factor
        if math.isnan(seconds):
            raise _refused(
                "log-no-time",
                f"`{row[column].strip()[:40]}` is not a time",
                file,
                lines,
                number,
                expected="seconds, or a time of day such as `12:30:05.25`",
            )
        if times and seconds < times[-1]:
            raise _refused(
                "log-time-falls",
                f"the time goes back, from {times[-1]:g} to {seconds:g} s",
                file,
                lines,
                number,
                expected="times that rise from line to line",
            )
        times.append(seconds)
    spread = _spread(times)  # clocks that show whole seconds only repeat themselves
    return tuple(s - spread[0] for s in spread)


def _spread(times: list[float]) -> list[float]:
    """Rows of the same time, evenly over the step to the next."""
    result, k = list(times), 0
    while k < len(times):
        end = k
        while end + 1 < len(times) and times[end + 1] - times[k] < 1e-9:
            end += 1
        count = end - k + 1
        if count > 1:
            step = times[end + 1] - times[k] if end + 1 < len(times) else times[k] - times[k - 1] if k else 1.0
            for i in range(count):
                result[k + i] = times[k] + step * i / count
        k = end + 1
    return result


def _clock(cell: str, comma: bool) -> float:
    found = _CLOCK.fullmatch(cell.strip().strip('"'))
    if not found:
        return math.nan
    day = datetime.fromisoformat(found[1]).toordinal() * 86400.0 if found[1] else 0.0
    seconds = float((found[4] or "0").replace(",", "."))
    return day + 3600.0 * int(found[2]) + 60.0 * int(found[3]) + seconds


def _column(name: str, unit: str, cells: list[str], comma: bool) -> LogColumn:
    kind, factor = _FACTORS.get(unit, ("unknown", 1.0))
    # an "amp" is an amplifier as often as an ampere: of itself it says nothing
    if kind == "unknown" and re.search(r"\b(volts?|voltage|spannung|v|u)\b", name.casefold()):
        kind = "voltage"
    if kind == "unknown" and re.search(r"\b(current|amperes?|strom|clamp|i)\b", name.casefold()):
        kind = "current"
    values = tuple(math.nan if c.strip().casefold() in _MISSING else _number(c, comma) * factor for c in cells)
    return LogColumn(name, kind, values)


def _refused(
    code: str, headline: str, file: str, lines: Sequence[str], number: int, expected: str = "", fix: str = ""
) -> LogError:
    text = lines[number - 1][:300] if 0 < number <= len(lines) else ""
    return LogError(_problem(code, headline, Place(file, number, 1, text, max(1, min(len(text), 60))), expected, fix))


def _problem(code: str, headline: str, where: Place, expected: str = "", fix: str = "") -> Diagnostic:
    return Diagnostic(code, Severity.ERROR, headline, where=where, expected=expected, fix=fix)
