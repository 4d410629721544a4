"""How warm a conductor gets in the load cases: steady where a programme goes on, in time where it ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from math import exp, inf, isfinite, sqrt
from typing import Final

from dossier.assessment.sag.currents import ConductorCurrent
from dossier.electrical import transient
from dossier.electrical.ampacity import Allowable
from dossier.electrical.conductors import temperature_factor
from dossier.electrical.heating import (
    ThermalCable,
    adiabatic_temperature,
    anchored,
    steady_current,
    steady_temperature,
    thermal_cable,
    time_constant,
)
from dossier.equipment.conductors import WARM_RISE, Conductor
from dossier.reference.conductors import MELTING
from dossier.results.schedule import Warmth

MUSIC_SHARE: Final = 0.31
"""Rms of supply current of music at 9.6 dB realised crest over that of the full sine: synthetic music (assumption).
Where no load case goes on, a tone is taken to follow an hour of such music."""
HOTTEST_COUNTED: Final = 250.0  # degC: a conductor above it is destroyed; its resistance no longer matters
SLOW_BURSTS: Final = 0.02  # of the time constant: period from which a burst heats noticeably above the mean
LONGEST_S: Final = 7200.0  # nothing that lasts longer than this is told from "for ever"


def background(currents: Sequence[ConductorCurrent]) -> float:
    """Rms current that a conductor carries for hours, all runs [A]."""
    lasting = max((c.rms for c in currents if c.goes_on), default=0.0)
    notes = max((c.rms for c in currents if not c.goes_on), default=0.0)
    return max(lasting, MUSIC_SHARE * notes)


def cable_of(conductor: Conductor, limits: Allowable | None, *, faulted: bool = False) -> ThermalCable | None:
    """The heating model of one run, anchored so that the published current gives the rated temperature.

    ``faulted``: of a fault in one run, whose neighbours are not loaded like it; what is stated of its bundle stays.
    """
    cable = conductor.cable
    if cable.size is None:
        return None
    return _cable(
        cable.size.si,
        cable.material,
        limits.column if limits else None,
        limits.base if limits else 0.0,
        1.0 if faulted and conductor.touching else conductor.bundle.value,
    )


@lru_cache(maxsize=256)
def _cable(area: float, material: str, column: float | None, base: float, bundle: float) -> ThermalCable:
    copper = thermal_cable(area)  # the table is of copper; geometry and heat removal are the same for other metals
    if column is not None:
        copper = anchored(copper, column, base)
    model = replace(copper, material=material)
    # a bundle gives off less heat: its current factor, squared
    return replace(model, anchor=model.anchor / bundle)


def warmth(conductor: Conductor, limits: Allowable | None, currents: Sequence[ConductorCurrent]) -> Warmth | None:
    """How warm a conductor gets; None for the body.

    A programme that goes on is judged by its steady state at the rms current, slow bursts by the swing around it. A
    single note is followed in time, from the temperature that the lasting programme has left.
    """
    cable = cable_of(conductor, limits)
    if cable is None:
        return None
    runs, air = conductor.cable.runs, conductor.ambient.nominal
    rating = limits.column if limits else None
    tau = _time_constant(cable, max(rating or 0.0, air + 20.0), air)
    before = background(currents) / runs
    start = steady_temperature(cable, before, air)
    lasting = max((c for c in currents if c.goes_on), key=lambda c: c.rms, default=None)
    bursts = [(_swing(cable, c, runs, air, tau), c) for c in currents if c.goes_on]
    hottest = max(bursts, key=lambda pair: pair[0], default=None)
    notes = [c for c in currents if not c.goes_on and c.rms / runs > before]
    made = None if not notes else _note(cable, notes, runs, before, start, air, rating, tau)
    if hottest is not None and hottest[0] > max(start, made.peak if made else 0.0):
        peak, c = hottest
        passed = rating is not None and peak > rating
        continuous = steady_current(cable, peak, air) if isfinite(peak) else c.rms / runs
        return Warmth(c.case, c.rms / runs, None, before, start, peak, start, continuous, 0.0 if passed else None, tau)
    if made is not None:
        return made
    case = lasting.case if lasting else currents[0].case
    holds = None if before == 0.0 else _holds(cable, before, air, None, rating)
    return Warmth(case, before, None, before, start, start, start, before, holds, tau)


def _note(
    cable: ThermalCable,
    notes: Sequence[ConductorCurrent],
    runs: int,
    before: float,
    start: float,
    air: float,
    rating: float | None,
    tau: float,
) -> Warmth:
    """The note that heats most, from the temperature that the lasting programme has left."""
    worst = max(notes, key=lambda c: (c.rms**2 - (before * runs) ** 2) * (1.0 - exp(-c.seconds / tau)))
    rms = worst.rms / runs
    steady = steady_temperature(cable, rms, air)
    peak = max(_peak(cable, rms, worst.seconds, air, before), start)
    return Warmth(
        case=worst.case,
        rms=rms,
        seconds=worst.seconds,
        before=before,
        start=start,
        peak=peak,
        steady=steady,
        continuous=steady_current(cable, peak, air) if isfinite(peak) else rms,
        holds=_holds(cable, rms, air, before, rating) if steady > (rating or inf) else None,
        time_constant=tau,
    )


def _swing(cable: ThermalCable, c: ConductorCurrent, runs: int, air: float, tau: float) -> float:
    """Hottest temperature of bursts that go on and on [degC]; 0 where they are quick against the time constant."""
    if c.burst <= 0.0 or c.every <= SLOW_BURSTS * tau or c.burst >= c.every:
        return 0.0
    return _bursts(cable, c.rms / runs, c.burst, c.every, air)


@lru_cache(maxsize=256)
def _bursts(cable: ThermalCable, rms: float, burst: float, every: float, air: float) -> float:
    """From the steady state of the rms current, half a burst and then eight periods: the swing has settled by then."""
    start = _begins(cable, rms, air)
    if start is None:
        return inf
    amperes = rms * sqrt(every / burst)
    segments = [(burst / 2.0, amperes), *(8 * ((every - burst, 0.0), (burst, amperes)))]
    return transient.run(cable, segments, air, start, longest=min(5.0, burst / 20.0)).peak


def reached(
    conductor: Conductor, limits: Allowable | None, currents: Sequence[ConductorCurrent], now: ConductorCurrent
) -> float:
    """Temperature of the metal when one load case ends, after the lasting programme of all of them [degC].

    Never taken as above 250 degC, where the conductor is destroyed; the air where nothing is known of its metal.
    """
    cable = cable_of(conductor, limits)
    runs, air = conductor.cable.runs, conductor.ambient.nominal
    if cable is None:
        return air
    before, rms = background(currents) / runs, now.rms / runs
    start = min(steady_temperature(cable, before, air), HOTTEST_COUNTED)
    if now.goes_on or rms <= before:  # what goes on is in the background already
        return start
    if min(steady_temperature(cable, rms, air), HOTTEST_COUNTED) <= assumed_metal(conductor):
        return start  # for ever it would not get there
    return min(max(_peak(cable, rms, now.seconds, air, before), start), HOTTEST_COUNTED)


def assumed_metal(conductor: Conductor) -> float:
    """Temperature of the metal that load cases start from [degC]."""
    return conductor.ambient.nominal + WARM_RISE


def added_resistance(conductor: Conductor, metal: float) -> float:
    """What a temperature of the metal [degC] adds to the resistance the load cases start from [ohm]; may be negative.

    R = R20 (1 + alpha (T - 20)).
    """
    if conductor.wire is None:
        return 0.0
    hot, warm = (
        temperature_factor(conductor.cable.material, t)
        for t in (min(metal, HOTTEST_COUNTED), assumed_metal(conductor))
    )
    return conductor.wire.nominal * (hot / warm - 1.0)


@lru_cache(maxsize=256)
def _time_constant(cable: ThermalCable, conductor: float, air: float) -> float:
    return time_constant(cable, conductor, air)


def _begins(cable: ThermalCable, before: float, air: float) -> transient.Profile | None:
    if steady_temperature(cable, before, air) >= MELTING[cable.material]:
        return None
    return transient.steady(cable, before, air) if before > 0.0 else transient.uniform(air)


@lru_cache(maxsize=512)
def _peak(cable: ThermalCable, rms: float, seconds: float, air: float, before: float) -> float:
    """Hottest temperature of a note [degC]; infinite where the metal would melt."""
    start = _begins(cable, before, air)
    if start is None:
        return inf
    if not isfinite(steady_temperature(cable, rms, air)):
        bound = adiabatic_temperature(cable.area, cable.material, start.conductor, rms * rms * seconds)
        if bound >= MELTING[cable.material]:
            return inf
    return transient.run(cable, [(seconds, rms)], air, start).peak


@lru_cache(maxsize=512)
def _holds(cable: ThermalCable, rms: float, air: float, before: float | None, rating: float | None) -> float | None:
    """How long a current may last until the rated temperature [s]: zero if it is passed already, None = for ever."""
    if rating is None:
        return None
    if before is None:
        return None if steady_temperature(cable, rms, air) <= rating else 0.0
    start = _begins(cable, before, air)
    if start is None or start.conductor >= rating:
        return 0.0
    tau = _time_constant(cable, rating, air)
    span = min(3.0 * tau, LONGEST_S)
    if not isfinite(steady_temperature(cable, rms, air)):  # without losing heat it is there sooner: the safe side
        metal = 0.5 * span
        while (
            metal > 1e-3
            and adiabatic_temperature(cable.area, cable.material, start.conductor, rms * rms * metal) > rating
        ):
            metal *= 0.8
        return metal
    course = transient.run(cable, [(span, rms)], air, start)
    for time, temperature in zip(course.times, course.conductor, strict=True):
        if temperature >= rating:
            return time
    return None
