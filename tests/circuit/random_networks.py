"""Networks that nobody chose: places joined at random, sources, loads and amplifiers of every kind."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

import numpy as np

from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.programme import Programme, bursts, music, polyline, tone

GROUND = "n0"


@dataclass(frozen=True)
class Dice:
    """Numbers of one seed."""

    chance: random.Random

    def even(self, low: float, high: float) -> float:
        """Evenly between two bounds."""
        return self.chance.uniform(low, high)

    def spread(self, low: float, high: float) -> float:
        """Evenly in the logarithm."""
        return math.exp(self.chance.uniform(math.log(low), math.log(high)))

    def often(self, share: float) -> bool:
        """True in ``share`` of the throws."""
        return self.chance.random() < share


def network(seed: int) -> Network:
    """The network of a seed; every amplifier and load within what its sources can carry most of the time."""
    dice = Dice(random.Random(seed))
    places = dice.chance.randint(2, 5)
    parts: list[el.Element] = []
    for k in range(1, places):
        before = dice.chance.randrange(k)
        parts.append(el.Resistor(f"feed{k}", f"p{before}", f"p{k}", dice.spread(0.3e-3, 6e-3)))
        parts.append(el.Resistor(f"return{k}", f"n{before}", f"n{k}", dice.spread(0.2e-3, 3e-3)))
    if places > 3 and dice.often(0.5):
        parts.append(el.Resistor("ring", GROUND, f"n{places - 1}", dice.spread(0.2e-3, 3e-3)))

    def somewhere() -> tuple[str, str]:
        at = dice.chance.randrange(places)
        return f"p{at}", f"n{at}"

    parts.append(_battery(dice, "battery0", ("p0", GROUND)))
    parts += [_battery(dice, f"battery{k}", somewhere()) for k in range(1, dice.chance.randint(1, 3))]
    for k in range(dice.chance.randint(0, 2)):
        ramp = dice.even(30.0, 300.0) if dice.often(0.4) else None
        limit, lag = dice.even(40.0, 300.0), dice.even(0.03, 0.5)
        volts, droop = dice.even(13.8, 14.8), dice.spread(1e-3, 1e-2)
        parts.append(el.Alternator(f"alternator{k}", *somewhere(), volts, droop, limit, lag, ramp))
    for k in range(dice.chance.randint(0, 2)):
        parts.append(el.Capacitor(f"bank{k}", *somewhere(), dice.spread(1.0, 1500.0), dice.spread(0.5e-3, 6e-3)))
    for k in range(dice.chance.randint(1, 2)):
        parts.append(el.Load(f"load{k}", *somewhere(), dice.even(20.0, 700.0), 13.5, dice.even(0.0, 2.0)))
    if dice.often(0.3):
        far = f"p{places - 1}"
        parts.append(el.Diode("diode", "p0", far, dice.even(0.3, 0.7), dice.spread(0.3e-3, 2e-3)))
    fed = dice.often(0.35)
    if fed:
        parts.append(
            el.Converter(
                "converter", "p0", "q", GROUND, dice.even(13.8, 14.6), dice.spread(1e-3, 5e-3), dice.even(15.0, 60.0),
                dice.even(0.8, 0.95), dice.even(9.0, 11.5),
            )
        )
        parts.append(_battery(dice, "behind", ("q", GROUND)))
    for k in range(dice.chance.randint(1, 3)):
        parts.append(_amplifier(dice, f"amplifier{k}", ("q", GROUND) if fed and k == 0 else somewhere()))
    return Network(parts, GROUND)


def programme(seed: int) -> Programme:
    """What a seed plays: a tone, bursts, music, or levels that wander."""
    dice = Dice(random.Random(seed + 10**6))
    hertz = dice.even(25.0, 80.0)
    kind = dice.chance.choice(["tone", "bursts", "music", "wandering"])
    if kind == "tone":
        return tone(dice.even(1.0, 8.0), hertz)
    if kind == "bursts":
        return bursts(0.3, 0.7, 5.0, hertz)
    if kind == "music":
        return music(dice.even(5.0, 12.0), 12.0)
    levels = [(1.0 + 0.3 * k, dice.even(0.0, 1.0)) for k in range(25)]
    return polyline([(0.0, 0.0), *levels, (9.0, 0.0), (10.0, 0.0)])


def _battery(dice: Dice, name: str, at: tuple[str, str]) -> el.Battery:
    lead = dice.often(0.6)
    slow = dice.often(0.8)
    return el.Battery(
        name,
        *at,
        e0=dice.even(12.3, 13.0) if lead else dice.even(13.1, 13.5),
        r0=dice.spread(1e-3, 8e-3),
        r1=dice.spread(0.5e-3, 4e-3) if slow else 0.0,
        c1=dice.spread(500.0, 3e4) if slow else 0.0,
        rs_dis=dice.spread(0.5e-3, 2e-3) if lead else 0.0,
        rs_chg=dice.even(0.15, 0.5) if lead else 0.0,
        cs=dice.even(100.0, 900.0) if lead else 0.0,
        c_bulk=dice.spread(5e4, 5e5) if dice.often(0.8) else np.inf,
    )


def _amplifier(dice: Dice, name: str, at: tuple[str, str]) -> el.Amplifier:
    watts = dice.spread(100.0, 2000.0)
    return el.Amplifier(
        name,
        *at,
        rated_w=watts,
        vref=14.4,
        exponent=dice.even(0.0, 2.0),
        ask_w=watts * dice.even(0.5, 1.2),
        efficiency=dice.even(0.55, 0.9),
        idle_w=dice.even(5.0, 60.0),
        v_low=dice.even(6.5, 9.0),
        ripple_fraction=dice.even(0.0, 1.0),
        root_share=dice.even(0.0, 1.0),
        clipped=dice.often(0.2),
    )
