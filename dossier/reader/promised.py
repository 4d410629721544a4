"""Figures that are a promise, rounded to the safe side in one place: how long it plays, and what is to spare."""

from __future__ import annotations

import math


def minutes(seconds: float) -> str:
    """A finite time as a workshop says it, rounded down: seconds, minutes, or hours and minutes."""
    if seconds < 120:
        return f"{math.floor(seconds)} s"
    whole = math.floor(seconds / 60)
    return f"{whole} min" if whole < 120 else f"{whole // 60} h {whole % 60:02d} min"


def spare(amperes: float) -> str:
    """A finite balance in whole amperes with its sign, rounded down: less to spare, more that is taken."""
    whole = math.floor(amperes + 1e-9)
    return f"{whole:+d}" if whole else "0"
