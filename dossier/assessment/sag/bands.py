"""Bands of a load case: where 5 to 95 % of the samples lie, at every instant and at every minimum."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.sag.excerpt import worst_stretch
from dossier.assessment.sag.full_level_tone import around
from dossier.assessment.sag.places import BASE_LOAD, mean_at, port_at
from dossier.assessment.sag.programmes import programme_of, sound_ends
from dossier.assessment.sag.samples import BATCH, Batch, Values, ask_batch, band_of, edges_in_time, play_batch
from dossier.assessment.sag.traces import frozen, moving_average, thinned
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.draw import Draw, Samples, nominal
from dossier.circuit.programme import LEAD_IN_S, Programme
from dossier.circuit.settings import Settings
from dossier.circuit.simulations import current
from dossier.circuit.wiring import wire
from dossier.equipment.fitted import Fitted, Running
from dossier.frozen import dataclass
from dossier.results.sag import AmplifierSag, BandTrace, LimitCheck, LoadCaseResult, LocationSag, Reading, Trace

BAND_POINTS = 500  # of a band in time
LEVELS = 24  # steps of nominal voltage in which the band of music is tabulated


@dataclass(frozen=True, slots=True)
class _Sampled:
    """A batch of a load case, read between ``start`` and ``end`` s; samples (B,) without the nominal one."""

    fit: Fitted
    base_at: str
    batch: Batch
    start: float
    end: float

    @property
    def inside(self) -> NDArray[np.bool_]:
        """Which instants are read (T,)."""
        t = self.batch.transient.t
        return (t >= self.start) & (t <= self.end + 1e-9)

    def lowest(self, mean: Values, trough: Values) -> dict[str, Values]:
        """Lowest value of each statistic, per sample (B,)."""
        t, inside = self.batch.transient.t, self.inside
        smooth = np.stack([moving_average(t, v)[inside].min() for v in mean.T])
        return {"mean": mean[inside].min(0), "minimum_100ms": smooth, "trough": trough[inside].min(0)}


    def at_amplifier(self, id_: str) -> tuple[dict[str, Values], NDArray[np.bool_]]:
        """Lowest values at an amplifier, and which samples it cannot hold (B,)."""
        cycle = self.batch.transient.voltage(f"amplifiers.{id_}")
        return self.lowest(cycle.mean[:, 1:], cycle.trough[:, 1:]), np.isfinite(self.batch.own[id_][1:])

    def at_location(self, id_: str) -> tuple[dict[str, Values], NDArray[np.bool_]]:
        """The same at a location: it has a voltage as long as no amplifier there collapses.

        One that shuts itself down leaves it its voltage.
        """
        run = self.batch.transient
        mean = mean_at(self.batch.wired, run, id_)[:, 1:]
        trough = run.voltage(BASE_LOAD).trough[:, 1:] if id_ == self.base_at else mean
        failed = np.isfinite(run.ended[1:])
        for amplifier in self.fit.amplifiers.values():
            if amplifier.at == id_:
                failed = failed | self.batch.starved[amplifier.id][1:]
        return self.lowest(mean, trough), failed


def with_bands(
    build: Build, fit: Fitted, run: Running, case: LoadCase, result: LoadCaseResult, samples: Samples
) -> LoadCaseResult:
    """The same result with bands on its traces and readings, and on its limits the share of samples that keep them.

    Music: the samples play its most demanding stretch; elsewhere the band follows the nominal voltage. Its edges are
    tabulated against the nominal voltage of the stretch and read from that table at every instant of the whole piece
    (a surrogate: a hundred samples of a minute of music would take longer than all the rest).
    """
    music = case.signal.kind == "music"
    programme, start, end = _played(case, result)
    batch = play_batch(build, fit, run, case, programme, samples, settings=_settings(build, fit, run, case))
    made = _Sampled(fit, run.base.at, batch, start, end)
    return replace(
        result,
        amplifiers=tuple(
            _amplifier(made, one, _carried_over(made, one, result.t) if music else _in_time(made, one))
            for one in result.amplifiers
        ),
        locations=tuple(_location(made, one) for one in result.locations),
    )


@dataclass(frozen=True, slots=True)
class Lows:
    """A load case sample by sample, (B,).

    Attributes:
        mean: lowest mean at the worst amplifier that plays [V]; NaN where the sample cannot hold it.
        kept: whether every limit stated for it is kept.
        inputs: (B, K) draws of the samples.
    """

    mean: Values
    kept: NDArray[np.bool_]
    inputs: Values


def sampled_lows(
    build: Build, fit: Fitted, run: Running, case: LoadCase, result: LoadCaseResult, draw: Draw
) -> Lows:
    """What ``with_bands`` of the same reads, for all amplifiers and limits together, without the nominal sample."""
    programme, start, end = _played(case, result)
    batch = play_batch(build, fit, run, case, programme, draw, settings=_settings(build, fit, run, case))
    made = _Sampled(fit, run.base.at, batch, start, end)
    read = [(one, made.at_amplifier(one.id)) for one in result.amplifiers]
    judged = [(one.limits, found) for one, found in read]
    judged += [(one.limits, made.at_location(one.id)) for one in result.locations if one.limits]
    kept = [_keeps(check, *found) for limits, found in judged for check in limits]
    means = [np.where(failed, np.nan, lowest["mean"]) for one, (lowest, failed) in read if one.id in batch.asks]
    return Lows(np.stack(means).min(0), np.all(kept, axis=0) if kept else ~np.isnan(means[0]), batch.inputs)


def ask_bands(
    build: Build, fit: Fitted, run: Running, case: LoadCase, result: LoadCaseResult, draw: Draw
) -> None:
    """Have what ``with_bands`` of the same needs played ahead."""
    if current().helped:
        settings = _settings(build, fit, run, case)
        ask_batch(build, fit, run, case, _played(case, result)[0], draw, settings=settings)


def _played(case: LoadCase, result: LoadCaseResult) -> tuple[Programme, float, float]:
    """What the samples play, and from when to when it is read [s]."""
    programme = programme_of(case)
    if case.signal.kind != "music":
        return programme, LEAD_IN_S, sound_ends(programme)
    lowest = next(one for one in result.amplifiers if one.id == result.worst)
    stretch = worst_stretch(programme, lowest.mean_minimum.at)
    return stretch.programme, stretch.start, stretch.end


def _settings(build: Build, fit: Fitted, run: Running, case: LoadCase) -> Settings:
    """With the voltages of nodes only where a location has no device that shows its voltage: they take time."""
    wired = wire(build, fit, run, case, nominal)
    return replace(BATCH, detail=not all(port_at(wired, id_) for id_ in wired.nodes))


def _amplifier(made: _Sampled, one: AmplifierSag, trace: BandTrace) -> AmplifierSag:
    lowest, failed = made.at_amplifier(one.id)
    trough = one.trough_minimum
    return replace(
        one,
        mean_minimum=_banded(made, one.mean_minimum, lowest["mean"], failed),
        minimum_100ms=_banded(made, one.minimum_100ms, lowest["minimum_100ms"], failed),
        trough_minimum=trough and _banded(made, trough, lowest["trough"], failed),
        limits=_kept(one.limits, lowest, failed),
        band=trace,
    )


def _location(made: _Sampled, one: LocationSag) -> LocationSag:
    lowest, failed = made.at_location(one.id)
    return replace(
        one,
        mean_minimum=_banded(made, one.mean_minimum, lowest["mean"], failed),
        limits=_kept(one.limits, lowest, failed),
    )


def _banded(made: _Sampled, reading: Reading, values: Values, failed: NDArray[np.bool_]) -> Reading:
    return replace(reading, band=around(band_of(values, failed, made.batch.inputs), reading.volts))


def _kept(
    checks: tuple[LimitCheck, ...], lowest: dict[str, Values], failed: NDArray[np.bool_]
) -> tuple[LimitCheck, ...]:
    shares = (float(np.mean(_keeps(check, lowest, failed))) for check in checks)
    return tuple(replace(check, kept_share=share) for check, share in zip(checks, shares, strict=True))


def _keeps(check: LimitCheck, lowest: dict[str, Values], failed: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether each sample keeps a limit; one that collapses does not."""
    kept: NDArray[np.bool_] = (lowest[check.statistic] >= check.limit) & ~failed
    return kept


