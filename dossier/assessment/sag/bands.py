"""Bands of a load case: where 5 to 95 % of the samples lie, at every instant and at every minimum."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.assessment.sag.sampled import Sampled, sampled
from dossier.assessment.sag.samples import Flags, Told, Values, edges_in_time
from dossier.assessment.sag.traces import frozen, thinned
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.programme import LEAD_IN_S
from dossier.circuit.sampler import InputSampler, Samples
from dossier.equipment.installed import Installed, Running
from dossier.frozen import dataclass
from dossier.results.sag import AmplifierSag, BandTrace, LimitCheck, LoadCaseResult, LocationSag, Reading, Trace

BAND_POINTS = 500  # of a band in time
LEVELS = 24  # steps of nominal voltage in which the band of music is tabulated


def with_bands(
    build: Build, fit: Installed, run: Running, case: LoadCase, result: LoadCaseResult, samples: Samples
) -> LoadCaseResult:
    """Play the samples of a load case, and give its result their bands: ``sampled`` and ``banded``."""
    return banded(sampled(build, fit, run, case, result, samples), result)


def banded(made: Sampled, result: LoadCaseResult) -> LoadCaseResult:
    """The same result with bands on its traces and readings, and on its limits the share of samples that keep them.

    Where readings have told the samples something, the bands beside those from before the readings.
    Music: the samples play its most demanding stretch; elsewhere the band follows the nominal voltage. Its edges are
    tabulated against the nominal voltage of the stretch and read from that table at every instant of the whole piece
    (a surrogate: a hundred samples of a minute of music would take longer than all the rest).
    """
    return replace(
        result,
        amplifiers=tuple(
            _amplifier(made, one, _carried_over(made, one, result.t) if made.music else _in_time(made, one))
            for one in result.amplifiers
        ),
        locations=tuple(_location(made, one) for one in result.locations),
    )


@dataclass(frozen=True, slots=True)
class Lows:
    """A load case sample by sample, (B,)."""

    mean: Values  # lowest mean at the worst amplifier that plays [V]; NaN where the sample cannot hold it
    kept: Flags  # whether every limit stated for it is kept
    inputs: Values  # (B, K) draws of the samples


def sampled_lows(
    build: Build,
    fit: Installed,
    run: Running,
    case: LoadCase,
    result: LoadCaseResult,
    draw: InputSampler,
    told: Told | None = None,
) -> Lows:
    """What ``with_bands`` of the same reads, for all amplifiers and limits together, without the nominal sample."""
    made = replace(sampled(build, fit, run, case, result, draw), told=told)
    read = [(one, _lowest(made, *made.of_amplifier(one.id))) for one in result.amplifiers]
    judged = [(one.limits, found) for one, found in read]
    judged += [(one.limits, _lowest(made, *made.of_location(one.id))) for one in result.locations if one.limits]
    kept = [_as_kept(made, check, *found) for limits, found in judged for check in limits]
    means = [
        made.as_told(np.where(failed, np.nan, low["mean"]), failed)[0]
        for one, (low, failed) in read
        if one.id in made.batch.asks
    ]
    inputs = made.batch.inputs if told is None else made.batch.inputs[told.kept]
    return Lows(np.stack(means).min(0), np.all(kept, axis=0) if kept else ~np.isnan(means[0]), inputs)


def _lowest(made: Sampled, mean: Values, trough: Values, failed: Flags) -> tuple[dict[str, Values], Flags]:
    return made.lowest(mean, trough), failed


def _amplifier(made: Sampled, one: AmplifierSag, trace: BandTrace) -> AmplifierSag:
    lowest, failed = _lowest(made, *made.of_amplifier(one.id))
    swung = one.trough_minimum
    changed = replace(
        one,
        mean_minimum=_banded(made, one.mean_minimum, lowest["mean"], failed),
        minimum_100ms=_banded(made, one.minimum_100ms, lowest["minimum_100ms"], failed),
        trough_minimum=swung and _banded(made, swung, lowest["trough"], failed),
        limits=_kept(made, one.limits, lowest, failed),
    )
    return replace(changed, band=trace) if made.told is None else replace(changed, band_with_readings=trace)


def _location(made: Sampled, one: LocationSag) -> LocationSag:
    lowest, failed = _lowest(made, *made.of_location(one.id))
    return replace(
        one,
        mean_minimum=_banded(made, one.mean_minimum, lowest["mean"], failed),
        limits=_kept(made, one.limits, lowest, failed),
    )


def _banded(made: Sampled, reading: Reading, values: Values, failed: Flags) -> Reading:
    band = made.band(values, failed, reading.volts)
    return replace(reading, band=band) if made.told is None else replace(reading, band_with_readings=band)


def _kept(
    made: Sampled, checks: tuple[LimitCheck, ...], lowest: dict[str, Values], failed: Flags
) -> tuple[LimitCheck, ...]:
    kept = []
    for check in checks:
        share = float(np.mean(_as_kept(made, check, lowest, failed)))
        kept.append(
            replace(check, kept_share=share) if made.told is None else replace(check, kept_share_with_readings=share)
        )
    return tuple(kept)


def _as_kept(made: Sampled, check: LimitCheck, lowest: dict[str, Values], failed: Flags) -> Flags:
    """Whether each sample keeps a limit, as the readings tell it; one that collapses does not."""
    values, lost = made.as_told(lowest[check.statistic], failed)
    kept: Flags = (values >= check.limit) & ~lost
    return kept


def _edges(made: Sampled, one: AmplifierSag) -> tuple[Values, Trace, Trace]:
    """Mean voltages (T, B + 1), and the 5 and 95 % edges (T,) of the samples among them."""
    run = made.batch.transient
    mean = run.voltage(f"amplifiers.{one.id}").mean
    failed = run.t[:, None] >= made.batch.own[one.id][None, 1:]
    return mean, *edges_in_time(*made.as_told(mean[:, 1:], failed))


def _in_time(made: Sampled, one: AmplifierSag) -> BandTrace:
    t = made.batch.transient.t
    _, low, high = _edges(made, one)
    kept = thinned(t, BAND_POINTS, low, high)
    return BandTrace(frozen(t[kept] - LEAD_IN_S), frozen(low[kept]), frozen(high[kept]))


def _carried_over(made: Sampled, one: AmplifierSag, t: Trace) -> BandTrace:
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
