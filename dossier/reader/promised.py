"""Figures that are a promise, rounded to the safe side in one place: how long it plays, and what is to spare."""

from __future__ import annotations

import math


def minutes(seconds: float, *, up: bool = False) -> str:
    """A finite time as a workshop says it: seconds, minutes, or hours and minutes.

    Args:
        seconds: [s].
        up: rounded up, for a time that has to be waited; otherwise down, for one that is promised.
    """
    to_whole = math.ceil if up else math.floor
    if seconds < 120:
        return f"{to_whole(seconds)} s"
    whole = to_whole(seconds / 60)
    return f"{whole} min" if whole < 120 else f"{whole // 60} h {whole % 60:02d} min"


def spare(amperes: float) -> str:
    """A finite balance in whole amperes with its sign, rounded down: less to spare, more that is taken."""
    whole = math.floor(amperes + 1e-9)
    return f"{whole:+d}" if whole else "0"
