"""Every recorded figure: what it was read of, and what each sample of the inputs shows there."""

from __future__ import annotations

import numpy as np

from dossier.assessment.sag.sampled import Sampled
from dossier.assessment.sag.samples import Values
from dossier.buildfile.model import Build, Quantity
from dossier.buildfile.recorded import JointReading, MeterReading, Taken
from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """A recorded figure."""

    path: str  # of what it was read in the build file; with ``unit`` (V, A or ohm) the key of what becomes of it
    unit: str
    quantity: Quantity  # as written; of a joint its millivolts
    value: float  # in ``unit``; of a joint its millivolts over its amperes
    source: MeterReading | JointReading  # the entry it comes from

    @property
    def key(self) -> tuple[str, str]:
        """Path and unit."""
        return self.path, self.unit

    @property
    def taken(self) -> Taken:
        """Who read it, with what, when."""
        return self.source.taken

    @property
    def case(self) -> str:
        """The load case that was played; none where a resistance was read."""
        return self.source.load_case if isinstance(self.source, MeterReading) else ""


def figures(build: Build) -> tuple[Figure, ...]:
    """Every recorded figure, in the order of the build file, readings first."""
    measured = build.kept.measurements
    made = [
        Figure(f"measurements.readings.{one.id}", unit, value, abs(value.si) if one.cable else value.si, one)
        for one in measured.readings.values()
        for unit, value in (("V", one.voltage), ("A", one.current))
        if value is not None
    ]
    made += [
        Figure(f"measurements.joints.{one.id}", "ohm", one.drop, one.drop.si / one.current.si, one)
        for one in measured.joints.values()
    ]
    return tuple(made)


def fuse_read(build: Build, one: JointReading) -> str | None:
    """The fuse across which millivolts were read: the only one of its cable, or the one near that place."""
    fuses = build.cables[one.cable].fuses if one.cable in build.cables else {}
    near = [id_ for id_, fuse in fuses.items() if len(fuses) == 1 or fuse.near == one.at]
    return near[0] if len(near) == 1 else None


def shown(build: Build, case: Sampled, figure: Figure) -> Values | None:
    """What the nominal run and every sample show there, (1 + B,); None where no current can flow."""
    one = figure.source
    if isinstance(one, JointReading):
        return _resistance(build, case, one)
    run = case.batch.transient
    if one.cable:
        if one.cable not in case.batch.wired.conductors:
            return None
        amps = np.abs(case.at_moment(run.branch_current(f"cables.{one.cable}").mean, one.moment, mean=True))
        return amps if figure.unit == "A" else amps * np.asarray(case.batch.wired.conductors[one.cable][2])
    port = f"amplifiers.{one.amplifier}"
    if figure.unit == "A":
        return case.at_moment(run.current(port).mean, one.moment, mean=True)
    if one.shows == "output_rms":
        watts = run.output[:, :, run.amplifiers.index(port)]
        driven = case.fit.amplifiers[one.amplifier]
        ohms = 1.0 / sum(1.0 / (nominal * np.asarray(case.draw(rise))) for nominal, rise in driven.loads)
        return case.at_moment(np.sqrt(np.maximum(watts * ohms, 0.0)), one.moment, mean=True)
    at_amplifier = one.amplifier in case.fit.amplifiers
    mean, trough, _ = case.of_amplifier(one.amplifier, 0) if at_amplifier else case.of_location(one.at, 0)
    if one.moment == "playing":
        return case.lowest(mean, trough)[one.shows]
    return case.at_moment(mean, one.moment)


def _resistance(build: Build, case: Sampled, one: JointReading) -> Values | None:
    """Of the whole cable, or of the fuse with its holder."""
    if one.across == "fuse":
        fuse = next(f for f in case.fit.conductors[one.cable].fuses if f.id == fuse_read(build, one))
        each = 1 if fuse.fuse.shared else build.cables[one.cable].runs
        return _whole(case, np.asarray(case.draw(fuse.resistance)) * each)
    ends = case.batch.wired.conductors.get(one.cable)
    return None if ends is None else _whole(case, np.asarray(ends[2]))


def _whole(case: Sampled, values: Values) -> Values:
    return np.broadcast_to(values, (1 + len(case.batch.inputs),)).astype(np.float64)
