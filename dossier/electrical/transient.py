"""A cable over time: the conductor and four shells of insulation, bursts and faults included."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import log, pi
from typing import Final

from dossier.electrical.heating import (
    INSULATION_CONDUCTIVITY,
    ThermalCable,
    heat_flow,
    steady_temperature,
    surface_coefficient,
)
from dossier.electrical.refusal import OutsideKnownError
from dossier.frozen import dataclass
from dossier.reference.conductors import INSULATION_HEAT, MELTING

SHELLS: Final = 4
_FINEST: Final = 0.002  # s, first step after a change of current
_GROWTH: Final = 1.08
_RISE: Final = 2.0  # K, most that one step may add


@dataclass(frozen=True, slots=True)
class Profile:
    """Temperatures from the conductor outward [degC]: the conductor, four shells, the surface."""

    layers: tuple[float, ...]
    surface: float

    @property
    def conductor(self) -> float:
        """Of the conductor [degC]."""
        return self.layers[0]


@dataclass(frozen=True, slots=True)
class Heating:
    """Course of the conductor temperature."""

    times: tuple[float, ...]  # [s], rising from 0
    conductor: tuple[float, ...]  # [degC] at ``times``
    end: Profile  # profile at the end

    @property
    def peak(self) -> float:
        """Hottest conductor temperature [degC]."""
        return max(self.conductor)


@dataclass(frozen=True, slots=True)
class _Layers:
    """Heat capacities [J/(m K)] and conductances [W/(m K)] from the conductor outward, anchored."""

    heat: tuple[float, ...]
    between: tuple[float, ...]
    to_surface: float


def _layers(cable: ThermalCable) -> _Layers:
    inner = cable.diameter / 2.0
    thickness = (cable.outside / 2.0 - inner) / SHELLS
    radii = [inner + i * thickness for i in range(SHELLS + 1)]
    middles = [0.5 * (a + b) for a, b in pairwise(radii)]
    heat = [cable.metal_heat]
    heat += [INSULATION_HEAT * pi * (b * b - a * a) for a, b in pairwise(radii)]
    stations = [inner, *middles]
    conduct = 2.0 * pi * INSULATION_CONDUCTIVITY
    between = [conduct / log(b / a) for a, b in pairwise(stations)]
    return _Layers(tuple(heat), tuple(between), conduct / log(radii[-1] / middles[-1]))


def uniform(temperature: float) -> Profile:
    """A cable at one temperature throughout [degC]."""
    return Profile((temperature,) * (SHELLS + 1), temperature)


def steady(cable: ThermalCable, current: float, ambient: float) -> Profile:
    """Profile in steady state at an rms current [A].

    Args:
        cable: the cable.
        current: [A].
        ambient: [degC].

    Raises:
        OutsideKnownError: the current would melt the conductor.
    """
    layers = _layers(cable)
    temperature = steady_temperature(cable, current, ambient)
    if temperature >= MELTING[cable.material]:
        raise OutsideKnownError(f"{current:.4g} A melts this conductor; there is no steady state")
    # Anchoring lowers the whole heat removal; inside the insulation that is the same as this flow.
    flow = heat_flow(cable, temperature, ambient) * cable.anchor**2
    values = [temperature]
    for conductance in layers.between:
        values.append(values[-1] - flow / conductance)
    return Profile(tuple(values), values[-1] - flow / layers.to_surface)


def _step(cable: ThermalCable, layers: _Layers, state: Profile, current: float, ambient: float, dt: float) -> Profile:
    """One linearly implicit Euler step; the surface coefficient is that of the step's beginning."""
    scale = 1.0 / cable.anchor**2
    surface = surface_coefficient(cable.outside, state.surface, ambient) * pi * cable.outside
    out = layers.to_surface * surface / (layers.to_surface + surface)
    r20 = cable.resistance(20.0)
    slope = (cable.resistance(21.0) - r20) * current**2
    n = SHELLS + 1
    links = [*(g * scale for g in layers.between), out * scale]
    diagonal = [c / dt for c in layers.heat]
    right = [d * t for d, t in zip(diagonal, state.layers, strict=True)]
    right[0] += r20 * current**2 - slope * 20.0
    diagonal[0] -= slope
    for i in range(n):
        diagonal[i] += links[i] + (links[i - 1] if i else 0.0)
    right[-1] += links[-1] * ambient
    # Thomas algorithm: the layers only touch their neighbours.
    for i in range(1, n):
        share = links[i - 1] / diagonal[i - 1]
        diagonal[i] -= share * links[i - 1]
        right[i] += share * right[i - 1]
    values = [0.0] * n
    values[-1] = right[-1] / diagonal[-1]
    for i in range(n - 2, -1, -1):
        values[i] = (right[i] + links[i] * values[i + 1]) / diagonal[i]
    new_surface = ambient + out * (values[-1] - ambient) / surface
    return Profile(tuple(values), new_surface)


