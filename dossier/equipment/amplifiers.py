"""Amplifiers with the load they drive and every number they need."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt
from typing import Any

import numpy as np

from dossier.buildfile.model import Amplifier, Build, Speaker
from dossier.electrical import amplifiers as law
from dossier.electrical import speakers
from dossier.equipment.value import Subject, Value
from dossier.frozen import dataclass
from dossier.reference.defaults import DEFAULTS

RISE_SPREAD = 0.1  # of a stated impedance under power: it moves with frequency and warmth; judgement
EXPONENT = {"regulated": "amplifier.regulated", "unregulated": "amplifier.unregulated"}


@dataclass(frozen=True, slots=True)
class DrivenAmplifier:
    """One amplifier on its load.

    Attributes:
        nominal_ohm: net nominal load; ``power_ohm`` under power, as stated, else the same.
        ratings: (impedance [ohm], power [W]) of its data sheet.
        loads: what each set of drivers is to it: net nominal load [ohm], and the factor on that under power.
        too_low: the load is below its lowest rated impedance; ``output`` is then that of its lowest rated load.
        output: rated output into ``power_ohm`` at ``rated_at`` [W].
        exponent: of output on supply voltage; ``efficiency`` at full output; ``idle`` input power [W].
        efficiency_third, efficiency_eighth: at these shares of full output; the one that is not stated is None where
            the other is, else the eighth is assumed.
        shutdown, restart, lowest: supply voltages [V]; ``restart_delay`` [s].
        ripple: supply-current ripple over mean at twice the tone.
    """

    id: str
    title: str
    at: str
    supply: str
    output_class: str
    speakers: tuple[str, ...]
    nominal_ohm: float
    power_ohm: float
    ratings: tuple[tuple[float, float], ...]
    loads: tuple[tuple[float, Value], ...]
    lowest_rated_ohm: float
    too_low: bool
    rated_at: Value
    output: Value
    exponent: Value
    efficiency: Value
    efficiency_third: Value | None
    efficiency_eighth: Value | None
    idle: Value
    shutdown: Value
    restart: Value
    restart_delay: Value
    lowest: Value
    ripple: Value

    def rated_output(self, draw: Callable[[Value], Any] = lambda value: value.nominal) -> Any:
        """Rated output into its load under power [W]; numbers or arrays as ``draw`` gives."""
        nominal, drawn = (
            law.power_into(self.ratings, 1.0 / sum(1.0 / (ohms * of(rise)) for ohms, rise in self.loads))
            for of in (lambda value: value.nominal, draw)
        )
        return draw(self.output) * (1.0 if np.array_equal(drawn, nominal) else drawn / nominal)

    def root_share(self, draw: Callable[[Value], Any] = lambda value: value.nominal) -> Any:
        """Share of its input at full output that goes with the root of the output; numbers or arrays as ``draw`` gives.

        Where both partial efficiencies are stated it lies in the middle between what each of them says.
        """
        known = ((1.0 / 3.0, self.efficiency_third), (1.0 / 8.0, self.efficiency_eighth))
        shares = [law.root_share(draw(self.efficiency), draw(e), at) for at, e in known if e is not None]
        return sum(shares) / len(shares)

    def input_at(self, fraction: float, volts: float) -> tuple[float, float]:
        """Output and input [W, W] at a supply of ``volts``, asked for a mean of ``fraction`` of its rated output."""
        rated = self.output.nominal
        allowed = law.rail_limited_power(rated, volts, self.rated_at.nominal, self.exponent.nominal)
        output = min(rated * fraction, allowed)
        return output, self.input_for(output, allowed)

    def input_for(self, output: float, allowed: float) -> float:
        """Input [W] for an output [W] where ``allowed`` would be full output [W]."""
        return law.input_power(output, allowed, self.efficiency.nominal, self.root_share(), self.idle.nominal)


def driven_amplifiers(build: Build) -> dict[str, DrivenAmplifier]:
    """Every amplifier of the build on its load, by id."""
    return {id_: _driven(build, amplifier) for id_, amplifier in build.amplifiers.items()}


def loads_of(build: Build, amplifier: str) -> tuple[tuple[float, Value], ...]:
    """What each set of drivers on an amplifier is to it: net nominal load [ohm], and the factor on it under power.

    Each amplifier of a strapped pair sees half the set.
    """
    sets = (s for s in build.speakers.values() if amplifier in s.amplifiers)
    return tuple((net_impedance(s) / len(s.amplifiers), rise_of(s)) for s in sets)


def net_impedance(speaker: Speaker) -> float:
    """Net nominal impedance of a set of drivers as wired [ohm]."""
    coils_in: speakers.Connection = "series" if speaker.coils_in == "series" else "parallel"
    drivers_in: speakers.Connection = "series" if speaker.drivers_in == "series" else "parallel"
    return speakers.net_impedance(speaker.coil_impedance.si, speaker.voice_coils, coils_in, speaker.drivers, drivers_in)


def rise_of(speaker: Speaker) -> Value:
    """Impedance of a set of drivers under power over its net nominal one.

    Where nobody states it the nominal load is computed with, which draws most; its band reaches above that.
    """
    who, words = Subject(f"speakers.{speaker.id}", speaker.title), "impedance under power over nominal"
    if speaker.operating_impedance is not None:
        measured = who.stated(speaker.operating_impedance, words, "", spread=RISE_SPREAD)
        return measured.scaled(1.0 / net_impedance(speaker))
    return who.pick(speaker.impedance_rise, "impedance_rise", words, "", "speaker.impedance_rise", spread=RISE_SPREAD)


def impedance_of(speaker: Speaker) -> tuple[float, float]:
    """Net impedance of a set of drivers as wired: nominal, and under power [ohm, ohm]."""
    net = net_impedance(speaker)
    return net, net * rise_of(speaker).nominal


def made_for(rated_at: float) -> int:
    """How many times 12 V an amplifier is made for, from the supply of its rating [V], whatever vehicle it is in."""
    return max(1, round(rated_at / DEFAULTS["amplifier.rated_at"].typical))


Ways = tuple[tuple[int, int, int, int], ...]  # coils in series, coils, drivers in series, drivers


def wirings(build: Build, amplifier: DrivenAmplifier) -> tuple[tuple[float, Ways], ...]:
    """Every load that its drivers can be wired to [ohm], with the ways.

    Nothing where several sets share the amplifier: each can be wired by itself.
    """
    sets = [s for s in build.speakers.values() if amplifier.id in s.amplifiers]
    if len(sets) != 1:
        return ()
    s = sets[0]
    reached = speakers.reachable_impedances(s.coil_impedance.si, s.voice_coils, s.drivers)
    return tuple(
        (load / len(s.amplifiers), tuple((a, s.voice_coils, b, s.drivers) for a, b in ways))
        for load, ways in reached.items()
    )


def _driven(build: Build, amplifier: Amplifier) -> DrivenAmplifier:
    who = Subject(f"amplifiers.{amplifier.id}", amplifier.title)
    loads = loads_of(build, amplifier.id)  # side by side: their conductances add
    nominal = 1.0 / sum(1.0 / ohms for ohms, _ in loads)
    power = 1.0 / sum(1.0 / (ohms * rise.nominal) for ohms, rise in loads)
    ratings = tuple((z.si, w.si) for z, w in amplifier.rated)
    lowest_rated = min(z for z, _ in ratings)
    too_low = min(nominal, power) < lowest_rated * 0.999  # as wired, or as measured under power
    # refused below the lowest rating: the smallest rated load stands in only so that the rest can be reported
    watts = law.available_power(ratings, max(power, lowest_rated))
    _, stated = amplifier.rated[-1]
    output = who.stated(stated, "rated output into its load", "W", spread=0.10).mapped(lambda w: w * watts / stated.si)
    class_ = "ab" if amplifier.output_class == "ab" else "d"
    rated_at = who.pick(
        amplifier.rated_at, "rated_at", "supply voltage of its rating", "V", "amplifier.rated_at", spread=0.0
    )
    scale = made_for(rated_at.nominal)
    shutdown = who.pick(
        amplifier.low_voltage_shutdown,
        "low_voltage_shutdown",
        "low-voltage shut-down",
        "V",
        "amplifier.undervoltage",
        spread=0.2,
        absolute=True,
        scale=scale,
    )
    hysteresis = who.assumed("restart_voltage", "restart above shut-down", "V", "amplifier.restart_hysteresis")
    restart = (
        who.stated(amplifier.restart_voltage, "restart voltage", "V", spread=0.2, absolute=True)
        if amplifier.restart_voltage
        else hysteresis.mapped(lambda h: shutdown.nominal + h, quantity="restart voltage")
    )
    lowest = who.pick(
        amplifier.lowest_voltage,
        "lowest_voltage",
        "lowest working voltage",
        "V",
        "amplifier.lowest",
        spread=0.3,
        absolute=True,
        scale=scale,
    )
    if lowest.nominal > shutdown.nominal:
        lowest = lowest.scaled(shutdown.nominal / lowest.nominal)
    idle = (
        who.stated(amplifier.idle_current, "idle input power", "W", spread=0.2).scaled(rated_at.nominal)
        if amplifier.idle_current
        else who.assumed("idle_current", "idle input power", "W", "amplifier.idle", scale=max(w for _, w in ratings))
    )
    efficiency = who.pick(
        amplifier.efficiency,
        "efficiency",
        "efficiency at full output",
        "",
        f"amplifier.{class_}.efficiency",
        spread=0.06,
    )
    third, eighth = (
        who.stated(stated, f"efficiency at {words} of full output", "", spread=0.1) if stated else None
        for stated, words in ((amplifier.efficiency_third, "1/3"), (amplifier.efficiency_eighth, "1/8"))
    )
    if third is None and eighth is None:
        least = sqrt(1.0 / 8.0) * efficiency.nominal  # as class B; no amplifier gains by playing softly
        eighth = who.assumed(
            "efficiency_eighth", "efficiency at 1/8 of full output", "", f"amplifier.{class_}.efficiency_eighth"
        ).mapped(lambda e: min(max(e, least), efficiency.nominal))
    return DrivenAmplifier(
        id=amplifier.id,
        title=amplifier.title,
        at=amplifier.at,
        supply=amplifier.supply,
        output_class=class_,
        speakers=tuple(s.title for s in build.speakers.values() if amplifier.id in s.amplifiers),
        nominal_ohm=nominal,
        power_ohm=power,
        ratings=ratings,
        loads=loads,
        lowest_rated_ohm=lowest_rated,
        too_low=too_low,
        rated_at=rated_at,
        output=output,
        exponent=who.assumed("supply", "exponent of output on supply voltage", "", EXPONENT[amplifier.supply]),
        efficiency=efficiency,
        efficiency_third=third,
        efficiency_eighth=eighth,
        idle=idle,
        shutdown=shutdown,
        restart=restart,
        restart_delay=who.pick(
            amplifier.restart_delay, "restart_delay", "restart delay", "s", "amplifier.restart_delay", spread=0.2
        ),
        lowest=lowest,
        ripple=who.pick(
            amplifier.ripple_fraction,
            "ripple_fraction",
            "ripple of its input current at twice the tone, over mean",
            "",
            "amplifier.ripple",
            spread=0.2,
        ).mapped(lambda k: min(k, 1.0)),
    )
