"""The table at the end of a call with several builds: for people, as CSV, as JSON."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from typing import Any

from dossier.cli.one_build import Written
from dossier.cli.terminal import columns, visible

FORMAT = 1
_HEAD = ("build", "exit", "verdict", "worst mean", "stop", "caution", "note", "time")


def as_table(every: Sequence[Written], width: int) -> str:
    """A table for the terminal, no wider than ``width`` columns where that can be."""
    rows = [
        (
            visible(one.path.name), str(one.code), visible(one.verdict), one.volts,
            *(str(count) if not one.problems else "" for count in one.counts), f"{one.seconds:.1f} s",
        )
        for one in every
    ]
    widths = [max(columns(row[i]) for row in (_HEAD, *rows)) for i in range(len(_HEAD))]
    verdict = _HEAD.index("verdict")
    room = width - sum(widths) - 2 * (len(widths) - 1) + widths[verdict]
    widths[verdict] = max(24, min(widths[verdict], room))
    return "\n".join(_line(row, widths) for row in (_HEAD, *rows))


def as_csv(every: Sequence[Written]) -> str:
    """Comma-separated values (RFC 4180) with a head line."""
    out = io.StringIO()
    rows = [_plain(one) for one in every]
    writer = csv.DictWriter(out, fieldnames=list(rows[0]), lineterminator="\r\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({key: _safe(value) for key, value in row.items()})
    return out.getvalue()


def as_json(every: Sequence[Written]) -> str:
    """One JSON object."""
    tree = {"format": FORMAT, "exit": max(int(one.code) for one in every), "builds": [_plain(one) for one in every]}
    return json.dumps(tree, ensure_ascii=False, indent=1) + "\n"


def _plain(one: Written) -> dict[str, Any]:
    stop, caution, note = one.counts
    return {
        "build": str(one.path),
        "exit": int(one.code),
        "severity": one.severity,
        "verdict": one.verdict,
        "worst_mean_v": None if one.worst_v is None else round(one.worst_v, 3),
        "worst_load_case": one.worst_case,
        "collapses": one.collapses,
        "stop": stop,
        "caution": caution,
        "note": note,
        "pdf": next((str(file) for file in one.files if file.suffix == ".pdf"), None),
        "seconds": round(one.seconds, 2),
    }


def _safe(value: Any) -> Any:
    """A text that a spreadsheet would take for a formula gets an apostrophe before it."""
    if value is None:
        return ""
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") else value


def _line(row: tuple[str, ...], widths: list[int]) -> str:
    cells = []
    for text, width in zip(row, widths, strict=True):
        short = text if columns(text) <= width else text[: width - 1] + "…"
        cells.append(short + " " * (width - columns(short)))
    return "  ".join(cells).rstrip()
