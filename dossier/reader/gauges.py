"""Inch, foot, pound and American wire gauge, as they are defined."""

from __future__ import annotations

from math import pi
from typing import Final

INCH: Final = 0.0254  # m, exact (international yard and pound agreement, 1959)
FOOT: Final = 0.3048  # m, exact (the same)
MILE: Final = 5280.0 * FOOT  # m, exact (the same)
POUND: Final = 0.45359237  # kg, exact (the same)
GRAVITY: Final = 9.80665  # m/s2, exact (standard gravity, 3rd CGPM 1901); of a pound-force

# The gauges that are sold, thinnest first, with their number in the law of diameters.
SOLD: Final = {
    **{str(number): number for number in (*range(24, 1, -2), 1)},
    "1/0": 0,
    "2/0": -1,
    "3/0": -2,
    "4/0": -3,
}


def gauge_diameter(number: int) -> float:
    """Diameter of the solid round conductor of a gauge [m]: d = 0.005 in x 92^((36 - n)/39).

    ASTM B258-02, definition of AWG, as given at liquisearch.com/american_wire_gauge/formula; READ.

    Args:
        number: 36 to 1 as the gauge says; 0 for 1/0, -1 for 2/0 and so on.
    """
    return float(0.005 * INCH * 92.0 ** ((36 - number) / 39.0))


def gauge_area(number: int) -> float:
    """Cross-section of a gauge [m2]; the number as in ``gauge_diameter``."""
    return pi / 4.0 * gauge_diameter(number) ** 2
