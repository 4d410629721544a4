"""The samples of a load case: what they play, and what every instrument would show in each of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.assessment.sag.excerpt import worst_stretch
from dossier.assessment.sag.full_level_tone import with_nominal
from dossier.assessment.sag.places import BASE_LOAD, mean_at, port_at
from dossier.assessment.sag.programmes import programme_of, sound_ends
from dossier.assessment.sag.samples import BATCH, Batch, Flags, Play, Told, Values, at_times, band_of
from dossier.assessment.sag.traces import moving_average, time_mean
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.programme import LEAD_IN_S
from dossier.circuit.sampler import InputSampler, nominal
from dossier.circuit.settings import Settings
from dossier.circuit.simulations import current
from dossier.circuit.wiring import wire
from dossier.equipment.installed import Installed, Running
from dossier.frozen import dataclass
from dossier.results.sag import Band, LoadCaseResult


@dataclass(frozen=True, slots=True)
class Sampled:
    """A batch of a load case, read between ``start`` and ``end`` s; samples (B,) without the nominal one."""

    fit: Installed
    draw: InputSampler
    base_at: str
    music: bool
    batch: Batch
    start: float
    end: float
    told: Told | None = None

    @property
    def inside(self) -> Flags:
        """Which instants are read (T,)."""
        t = self.batch.transient.t
        return (t >= self.start) & (t <= self.end + 1e-9)

    @property
    def holds(self) -> Flags:
        """In which samples no playing amplifier fails (B,)."""
        return np.isinf(self.batch.fails[1:])

    def of_amplifier(self, id_: str, first: int = 1) -> tuple[Values, Values, Flags]:
        """Mean and trough at its terminals (T, B), and which samples fail (B,), from sample ``first`` (0: nominal)."""
        cycle = self.batch.transient.voltage(f"amplifiers.{id_}")
        return cycle.mean[:, first:], cycle.trough[:, first:], np.isfinite(self.batch.own[id_][first:])

    def of_location(self, id_: str, first: int = 1) -> tuple[Values, Values, Flags]:
        """The same between the poles of a location.

        It has a voltage as long as no amplifier there collapses; one that shuts itself down leaves it.
        """
        run = self.batch.transient
        mean = mean_at(self.batch.wired, run, id_)[:, first:]
        trough = run.voltage(BASE_LOAD).trough[:, first:] if id_ == self.base_at else mean
        failed = np.isfinite(run.ended[first:])
        for amplifier in self.fit.amplifiers.values():
            if amplifier.at == id_:
                failed = failed | self.batch.starved[amplifier.id][first:]
        return mean, trough, failed

    def lowest(self, mean: Values, trough: Values) -> dict[str, Values]:
        """Lowest value of each statistic, per sample (B,)."""
        t, inside = self.batch.transient.t, self.inside
        smooth = np.stack([moving_average(t, v)[inside].min() for v in mean.T])
        return {"mean": mean[inside].min(0), "minimum_100ms": smooth, "trough": trough[inside].min(0)}

    def at_moment(self, values: Values, moment: str, *, mean: bool = False) -> Values:
        """Of values (T, B): before the sound, at its end, their mean while it plays, or their lowest, (B,).

        ``mean``: the mean stands for the lowest, which says little of a current.
        """
        t = self.batch.transient.t
        found: Values = values[0] if moment == "rest" else values[self.inside].min(0)
        if moment == "end":
            found = at_times(t, values, np.array([self.end - 1e-6]))[0]
        elif moment == "mean" or (mean and moment == "playing"):
            found = np.array([time_mean(t, one, self.start, self.end) for one in values.T])
        return found

    def as_told(self, values: Values, failed: Flags) -> tuple[Values, Flags]:
        """Values (..., B) and which of them failed, as the readings tell them where there are any."""
        if self.told is None:
            return values, failed
        updated = self.told.of(np.where(np.broadcast_to(failed, values.shape), np.nan, values))
        return updated, np.isnan(updated)

    def band(self, values: Values, failed: Flags, volts: float | None) -> Band:
        """The band of values (B,); before any reading it never leaves out the nominal value ``volts``."""
        inputs = self.batch.inputs
        if self.told is None:
            return with_nominal(band_of(values, failed, inputs), volts)
        return band_of(*self.as_told(values, failed), inputs[self.told.kept])


def sampled(
    build: Build,
    fit: Installed,
    run: Running,
    case: LoadCase,
    result: LoadCaseResult,
    draw: InputSampler,
    *,
    detail: bool = False,
) -> Sampled:
    """Play a load case with many samples; of music its most demanding stretch. ``detail``: with all nodes."""
    play, start, end = _play(build, fit, run, case, result, draw)
    if detail:
        play = replace(play, settings=replace(BATCH, detail=True))
    return Sampled(fit, draw, run.base.at, case.signal.kind == "music", play.batch(), start, end)


def ask_bands(
    build: Build, fit: Installed, run: Running, case: LoadCase, result: LoadCaseResult, draw: InputSampler
) -> None:
    """Have what ``sampled`` of the same needs played ahead."""
    if current().helped:
        _play(build, fit, run, case, result, draw)[0].ask()


def _play(
    build: Build, fit: Installed, run: Running, case: LoadCase, result: LoadCaseResult, draw: InputSampler
) -> tuple[Play, float, float]:
    """What the samples play, and from when to when it is read [s]."""
    programme = programme_of(case)
    start, end = LEAD_IN_S, sound_ends(programme)
    if case.signal.kind == "music":
        lowest = next(one for one in result.amplifiers if one.id == result.worst)
        stretch = worst_stretch(programme, lowest.mean_minimum.at)
        programme, start, end = stretch.programme, stretch.start, stretch.end
    return Play(build, fit, run, case, programme, draw, _settings(build, fit, run, case)), start, end


def _settings(build: Build, fit: Installed, run: Running, case: LoadCase) -> Settings:
    """With nodes and branches only where a location has no device that shows its voltage, or a cable was read."""
    wired = wire(build, fit, run, case, nominal)
    along = any(one.cable and one.load_case == case.id for one in build.kept.measurements.readings.values())
    return replace(BATCH, detail=along or not all(port_at(wired, id_) for id_ in wired.nodes))