def _edges(made: _Sampled, one: AmplifierSag) -> tuple[Values, Trace, Trace]:
    """Mean voltages (T, B + 1), and the 5 and 95 % edges (T,) of the samples among them."""
    run = made.batch.transient
    mean = run.voltage(f"amplifiers.{one.id}").mean
    return mean, *edges_in_time(mean[:, 1:], run.t[:, None] >= made.batch.own[one.id][None, 1:])


def _in_time(made: _Sampled, one: AmplifierSag) -> BandTrace:
    t = made.batch.transient.t
    _, low, high = _edges(made, one)
    kept = thinned(t, BAND_POINTS, low, high)
    return BandTrace(frozen(t[kept] - LEAD_IN_S), frozen(low[kept]), frozen(high[kept]))


def _carried_over(made: _Sampled, one: AmplifierSag, t: Trace) -> BandTrace:
    """The band of the stretch carried over to the whole piece of music."""
    mean, low, high = _edges(made, one)
    holds = made.batch.transient.t < made.batch.own[one.id][0]
    along = np.where(holds, mean[:, 0], np.nan)
    return BandTrace(t, *(frozen(_carried(one.mean, along, edge)) for edge in (low, high)))


def _carried(mean: Trace, along: Values, edge: Values) -> Trace:
    """Edge of the band at the voltages ``mean`` (T,), from pairs of nominal voltage and edge along it."""
    known = ~(np.isnan(along) | np.isnan(edge))
    if known.sum() < 2:
        return np.full_like(mean, np.nan)
    v, offset = along[known], edge[known] - along[known]
    bins = np.linspace(v.min(), v.max() + 1e-9, LEVELS + 1)
    which = np.clip(np.digitize(v, bins) - 1, 0, LEVELS - 1)
    filled = [k for k in range(LEVELS) if (which == k).any()]
    centres = np.array([v[which == k].mean() for k in filled])
    offsets = np.array([offset[which == k].mean() for k in filled])
    carried: Trace = mean + np.interp(np.nan_to_num(mean, nan=v.min()), centres, offsets)
    return carried
