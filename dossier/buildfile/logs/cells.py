"""What stands in a cell of a log: a number with either decimal sign, a time of day, the name of a unit."""

from __future__ import annotations

import math
import re
from datetime import date

_FACTORS = {
    "voltage": {1.0: "v volt volts", 1e-3: "mv millivolt millivolts"},
    "current": {1.0: "a amp amps ampere amperes", 1e-3: "ma milliampere milliamperes", 1e3: "ka"},
    "time": {
        1.0: "s sec secs second seconds sekunde sekunden seconde secondes", 1e-3: "ms millisecond milliseconds",
        1e-6: "us µs μs microsecond microseconds", 1e-9: "ns", 60.0: "min minute minutes", 3600.0: "h hour hours",
    },
}  # fmt: skip
UNITS = {
    word: (kind, factor) for kind, of in _FACTORS.items() for factor, words in of.items() for word in words.split()
}
INDEX_WORDS = ("index", "sample", "samples", "sequence", "no", "nr", "number", "point", "scan", "record", "x", "n")
_BARE = ("V", "mV", "A", "mA", "kA", "s", "ms", "us", "µs", "sec", "min", "h")
_BEHIND = re.compile(r"\s*(?:mV|V|mA|kA|A|s|ms|Hz|kHz)$")
_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
_COMMA = re.compile(r"\s*[+-]?\d+,\d+([eE][+-]?\d{1,3})?\s*")
_CLOCK = re.compile(
    r"(?:(\d{4}-\d{2}-\d{2})[T ]|\d{1,4}[./-]\d{1,2}[./-]\d{1,4},? )?(\d{1,2}):(\d{2})(?::(\d{2}(?:[.,:]\d+)?))?"
    r" ?([AaPp][Mm])?Z?"
)
# What instruments write for "no value": words, and the numbers of IEEE 488.2 / SCPI-99 for infinite and not a number
MISSING = {"", "-", "--", "---", "nan", "na", "n/a", "ol", "o.l", "overload", "overflow", "inf", "-inf", "null"}
_NO_NUMBER = 9e36


def number(cell: str, comma: bool) -> float:
    """Value of a cell, NaN where it is none; with ``comma`` the decimal sign may be one."""
    if not comma and cell.isascii() and "_" not in cell:  # the usual case, at the pace of the machine
        try:
            value = float(cell)
        except ValueError:
            pass
        else:
            return value if abs(value) < _NO_NUMBER else math.nan
    text = cell.strip().strip('"').replace("\u2212", "-")
    if comma and "," in text:
        text = text.replace(".", "").replace(",", ".")
    if not _PLAIN.fullmatch(text):
        text = _BEHIND.sub("", text)
        if not _PLAIN.fullmatch(text):
            return math.nan
    value = float(text)
    return value if abs(value) < _NO_NUMBER else math.nan


def has_comma(cell: str) -> bool:
    """Whether a cell is a number with a decimal comma."""
    return "," in cell and bool(_COMMA.fullmatch(cell.strip('"')))


def clock(cell: str) -> float:
    """Seconds of a time of day, with its day where that is written the way ISO 8601 has it; NaN where it is none."""
    found = _CLOCK.fullmatch(cell.strip().strip('"'))
    if not found:
        return math.nan
    try:
        day = date.fromisoformat(found[1]).toordinal() * 86400.0 if found[1] else 0.0
    except ValueError:
        return math.nan
    hours = int(found[2]) % 12 + (12 if found[5].casefold() == "pm" else 0) if found[5] else int(found[2])
    seconds = float(re.sub("[,:]", ".", found[4] or "0"))
    return day + 3600.0 * hours + 60.0 * int(found[3]) + seconds


def is_value(cell: str, comma: bool) -> bool:
    """Whether a cell is a number or a time of day."""
    return math.isfinite(number(cell, comma)) or math.isfinite(clock(cell))


def unit_in(cell: str) -> str:
    """The unit that a cell of its own names, bracketed or not; empty where it names none."""
    word = cell.strip(' "[]()').casefold()
    return word if word in UNITS else ""


def split_name(cell: str) -> tuple[str, str]:
    """Name and unit of a head such as ``U amp [mV]``, ``U_amp(V)``, ``time/s`` or ``time s``."""
    name = cell.strip().strip('"').strip()
    found = re.search(r"[\[(/ ,]\s*([A-Za-zµμ]+)\s*[\])]?\s*$", name)
    unit = unit_in(found[1]) if found else ""
    if not found or not unit:
        return name, ""
    if name[found.start()] not in "[(":  # "body volts", "bass amp" and "channel A" are names
        before = name[: found.start()].casefold().split()[-1:]
        if found[1] not in _BARE or before in (["ch"], ["channel"], ["input"]):
            return name, ""
    return name[: found.start()].strip(" ,") or name, unit
