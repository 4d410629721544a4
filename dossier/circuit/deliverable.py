"""How much power the source side could give the amplifiers at one instant, its states frozen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.circuit import newton
from dossier.circuit.companion import Pattern
from dossier.circuit.direct import Direct
from dossier.circuit.direct_law import at_phases
from dossier.circuit.elements import Array, Mask
from dossier.circuit.stages import Stages
from dossier.circuit.storage import LEAST_THETA
from dossier.frozen import dataclass

HALVINGS = 24  # of the range 0..1 of the demand
ANY_VOLTAGE = 0.5  # V, stands for "no lowest working voltage"


@dataclass(frozen=True, slots=True)
class Deliverable:
    """Power at the moment of most demand in the cycle, summed over the amplifiers, (B,)."""

    feasible: Mask  # there is an operating point at full demand, if need be below the lowest working voltages
    demand: Array  # W asked
    most: Array  # W that can be delivered (the fold of the power curve, P = E^2/4R for one source)


def deliverable(
    stages: Stages, direct: Direct, y: Array, level: float, wave: float, v_n: Array, pattern: Pattern
) -> Deliverable:
    """The fold of the power curve at frozen states y, by halving a common factor on all amplifiers' demand.

    Args:
        stages: the network with its storage elements, for one phase.
        direct: elements without memory.
        y: (B, q) states.
        level: level of the programme.
        wave: cosine of the ripple phase.
        v_n: (B, 1, n) V from the side of higher voltages.
        pattern: to start from.
    """
    frozen = stages.companion(LEAST_THETA)
    count, powers = direct.amplifiers, direct.powers
    amplifiers = np.arange(powers.vref.shape[1]) >= powers.vref.shape[1] - count
    v_low = np.where(amplifiers, ANY_VOLTAGE, powers.v_low)
    samples = len(y)

    def point(share: Array) -> tuple[Mask, Array]:
        factor = np.where(amplifiers, share[:, None], 1.0)
        drawn = {name: getattr(powers, name) * factor for name in ("ask", "root", "limit", "idle")}
        scaled = replace(powers, **drawn, v_low=v_low)
        law = at_phases(replace(direct, powers=scaled), np.array([wave])).at(level)
        at = newton.solve(stages, frozen, y, law, v_n, pattern)
        volts, amps = at.v[:, 0, -count:], at.i[:, 0, -count:]
        good: Mask = at.found & np.all(volts >= ANY_VOLTAGE, axis=1)
        return good, (volts * amps).sum(1)

    feasible, demand = point(np.ones(samples))
    low, high, most = np.zeros(samples), np.ones(samples), np.where(feasible, demand, 0.0)
    for _ in range(HALVINGS):
        if feasible.all():
            break
        share = 0.5 * (low + high)
        good, power = point(share)
        most = np.where(good & ~feasible, power, most)
        low, high = np.where(good, share, low), np.where(good, high, share)
    scale = np.where(low > 0.0, 1.0 / np.where(low > 0.0, low, 1.0), 0.0)
    asked = np.where(feasible, demand, most * scale)
    return Deliverable(feasible, asked, most)
