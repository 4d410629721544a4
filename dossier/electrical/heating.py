"""How hot a cable gets: steady, over time, and without losing heat.

The model balances the loss in the conductor with conduction through the insulation and convection (Churchill and Chu
1975, horizontal cylinder) plus radiation from its surface. Nothing in it is fitted. It never rates a cable: the
published table does that, and ``anchor`` scales the model so that the allowable current gives exactly the rated
temperature.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import exp, log, pi, sqrt
from typing import Final

from dossier.electrical.conductors import temperature_factor
from dossier.frozen import dataclass
from dossier.reference.conductors import INSULATION_HEAT, LAY_FACTOR, METALS

_SIGMA: Final = 5.670374419e-8  # W/(m2 K4)
_GRAVITY: Final = 9.80665
_KELVIN: Final = 273.15
# Assumptions of the study behind the model; their effect on the current is a few per cent each.
EMISSIVITY: Final = 0.9
INSULATION_CONDUCTIVITY: Final = 0.19  # W/(m K)
FILL: Final = 0.72  # metal in the bundle's circle
_HEAT_SHARE: Final = 0.93  # of the insulation's heat that follows the conductor in one lump
_START: Final = 60.0  # K, first bound of the search for a steady temperature
_HOTTEST: Final = 2000.0  # K, end of that search


@dataclass(frozen=True, slots=True)
class ThermalCable:
    """Geometry and constants of one insulated cable in free air."""

    area: float  # of the metal [m2]
    material: str  # key of ``METALS``
    diameter: float  # over the strands [m]
    outside: float  # over the insulation [m]
    anchor: float = 1.0  # the model's current over the published one, at least 1; 1 is the cable in free air

    def resistance(self, temperature: float) -> float:
        """Resistance per length [ohm/m] at a conductor temperature [degC]."""
        metal = METALS[self.material]
        return metal.rho20 * LAY_FACTOR / self.area * temperature_factor(self.material, temperature)

    @property
    def metal_heat(self) -> float:
        """Heat capacity of the metal per length [J/(m K)]."""
        return METALS[self.material].heat * self.area

    @property
    def insulation_heat(self) -> float:
        """Heat capacity of the insulation per length [J/(m K)]."""
        return INSULATION_HEAT * pi / 4.0 * (self.outside**2 - self.diameter**2)


def thermal_cable(area: float, material: str = "copper") -> ThermalCable:
    """A cable of usual build: strands filling 72 %, wall 0.55 mm + d/10 between 0.6 and 2.0 mm.

    Args:
        area: cross-section [m2].
        material: key of ``METALS``.
    """
    diameter = sqrt(4.0 * area / (FILL * pi))
    wall = min(max(0.55e-3 + 0.10 * diameter, 0.6e-3), 2.0e-3)
    return ThermalCable(area, material, diameter, diameter + 2.0 * wall)


def surface_coefficient(outside: float, surface: float, ambient: float) -> float:
    """Heat given off per area and kelvin [W/(m2 K)]: natural convection plus radiation.

    Nu = (0.60 + 0.387 Ra^(1/6)/(1 + (0.559/Pr)^(9/16))^(8/27))^2, Churchill and Chu 1975; air properties at the mean of
    surface and ambient (Sutherland's laws).

    Args:
        outside: diameter [m].
        surface: temperature [degC].
        ambient: [degC].
    """
    ts, ta = surface + _KELVIN, ambient + _KELVIN
    film = 0.5 * (ts + ta)
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4)  # Pa s
    density = 101325.0 / (287.05 * film)
    conductivity = 2.64638e-3 * film**1.5 / (film + 245.4 * 10.0 ** (-12.0 / film))
    kinematic = viscosity / density
    prandtl = viscosity * 1006.0 / conductivity
    rayleigh = _GRAVITY / film * abs(ts - ta) * outside**3 / kinematic**2 * prandtl
    nusselt = (0.60 + 0.387 * rayleigh ** (1.0 / 6.0) / (1.0 + (0.559 / prandtl) ** 0.5625) ** (8.0 / 27.0)) ** 2
    radiation = EMISSIVITY * _SIGMA * (ts * ts + ta * ta) * (ts + ta)
    return float(nusselt * conductivity / outside + radiation)


def _zero(rises: Callable[[float], float], low: float, high: float) -> float:
    """Zero of a rising function between two bounds (Illinois method), to 1e-6 of their distance or better."""
    at_low, at_high = rises(low), rises(high)
    if at_low >= 0.0:
        return low
    if at_high <= 0.0:
        return high
    close, side = 1e-7 * (high - low), 0
    middle = low
    for _ in range(80):
        before = middle
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        value = rises(middle)
        if value == 0.0 or abs(middle - before) < close:
            break
        if value < 0.0:
            low, at_low = middle, value
            at_high *= 0.5 if side < 0 else 1.0
            side = -1
        else:
            high, at_high = middle, value
            at_low *= 0.5 if side > 0 else 1.0
            side = 1
    return middle


def heat_flow(cable: ThermalCable, conductor: float, ambient: float) -> float:
    """Heat that leaves the conductor in steady state [W/m], anchored.

    Args:
        cable: the cable.
        conductor: temperature [degC], above ambient.
        ambient: [degC].
    """
    if conductor <= ambient:
        return 0.0
    inner = 2.0 * pi * INSULATION_CONDUCTIVITY / log(cable.outside / cable.diameter)

    def excess(surface: float) -> float:
        out = pi * cable.outside * surface_coefficient(cable.outside, surface, ambient) * (surface - ambient)
        return out - inner * (conductor - surface)

    surface = _zero(excess, ambient, conductor)
    return max(inner * (conductor - surface), 0.0) / cable.anchor**2


def steady_current(cable: ThermalCable, conductor: float, ambient: float = 30.0) -> float:
    """Current that holds a conductor temperature [A]: sqrt(q/R).

    Args:
        cable: the cable; with anchor 1 this is the model's own ampacity.
        conductor: temperature [degC].
        ambient: [degC].
    """
    return sqrt(heat_flow(cable, conductor, ambient) / cable.resistance(conductor))


def steady_temperature(cable: ThermalCable, current: float, ambient: float = 30.0) -> float:
    """Conductor temperature in steady state [degC]; ``inf`` if it would rise by more than 2000 K.

    Args:
        cable: the cable.
        current: rms [A].
        ambient: [degC].
    """
    if current == 0.0:
        return ambient
    hottest = _START
    while steady_current(cable, ambient + hottest, ambient) < abs(current):
        hottest *= 2.5
        if hottest > _HOTTEST:
            return float("inf")
    # the rise goes about with the square of the current: its root is nearly straight, and is solved for
    square = current * current
    return _zero(lambda t: steady_current(cable, t, ambient) ** 2 - square, ambient, ambient + hottest)


def anchored(cable: ThermalCable, insulation: float, published: float, ambient: float = 30.0) -> ThermalCable:
    """The same cable, its heat removal scaled so that the published current gives the rated temperature.

    Args:
        cable: the cable.
        insulation: temperature rating [degC].
        published: current that the table allows at ``ambient`` [A].
        ambient: of the table [degC].
    """
    model = steady_current(replace(cable, anchor=1.0), insulation, ambient)
    return replace(cable, anchor=max(1.0, model / published))


def time_constant(cable: ThermalCable, conductor: float, ambient: float = 30.0) -> float:
    """Time constant of the whole cable [s]: (Cc + 0.93 Ci)/G, G the heat per kelvin at a temperature.

    Args:
        cable: the cable.
        conductor: temperature at which G is taken [degC].
        ambient: [degC].
    """
    conductance = heat_flow(cable, conductor, ambient) / (conductor - ambient)
    return (cable.metal_heat + _HEAT_SHARE * cable.insulation_heat) / conductance


def adiabatic_temperature(area: float, material: str, start: float, joule: float) -> float:
    """Conductor temperature after a let-through without losing heat [degC]: the safe side below about 1 s.

    dT = rho(T) i^2 dt/(c S^2), rho(T) linear:  Tf = Ti + (1/a + Ti - 20)(exp(a rho20 J/(c S^2)) - 1).

    Args:
        area: [m2].
        material: key of ``METALS``.
        start: temperature [degC].
        joule: integral of i^2 dt [A2 s].
    """
    metal = METALS[material]
    grown = exp(min(metal.alpha20 * metal.rho20 * joule / (metal.heat * area**2), 700.0))
    return start + (1.0 / metal.alpha20 + start - 20.0) * (grown - 1.0)
