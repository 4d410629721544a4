"""Restraint: what a fixing must hold in a crash."""

from __future__ import annotations

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
