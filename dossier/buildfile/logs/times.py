"""The times of a log: a column of seconds or of times of day, or an index and the interval that the head states."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise

from dossier.buildfile.logs.cells import INDEX_WORDS, UNITS, clock, number
from dossier.buildfile.logs.layout import Layout
from dossier.buildfile.logs.log import LEAST_ROWS, Lines

_TIME_WORDS = ("time", "zeit", "temps", "tijd", "elapsed", "timestamp", "seconds", "t")
_MIDNIGHT = 43_200.0  # s that a time of day must fall by to be the next day's
LEAST_TIMES = 3  # different ones, where a clock repeats itself


def time_columns(text: Lines, layout: Layout) -> tuple[tuple[int, ...], tuple[float, ...], str]:
    """The columns that hold times or count the rows, the times [s from the first row], and in words.

    Raises:
        LogError: no times can be told, they fall, or they stand still.
    """
    index = _index_column(layout)
    counts = () if index is None else (index,)
    columns = [k for k in _columns(layout) if k not in counts]
    if not columns and layout.interval is not None:
        t = tuple(layout.interval * k for k in range(len(layout.rows)))
        return counts, t, f"an interval of {layout.interval:g} s from the head"
    if not columns:
        raise text.refused(
            "log-no-time", "no column shows a time, and the head states no sample interval", layout.rows[0][0],
            expected="a column of seconds or of times of day, or a line such as `interval: 0.1 s` above the numbers",
        )  # fmt: skip
    first, *others = (_times(text, layout, k) for k in columns)
    near = 1e-3 * (first[-1] - first[0])
    apart = [
        k for k, t in zip(columns[1:], others, strict=True)
        if max(abs(a - b) for a, b in zip(t, first, strict=True)) > near
    ]  # fmt: skip
    if apart:
        raise text.refused(
            "log-no-time", f"column {apart[0] + 1} is a second clock that differs from the first", layout.rows[0][0],
            expected="one clock for all columns", fix="export the channels on one time base, or each to a file",
        )  # fmt: skip
    return (*columns, *counts), first, f"times in `{layout.names[columns[0]]}`"


def _columns(layout: Layout) -> list[int]:
    """Columns of times: by unit, else by name, else of times of day, else the first if it rises and is not named."""
    width = range(len(layout.names))
    units = [k for k in width if layout.units[k] and UNITS[layout.units[k]][0] == "time"]
    if units:
        return units
    words = [re.split(r"[^a-zäöü]+", layout.names[k].casefold())[0] for k in width]
    named = [k for k in width if words[k] in _TIME_WORDS and not layout.units[k]]
    for found in (named, [k for k in width if all(math.isfinite(clock(r[k])) for _, r in layout.rows[:LEAST_ROWS])]):
        if found:
            return found
    for k in width:
        values = [number(row[k], layout.comma) for _, row in layout.rows]
        if not layout.units[k] and all(b > a for a, b in pairwise(values)):
            return [k]
    named = [k for k in width if not words[k] or words[k] == "column"]
    return named[:1] if layout.interval is None and named[:1] == [0] else []


def _index_column(layout: Layout) -> int | None:
    """The column that counts the rows: named so, or without a name where the head states the interval."""
    word = re.split(r"[^a-zäöü]+", layout.names[0].casefold())[0]
    if layout.units[0] or word in _TIME_WORDS:
        return None
    values = [number(row[0], layout.comma) for _, row in layout.rows]
    counts = all(abs(b - a - 1.0) < 1e-9 for a, b in pairwise(values))
    return 0 if counts and (word in INDEX_WORDS or layout.interval is not None) else None


def _times(text: Lines, layout: Layout, column: int) -> tuple[float, ...]:
    unit = layout.units[column]
    factor = UNITS[unit][1] if unit else 1.0
    times: list[float] = []
    days = 0.0
    for line, row in layout.rows:
        seconds = number(row[column], layout.comma) * factor
        if math.isnan(seconds):
            seconds = clock(row[column]) + days
            if times and times[-1] - seconds > _MIDNIGHT and seconds < days + 86400.0:
                days, seconds = days + 86400.0, seconds + 86400.0
        if math.isnan(seconds):
            raise text.refused(
                "log-no-time", f"`{row[column].strip()[:40]}` is not a time", line,
                expected="seconds, or a time of day such as `12:30:05.25`",
            )  # fmt: skip
        if times and seconds < times[-1]:
            raise text.refused(
                "log-time-falls", f"the time goes back, from {times[-1]:g} to {seconds:g} s", line,
                expected="times that rise from line to line",
                fix=f"if column {column + 1} is no time, name the column that is: `time [s]`",
            )  # fmt: skip
        times.append(seconds)
    spread = _spread(text, layout, times)
    return tuple(s - spread[0] for s in spread)


def _spread(text: Lines, layout: Layout, times: Sequence[float]) -> list[float]:
    """Rows of the same time, evenly over the step to the next: a clock that shows whole seconds repeats itself.

    Raises:
        LogError: the time stands still, for good or for far more rows than elsewhere.
    """
    starts = [k for k in range(len(times)) if k == 0 or times[k] - times[k - 1] > 1e-9]
    ends = [*starts[1:], len(times)]
    sizes = [b - a for a, b in zip(starts, ends, strict=True)]
    usual = sorted(sizes)[len(sizes) // 2]
    longest = max(range(len(sizes)), key=sizes.__getitem__)
    if sizes[longest] > 1 and (len(starts) < LEAST_TIMES or sizes[longest] > 2 * usual + 1):
        raise text.refused(
            "log-time-stands", f"the time stands still at {times[starts[longest]]:g} s for {sizes[longest]} lines",
            layout.rows[starts[longest] + 1][0], expected="times that rise from line to line, or with every second",
            fix="choose a finer time stamp in the logger, or export with the sample interval in the head",
        )  # fmt: skip
    result = list(times)
    for start, end in zip(starts, ends, strict=True):
        count = end - start
        step = times[end] - times[start] if end < len(times) else times[start] - times[start - 1]
        for i in range(1, count):
            result[start + i] = times[start] + step * i / count
    return result