def _next_length(cable: ThermalCable, state: Profile, current: float, last: float, left: float) -> float:
    """Step length [s]: growing, but a step may not heat the conductor by more than 2 K."""
    power = cable.resistance(state.conductor) * current**2
    longest = _RISE * cable.metal_heat / power if power > 0.0 else left
    return min(left, last * _GROWTH, max(longest, 0.05 * _FINEST))


def run(
    cable: ThermalCable, segments: Sequence[tuple[float, float]], ambient: float, start: Profile, longest: float = 5.0
) -> Heating:
    """Conductor temperature through segments of constant rms current.

    Conductor and four insulation shells, linearly implicit Euler. It ends where the metal melts.

    Args:
        cable: the cable.
        segments: (duration [s], current [A]).
        ambient: [degC].
        start: profile at the beginning, see ``uniform`` and ``steady``.
        longest: step [s].
    """
    layers = _layers(cable)
    state, clock = start, 0.0
    times, hot = [0.0], [state.conductor]
    for duration, current in segments:
        left, dt = duration, _FINEST
        while left > 1e-12:
            dt = min(_next_length(cable, state, current, dt, left), longest)
            state = _step(cable, layers, state, current, ambient, dt)
            left -= dt
            clock += dt
            times.append(clock)
            hot.append(state.conductor)
            if state.conductor >= MELTING[cable.material]:
                return Heating(tuple(times), tuple(hot), state)
    return Heating(tuple(times), tuple(hot), state)


@dataclass(frozen=True, slots=True)
class FaultHeating:
    """How a fault ends."""

    cleared: bool  # whether the fuse clears before the conductor melts or the time limit
    time: float  # until it clears, melts or the limit is reached [s]
    temperature: float  # of the conductor then [degC]
    first_current: float  # at the beginning [A]
    melted: bool  # whether the metal melted first


def fault(
    cable: ThermalCable,
    loop_length: float,
    emf: float,
    resistance: float,
    clearing_time: Callable[[float], float | None],
    ambient: float,
    start: Profile,
    limit: float = 3600.0,
) -> FaultHeating:
    """A fault fed through a cable until its fuse clears.

    The current falls as the conductor heats: I = E/(R + l r(T)). The fuse clears when the sum of dt/t(I) reaches 1.

    Args:
        cable: the conductor that carries the fault.
        loop_length: of that conductor in the fault loop, out and back if both are alike [m].
        emf: [V].
        resistance: of everything else in the loop [ohm].
        clearing_time: longest clearing time [s] at a current [A]; ``None`` = does not clear.
        ambient: [degC].
        start: profile at the beginning.
        limit: end of the computation [s].
    """
    layers = _layers(cable)
    state, clock, worn, dt = start, 0.0, 0.0, _FINEST
    first = emf / (resistance + loop_length * cable.resistance(state.conductor))
    while clock < limit:
        current = emf / (resistance + loop_length * cable.resistance(state.conductor))
        needed = clearing_time(current)
        dt = min(_next_length(cable, state, current, dt, limit - clock), 1.0)
        if needed is not None:
            dt = min(dt, max((1.0 - worn) * needed, 1e-6), 0.02 * needed)
            worn += dt / needed
        state = _step(cable, layers, state, current, ambient, dt)
        clock += dt
        if state.conductor >= MELTING[cable.material]:
            return FaultHeating(False, clock, state.conductor, first, True)
        if worn >= 1.0 - 1e-9:
            return FaultHeating(True, clock, state.conductor, first, False)
    return FaultHeating(False, limit, state.conductor, first, False)
