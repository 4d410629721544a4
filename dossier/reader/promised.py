"""Every quantity that is a limit or is held against one, rounded to the safe side in one place.

Tables, figures, sentences and the terminal all ask here, so that a quantity has one number. What is stated in the build
file is no business of this module: it is printed as it stands there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Final

_SLACK: Final = 1e-6  # of the last decimal: what is 200 but for the sixteenth digit is 200


_places: ContextVar[int] = ContextVar("decimals of computed voltages", default=1)


@contextmanager
def as_fine_as(limits: Iterable[float]) -> Iterator[None]:
    """Inside, computed voltages are printed with the decimals of the finest of ``limits`` [V], one at least.

    Rounded to one decimal, 11.78 V would read as missing a limit of 11.75 V that it keeps.
    """
    before = _places.set(max([1, *(len(limit_v(one).partition(".")[2]) for one in limits)]))
    try:
        yield
    finally:
        _places.reset(before)


def down(value: float, places: int = 0) -> str:
    """``value`` with ``places`` decimals, rounded down: what is allowed, and what is left."""
    return _to(math.floor, value, places, _SLACK)


def up(value: float, places: int = 0) -> str:
    """``value`` with ``places`` decimals, rounded up: what is asked for, and what happens."""
    return _to(math.ceil, value, places, -_SLACK)


def allowed_a(amperes: float) -> str:
    """What a conductor or device may carry, and the largest fuse for it [A]."""
    return down(amperes)


def load_a(amperes: float) -> str:
    """What flows or can be driven through something, and the rating needed for it [A]."""
    return up(amperes)


def fault_ka(amperes: float) -> str:
    """A fault current that has to be interrupted, in kiloamperes; the argument in amperes."""
    return up(amperes / 1000.0, 1)


def least_fault_a(amperes: float) -> str:
    """The smallest fault current, which has to open a fuse [A]."""
    return down(amperes)


def low_v(volts: float) -> str:
    """A computed voltage under load [V]: it never reads as a limit that it misses."""
    return down(volts, _places.get())


def high_v(volts: float) -> str:
    """A computed voltage that must not be exceeded: charging, and output terminals [V]."""
    return up(volts, _places.get())


def limit_v(volts: float) -> str:
    """A limit that somebody stated [V]: with all its decimals, one at least."""
    made = f"{volts:.3f}".rstrip("0")
    return f"{made}0" if made.endswith(".") else made


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
    whole = int(down(amperes))
    return f"{whole:+d}" if whole else "0"


def _to(whole: Callable[[float], int], value: float, places: int, slack: float) -> str:
    if not math.isfinite(value):
        return str(value)
    step = 10**places
    return f"{whole(value * step + slack) / step:.{places}f}"
