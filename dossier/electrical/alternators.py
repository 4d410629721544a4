"""Alternators: output at a shaft speed, heat, mechanical power."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import pi

from dossier.electrical.tables import interpolate
from dossier.reference.alternators import (
    CUT_IN,
    EFFICIENCY_FULL_LOAD,
    EFFICIENCY_HALF_LOAD,
    EFFICIENCY_SPEED,
    FRACTION_HIGH,
    FRACTION_LOW,
    FRACTION_SPEED,
    FRACTION_TYPICAL,
    HOT_FACTOR,
    HOT_SPEED,
)
from dossier.reference.band import Band


def output_at(points: Sequence[tuple[float, float]], speed: float) -> float:
    """Output at a shaft speed from stated points [A].

    Linear between the points: the true curve is concave, so this never promises more. Below the first point it falls to
    zero at 1050 r/min (at once, if the first point lies lower); above the last it stays.

    Args:
        points: (shaft speed [r/min], output [A]), any order.
        speed: [r/min].

    Raises:
        ValueError: no points, or two at one speed.
    """
    rising = sorted(points)
    speeds = [s for s, _ in rising]
    if not rising or any(b <= a for a, b in pairwise(speeds)):
        raise ValueError("the output is stated at one or more different speeds")
    currents = [i for _, i in rising]
    if speed < speeds[0]:
        if speed <= CUT_IN or speeds[0] <= CUT_IN:
            return 0.0
        return currents[0] * (speed - CUT_IN) / (speeds[0] - CUT_IN)
    return interpolate(speed, speeds, currents)


def output_from_rating(rated: float, speed: float) -> Band:
    """Cold output at a shaft speed from the rated current alone [A], with its band.

    Fractions of three published measurements; zero at and below 1050 r/min, flat above 8000 r/min.

    Args:
        rated: output at 6000 r/min, cold [A].
        speed: [r/min].
    """
    if speed <= CUT_IN:
        return Band(0.0, 0.0, 0.0)
    first = FRACTION_SPEED[0]
    rise = (speed - CUT_IN) / (first - CUT_IN) if speed < first else 1.0
    low, typical, high = (
        rated * rise * interpolate(speed, FRACTION_SPEED, table)
        for table in (FRACTION_LOW, FRACTION_TYPICAL, FRACTION_HIGH)
    )
    # The low column ends above the others (1.02 against 1.01): a band must not cross.
    return Band(min(low, typical), typical, max(high, typical))


def hot_factor(speed: float) -> float:
    """Hot over cold output at a shaft speed [r/min]: 0.67 at 1300, 0.82 at 2500, 0.96 at 5000."""
    return interpolate(speed, HOT_SPEED, HOT_FACTOR)


def efficiency(speed: float, load: float = 1.0) -> float:
    """Efficiency [1] at a shaft speed [r/min] and a load (1 = full output); held below half load."""
    full = interpolate(speed, EFFICIENCY_SPEED, EFFICIENCY_FULL_LOAD)
    half = interpolate(speed, EFFICIENCY_SPEED, EFFICIENCY_HALF_LOAD)
    return interpolate(load, (0.5, 1.0), (half, full))


def mechanical_power(voltage: float, current: float, efficiency: float) -> float:
    """Power taken from the engine [W]: V I / eta."""
    return voltage * current / efficiency


def engine_torque(power: float, engine_speed: float) -> float:
    """Torque at the crankshaft [N m] for a power [W] at an engine speed [r/min]."""
    return power / (2.0 * pi * engine_speed / 60.0)
