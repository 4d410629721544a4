"""The bytes of a log to times and columns in SI."""

from __future__ import annotations

import math
import re

from dossier.buildfile.logs.cells import MISSING, UNITS, number
from dossier.buildfile.logs.layout import Layout, layout_of, text_of
from dossier.buildfile.logs.log import Lines, LogColumn, VoltageLog
from dossier.buildfile.logs.times import time_columns

_LEAST_FILLED = 0.3  # of the rows; settings beside the first rows are no channel


def read_log(data: bytes, file: str) -> VoltageLog:
    """Read a log.

    Args:
        data: the bytes of the file.
        file: what positions call it.

    Raises:
        LogError: with what is wrong and where.
    """
    text = text_of(data, file)
    layout = layout_of(text)
    times, t, told = time_columns(text, layout)
    columns = [_column(layout, k) for k in range(len(layout.names)) if k not in times]
    known = tuple(c for c in columns if sum(map(math.isfinite, c.values)) >= _LEAST_FILLED * len(t))
    if not known:
        raise text.refused("log-no-columns", "no column beside the times holds numbers", layout.rows[0][0])
    _each_by_its_name(text, layout, known)
    return VoltageLog(t, known, f"{len(t)} rows, {layout.words}, {told}")


def _each_by_its_name(text: Lines, layout: Layout, columns: tuple[LogColumn, ...]) -> None:
    names = [(c.name, c.kind) for c in columns]  # a place has volts and amperes
    twice = next((name for name, kind in names if names.count((name, kind)) > 1), None)
    if twice is not None:
        head = next((k for k, line in enumerate(text.lines, 1) if line.count(twice) > 1), layout.rows[0][0])
        raise text.refused(
            "log-columns-alike", f"two columns are called `{twice[:60]}`", head, text.lines[head - 1].find(twice) + 1,
            expected="a name of its own for every column", fix="rename one of them in the head of the log",
        )  # fmt: skip


def _column(layout: Layout, index: int) -> LogColumn:
    name, unit = layout.names[index], layout.units[index]
    kind, factor = UNITS.get(unit, ("unknown", 1.0))
    # an "amp" is an amplifier as often as an ampere: of itself it says nothing
    if kind == "unknown" and re.search(r"\b(volts?|voltage|spannung|v|u)\b", name.casefold()):
        kind = "voltage"
    if kind == "unknown" and re.search(r"\b(current|amperes?|strom|clamp|i)\b", name.casefold()):
        kind = "current"
    cells = (row[index] for _, row in layout.rows)
    values = (math.nan if c.strip().casefold() in MISSING else number(c, layout.comma) * factor for c in cells)
    return LogColumn(name, kind, tuple(values))
