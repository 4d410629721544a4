"""What a log can tell: a handful of factors and shifts on the inputs, each with what is known of it before."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from dossier.assessment.options.sensitivity import drawn_inputs
from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.sag.samples import Values
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.elements import Values as Number
from dossier.equipment.buses import path_between
from dossier.equipment.installed import Installed, Running, home
from dossier.equipment.value import Value
from dossier.frozen import dataclass

SD_OF_HALF_BAND = 1.0 / 1.645  # a band of 5 to 95 % of a normal distribution
LEAST_SD, MOST_SD = 0.02, 0.6  # of a factor
# what is known before is taken twice as wide: it shall hold what a log does not tell, and not pull at what it does
WIDER, TOLD = 2.0, 0.35
LEAST_FACTOR = 0.05


@dataclass(frozen=True, slots=True)
class Parameter:
    """One number to calibrate."""

    id: str  # battery.ID, wiring, surface.ID, set_point.ID, output.ID, efficiency.ID
    title: str  # in words
    paths: re.Pattern[str]  # pattern on the paths of the inputs it moves
    shifts: bool  # adds to them [unit]; otherwise it multiplies them
    sd: float  # what is known before, one standard deviation (of the factor, or in the unit)
    unit: str  # of a shift
    nominal: float  # value that the printed one is made from: the input's own
    path: str  # path in the build file under which it is reported

    def value(self, theta: float) -> float:
        """The calibrated value, in the unit of the input."""
        return self.nominal + theta if self.shifts else self.nominal * max(1.0 + theta, LEAST_FACTOR)


@dataclass(frozen=True, slots=True)
class Calibrated:
    """One calibrated parameter."""

    parameter: Parameter
    theta: float  # the value, 0 = as the build file has it
    sd: float  # its standard deviation over repetitions with the same meters
    meter: float  # what the meters' own calibration adds, one standard deviation

    @property
    def error(self) -> float:
        """Both together."""
        return float(np.hypot(self.sd, self.meter))

    @property
    def told(self) -> bool:
        """Whether the log has told more than was known before, and a value that its own error does not swallow."""
        value = self.parameter.value(self.theta)
        spread = self.error if self.parameter.shifts else self.error * self.parameter.nominal
        return self.error < TOLD * self.parameter.sd and (self.parameter.shifts or value > 2.0 * spread)


class Adjusted:
    """A draw that moves inputs by parameters: theta (B, P), 0 = as the build file has it."""

    def __init__(self, parameters: Sequence[Parameter], theta: Values) -> None:
        self.parameters, self.theta = parameters, np.atleast_2d(theta)

    def __call__(self, value: Value) -> Number:
        """Shape (B,), or a float where nothing moves it."""
        made: Number = value.nominal
        for k, p in enumerate(self.parameters):
            if p.paths.fullmatch(value.path):
                move = self.theta[:, k]
                made = made + move if p.shifts else made * np.maximum(1.0 + move, LEAST_FACTOR)
        return made


def parameters_of(
    build: Build, fit: Installed, run: Running, case: LoadCase, channels: Sequence[Channel]
) -> tuple[Parameter, ...]:
    """What this log can tell about this build; the efficiency of what played only where a current was logged.

    Without a measured current a wrong efficiency or output is absorbed by the resistances: the predictions are good
    then, the resistances are not to be read as such.
    """
    known = drawn_inputs(build, fit, run, case)
    made: list[Parameter] = []

    def add(id_: str, title: str, pattern: str, *, shifts: bool = False, path: str = "") -> None:
        matched = [v for v in known.values() if re.fullmatch(pattern, v.path)]
        if not matched:
            return
        total = sum(v.nominal for v in matched) if id_ == "wiring" else matched[0].nominal
        half = sum(0.5 * (v.high - v.low) for v in matched) / (1 if id_ == "wiring" else len(matched))
        sd = half * SD_OF_HALF_BAND
        if not shifts:
            sd = min(max(sd / total, LEAST_SD), MOST_SD)
        sd *= WIDER
        first = matched[0]
        made.append(Parameter(id_, title, re.compile(pattern), shifts, sd, first.unit, total, path or first.path))

    for b in fit.batteries.values():
        add(f"battery.{b.id}", f"{b.title}: internal resistance", rf"batteries\.{b.id}\.internal_resistance")
    ways = wiring(build)
    if ways:
        ids = "|".join(re.escape(id_) for id_ in ways)
        add(
            "wiring",
            "wiring between battery and amplifiers, without fuses",
            rf"cables\.(?:{ids})\.(?:resistance|joints|length)",
            path="cables",
        )
    for b in fit.batteries.values():
        add(f"surface.{b.id}", f"{b.title}: surface charge", rf"batteries\.{b.id}\.surface_charge")
    for s in run.supplies:
        if s.running and s.limit.nominal > 0.0:
            pattern = rf"supplies\.{s.id}\.charging_voltage(?:\..*)?"
            add(f"set_point.{s.id}", f"{s.title}: charging voltage", pattern, shifts=True)
            add(
                f"output.{s.id}",
                f"{s.title}: output at this speed",
                rf"supplies\.{s.id}\.(?:output_at_shaft|rated_current)(?:\..*)?",
            )
    if any(c.kind == "current" for c in channels):
        for a in build.amplifiers.values():
            if not case.amplifiers or a.id in case.amplifiers:
                add(f"efficiency.{a.id}", f"{a.title}: efficiency", rf"amplifiers\.{a.id}\.efficiency")
    return tuple(made)


def wiring(build: Build) -> tuple[str, ...]:
    """Cables on the way from the battery to the amplifiers, both poles."""
    places = dict.fromkeys(a.at for a in build.amplifiers.values())
    cables = [
        c
        for place in places
        for role in ("feed", "return")
        for c in path_between(build.cables.values(), home(build), place, role)
    ]
    return tuple(dict.fromkeys(c.id for c in cables))
