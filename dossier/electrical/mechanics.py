"""Open belt drives (length, wrap, the change with a pulley), and what a fixing must hold in a crash."""

from __future__ import annotations

from math import asin, cos, pi
from typing import Final

from dossier.reference.source import Source, Status

STANDARD_GRAVITY: Final = 9.80665  # m/s2, exact by definition
ALONG: Final = 20.0  # g, fore and aft
ACROSS: Final = 8.0  # g, sideways
RESTRAINT_SOURCE: Final = Source("UN R67, R100, R110 class", "", "20 g along, 8 g across", Status.MEMORY)


def restraint_force(mass: float, gravities: float) -> float:
    """Force a fixing must hold [N]: m a.

    Args:
        mass: [kg].
        gravities: acceleration in standard gravities.
    """
    return mass * gravities * STANDARD_GRAVITY


def _angle(large: float, small: float, centres: float) -> float:
    if centres <= 0.0 or large <= 0.0 or small <= 0.0:
        raise ValueError("diameters and centre distance are positive")
    if abs(large - small) / 2.0 >= centres:
        raise ValueError("one pulley would lie inside the other")
    return asin((large - small) / (2.0 * centres))


def belt_length(first: float, second: float, centres: float) -> float:
    """Length of an open belt over two pulleys [m].

    2 C cos b + pi (D + d)/2 + b (D - d), b = asin((D - d)/2C).

    Args:
        first: pitch diameter [m].
        second: pitch diameter [m].
        centres: distance of the shafts [m].

    Raises:
        ValueError: not positive, or one pulley inside the other.
    """
    b = _angle(first, second, centres)
    return 2.0 * centres * cos(b) + pi * (first + second) / 2.0 + b * (first - second)


def belt_change(first: float, old: float, new: float, centres: float) -> float:
    """Change of belt length when one pulley is changed at fixed centres [m]; negative = shorter."""
    return belt_length(first, new, centres) - belt_length(first, old, centres)


def belt_change_from_wrap(old: float, new: float, wrap: float) -> float:
    """The same from the wrap at the changed pulley, for a serpentine belt [m]: wrap/2 x (new - old).

    Args:
        old: diameter [m].
        new: diameter [m].
        wrap: angle of contact on the new pulley [rad].
    """
    return wrap / 2.0 * (new - old)


def wrap_angle(pulley: float, other: float, centres: float) -> float:
    """Angle of contact of an open belt on ``pulley`` [rad]: pi + 2 asin((d - D)/2C)."""
    return pi + 2.0 * _angle(pulley, other, centres)
