"""Bands of a load case: where 5 to 95 % of the samples lie, at every instant and at every minimum."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.assessment.excerpt import worst_stretch
from dossier.assessment.notes import around
from dossier.assessment.programmes import programme_of, sound_ends
from dossier.assessment.samples import Batch, Values, band_of, edges_in_time, play_batch
from dossier.assessment.traces import frozen, moving_average, thinned
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.draw import Samples
from dossier.circuit.programme import LEAD_IN_S
from dossier.equipment.fitted import Fitted, Running
from dossier.results.sag import AmplifierSag, Band, BandTrace, LoadCaseResult, Reading, Trace

BAND_POINTS = 500  # of a band in time
LEVELS = 24  # steps of nominal voltage in which the band of music is tabulated


def with_bands(
    build: Build, fit: Fitted, run: Running, case: LoadCase, result: LoadCaseResult, samples: Samples
) -> LoadCaseResult:
    """The same result with bands on its traces and readings."""
    if case.signal.kind == "music":
        return _music(build, fit, run, case, result, samples)
    programme = programme_of(case)
    batch = play_batch(build, fit, run, case, programme, samples)
    ends = sound_ends(programme)
    return replace(
        result,
        amplifiers=tuple(_banded(one, batch, LEAD_IN_S, ends, _in_time(one, batch)) for one in result.amplifiers),
    )


def _banded(one: AmplifierSag, batch: Batch, start: float, ends: float, trace: BandTrace) -> AmplifierSag:
    run = batch.transient
    cycle = run.voltage(f"amplifiers.{one.id}")
    inside = (run.t >= start) & (run.t <= ends + 1e-9)
    failed = np.isfinite(batch.fails[1:])

    def band(values: Values, volts: float | None) -> Band:
        return around(band_of(values, failed, batch.inputs), volts)

    mean = cycle.mean[:, 1:]
    smooth = np.stack([moving_average(run.t, v)[inside].min() for v in mean.T])

    def with_band(reading: Reading, values: Values) -> Reading:
        return replace(reading, band=band(values, reading.volts))

    trough = one.trough_minimum
    return replace(
        one,
        mean_minimum=with_band(one.mean_minimum, mean[inside].min(0)),
        minimum_100ms=with_band(one.minimum_100ms, smooth),
        trough_minimum=trough and with_band(trough, cycle.trough[inside, 1:].min(0)),
        band=trace,
    )


def _in_time(one: AmplifierSag, batch: Batch) -> BandTrace:
    run = batch.transient
    mean = run.voltage(f"amplifiers.{one.id}").mean[:, 1:]
    failed = run.t[:, None] >= batch.fails[None, 1:]
    low, high = edges_in_time(mean, failed)
    kept = thinned(run.t, BAND_POINTS, low, high)
    return BandTrace(frozen(run.t[kept]), frozen(low[kept]), frozen(high[kept]))


def _music(
    build: Build, fit: Fitted, run: Running, case: LoadCase, result: LoadCaseResult, samples: Samples
) -> LoadCaseResult:
    """Music: the samples play its most demanding stretch; elsewhere the band follows the nominal voltage.

    The edges are tabulated against the nominal voltage of the stretch, and read from that table at every instant
    of the whole piece (a surrogate: a hundred samples of a minute of music would take longer than all the rest).
    """
    lowest = next(one for one in result.amplifiers if one.id == result.worst)
    stretch = worst_stretch(programme_of(case), lowest.mean_minimum.at)
    batch = play_batch(build, fit, run, case, stretch.programme, samples)
    made = []
    for one in result.amplifiers:
        cycle = batch.transient.voltage(f"amplifiers.{one.id}")
        failed = batch.transient.t[:, None] >= batch.fails[None, 1:]
        low, high = edges_in_time(cycle.mean[:, 1:], failed)
        trace = BandTrace(result.t, *(frozen(_carried(one.mean, cycle.mean[:, 0], edge)) for edge in (low, high)))
        made.append(_banded(one, batch, stretch.start, stretch.end, trace))
    return replace(result, amplifiers=tuple(made))


def _carried(mean: Trace, nominal: Values, edge: Values) -> Trace:
    """Edge of the band at the voltages ``mean`` (T,), from pairs of nominal voltage and edge (S,), (S,)."""
    known = ~(np.isnan(nominal) | np.isnan(edge))
    if known.sum() < 2:
        return np.full_like(mean, np.nan)
    v, offset = nominal[known], edge[known] - nominal[known]
    bins = np.linspace(v.min(), v.max() + 1e-9, LEVELS + 1)
    which = np.clip(np.digitize(v, bins) - 1, 0, LEVELS - 1)
    filled = [k for k in range(LEVELS) if (which == k).any()]
    centres = np.array([v[which == k].mean() for k in filled])
    offsets = np.array([offset[which == k].mean() for k in filled])
    carried: Trace = mean + np.interp(np.nan_to_num(mean, nan=v.min()), centres, offsets)
    return carried
