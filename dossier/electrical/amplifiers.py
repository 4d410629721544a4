"""Amplifiers: power into a load, supply power and current, what the rail allows, plausibility."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sqrt
from typing import Any, Final

import numpy as np

from dossier.electrical.refusal import BelowRatedImpedanceError

_SAME_IMPEDANCE: Final = 0.999  # 0.1 % of rounding in a net impedance is no lower load


def available_power(ratings: Sequence[tuple[float, float]], impedance: float) -> float:
    """Rated output into an impedance [W].

    Between rated impedances linear in 1/Z (constant voltage gives P = V^2/Z); above the highest rated impedance P falls
    as 1/Z from that rating; below the lowest it is not known.

    Args:
        ratings: (impedance [ohm], power [W]), any order.
        impedance: load [ohm].

    Raises:
        BelowRatedImpedanceError: the load is lower than any rating.
        ValueError: no rating, or something not positive.
    """
    if not ratings or impedance <= 0.0 or any(z <= 0.0 or p <= 0.0 for z, p in ratings):
        raise ValueError("ratings and impedance must be given and positive")
    lowest = min(z for z, _ in ratings)
    if impedance < lowest * _SAME_IMPEDANCE:
        raise BelowRatedImpedanceError(impedance, lowest)
    return float(power_into(ratings, impedance))


def power_into(ratings: Sequence[tuple[float, float]], impedance: Any) -> Any:
    """Rated output by the same law for a number or an array of impedances; below the lowest rating, that rating [W]."""
    known = sorted((1.0 / z, p) for z, p in ratings)
    return np.interp(1.0 / impedance, [0.0, *(g for g, _ in known)], [0.0, *(p for _, p in known)])


def rail_limited_power(rated: float, voltage: float, rated_at: float, exponent: float) -> float:
    """What the supply voltage allows of rated output [W]: P (V/V_rated)^x, x = 0 regulated, 2 unregulated.

    Args:
        rated: at ``rated_at`` [W].
        voltage: at the amplifier's terminals [V].
        rated_at: [V].
        exponent: 0..2 [1].
    """
    return float(rated * (max(voltage, 0.0) / rated_at) ** exponent)


def input_power(output: float, allowed: float, efficiency: float, root_share: float, idle: float = 0.0) -> float:
    """Supply power [W]: (s sqrt(P P_allowed) + (1 - s) P) / efficiency at full + idle.

    Of the losses one part goes with the output current (the root of the output), one with the output. s = 1 is the law
    of class B, efficiency = efficiency at full times sqrt(P/P_allowed) (pi/4 at full where nothing else is lost);
    s = 0 an efficiency that is the same at every level.

    Args:
        output: [W].
        allowed: full output at this supply voltage [W].
        efficiency: at full output, without idle, 0..1.
        root_share: s, 0..1; see ``root_share``.
        idle: [W].

    Raises:
        ValueError: efficiency outside 0..1.
    """
    if not 0.0 < efficiency <= 1.0:
        raise ValueError(f"an efficiency lies above 0 and up to 1, not {efficiency}")
    return (root_share * sqrt(max(output * allowed, 0.0)) + (1.0 - root_share) * output) / efficiency + idle


def root_share(at_full: Any, at_part: Any, fraction: float) -> Any:
    """Share s of ``input_power`` [1] that gives an efficiency ``at_part`` at a fraction of full output; within 0..1.

    Solves fraction / at_part = (s sqrt(fraction) + (1 - s) fraction) / at_full. Numbers or arrays of samples.
    """
    return np.clip((at_full / at_part - 1.0) * fraction / (sqrt(fraction) - fraction), 0.0, 1.0)


def supported_by_fuses(fuse_current: float, efficiency: float, voltage: float = 14.4) -> float:
    """Continuous output that an amplifier's own fuses support [W]: I V eta; common practice.

    Args:
        fuse_current: all on-board fuses together [A].
        efficiency: at full power.
        voltage: of the rating [V].
    """
    return fuse_current * voltage * efficiency


def ripple_fraction(tone: float, resistance: float, capacitance: float) -> float:
    """Supply-current ripple at twice the tone over its mean [1]: 1/sqrt(1 + (2 pi 2 f R C)^2).

    A sine at f asks P (1 - cos 2wt) of its supply; storage behind a resistance smooths it.

    Args:
        tone: [Hz].
        resistance: source and converter, referred to the 12 V side [ohm].
        capacitance: of the rails, referred to the 12 V side [F].
    """
    return 1.0 / sqrt(1.0 + (4.0 * pi * tone * resistance * capacitance) ** 2)
