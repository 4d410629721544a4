"""Measured logs laid over the prediction: how the clocks lie, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from dossier.assessment.proof.log_columns import Channel, channels_of
from dossier.assessment.sag.programmes import programme_of
from dossier.assessment.sag.samples import BATCH, Values
from dossier.assessment.sag.traces import frozen
from dossier.buildfile.beside import BesideError, folder_of, read_beside
from dossier.buildfile.logs.log import MAXIMUM_BYTES, LogColumn, LogError, VoltageLog
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.model import Build, LoadCase
from dossier.buildfile.recorded import StatedLog
from dossier.buildfile.source import BuildFileError
from dossier.circuit.draw import Draw, nominal
from dossier.circuit.programme import LEAD_IN_S
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import negative, positive, wire
from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.equipment.fitted import Fitted, Running, fitted, running
from dossier.results.logs import LoggedChannel, MeasuredLog

OFFSET_STEP_S, OFFSET_FINE_S = 0.05, 0.002
LEAST_OVERLAP = 0.5  # of the log's rows that must lie within the prediction
LEAST_SWING_V = 0.2  # a log in which nothing happens has no offset to find
STEP = replace(BATCH, tol_v=1e-3, tol_i=0.2, detail=True)


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a run says of the channels: (T,) s from the start of the sound, (T, B, C) V or A, NaN after a collapse."""

    t: Values
    values: Values

    def logged(self, when: Values, window: float) -> Values:
        """What a logger shows that averages over ``window`` s around each instant (S,): (S, B, C)."""
        return (self._area(when + 0.5 * window) - self._area(when - 0.5 * window)) / window

    def _area(self, when: Values) -> Values:
        """Integral of the polylines from the start to each instant; the first value goes on before it."""
        t, v = self.t, self.values
        steps = 0.5 * np.diff(t)[:, None, None] * (v[1:] + v[:-1])
        whole = np.concatenate([np.zeros((1, *v.shape[1:])), np.cumsum(steps, axis=0)])
        k = np.clip(np.searchsorted(t, when, side="right") - 1, 0, len(t) - 2)
        span = np.maximum(t[k + 1] - t[k], 1e-12)
        into = (when - t[k])[:, None, None]
        here = v[k] + into / span[:, None, None] * (v[k + 1] - v[k])
        area: Values = whole[k] + into * 0.5 * (v[k] + here)
        return area


def predict(
    build: Build, fit: Fitted, run: Running, case: LoadCase, channels: Sequence[Channel], draw: Draw
) -> Prediction:
    """Play the load case and read every channel; cycle means."""
    wired = wire(build, fit, run, case, draw)
    transient = simulate(wired.network, programme_of(case), settings=STEP)
    made = []
    for channel in channels:
        kind, id_ = channel.target.split(".", 1)
        if kind == "locations":
            plus, minus = positive(id_), negative(id_)
            ground = wired.network.ground
            zero = np.zeros((len(transient.t), wired.network.samples))
            volts = [zero if n == ground else transient.node_voltage(n).mean for n in (plus, minus)]
            made.append(volts[0] - volts[1])
        elif channel.kind == "current":
            made.append(np.abs(transient.current(channel.target).mean))
        else:
            made.append(transient.voltage(channel.target).mean)
    return Prediction(transient.t - LEAD_IN_S, np.stack(made, axis=-1))


def offset_of(log: VoltageLog, channels: Sequence[Channel], predicted: Prediction) -> tuple[float, str]:
    """Seconds to add to the log's time so that it lies on the prediction's, and how that was found.

    The shift at which the voltages agree best once each channel's own mean difference is taken away.
    """
    t = np.array(log.t)
    window = interval(log)
    volts = [k for k, c in enumerate(channels) if c.kind == "voltage"]
    measured = np.array([channels[k].column.values for k in volts])
    swing = float(np.max(np.nanmax(measured, axis=1) - np.nanmin(measured, axis=1)))
    lowest, highest = float(predicted.t[0] - t[-1]), float(predicted.t[-1])
    if swing < LEAST_SWING_V:
        return (
            0.0,
            f"not found: the logged voltages move by {swing:.2f} V only; the log is taken to start with the sound",
        )
    grid = np.arange(lowest, highest, OFFSET_STEP_S)
    thin = max(1, t.size // 400)
    coarse = [_misfit(t[::thin] + shift, measured[:, ::thin], predicted, volts, window) for shift in grid]
    near = float(grid[int(np.nanargmin(coarse))]) if np.isfinite(coarse).any() else 0.0
    fine = np.arange(near - OFFSET_STEP_S, near + OFFSET_STEP_S, OFFSET_FINE_S)
    shift = float(fine[int(np.nanargmin([_misfit(t + s, measured, predicted, volts, window) for s in fine]))])
    return shift, "found by laying the fall and rise of the voltage over the prediction"


def interval(log: VoltageLog) -> float:
    """Seconds between the rows of a log, the median: what a logger that shows means averages over."""
    return float(np.median(np.diff(np.array(log.t))))


def _misfit(t: Values, measured: Values, predicted: Prediction, volts: Sequence[int], window: float) -> float:
    inside = (t >= predicted.t[0]) & (t <= predicted.t[-1])
    if inside.mean() < LEAST_OVERLAP:
        return np.inf
    model = predicted.logged(t[inside], window)[:, 0, :]
    total = 0.0
    for row, k in enumerate(volts):
        rest = measured[row][inside] - model[:, k]
        rest = rest[np.isfinite(rest)]
        if rest.size < 5:
            return np.inf
        total += float(np.var(rest))
    return total


def noise_of(column: LogColumn) -> float:
    """Standard deviation of a column's noise, from its second differences: what changes slowly drops out.

    The median is used, so that edges do not count; var(second difference) = 6 var(noise). At least the noise of
    its smallest step (a uniform error of that width).
    """
    values = np.array(column.values)
    known = values[np.isfinite(values)]
    if known.size < 5:
        return 0.0
    second = np.diff(known, 2)
    steps = np.abs(np.diff(np.unique(known)))
    step = float(steps.min()) if steps.size else 0.0
    return float(max(np.median(np.abs(second)) / 0.6745 / np.sqrt(6.0), step / np.sqrt(12.0)))


def laid_over(
    log: VoltageLog,
    channels: Sequence[Channel],
    predicted: Prediction,
    id_: str,
    title: str,
    case: LoadCase,
    offset: float | None,
) -> MeasuredLog:
    """A log beside its prediction with the residual of every channel."""
    shift, words = (offset, "stated") if offset is not None else offset_of(log, channels, predicted)
    t = np.array(log.t) + shift
    inside = (t >= predicted.t[0]) & (t <= predicted.t[-1])
    model = predicted.logged(t[inside], interval(log))[:, 0, :]
    made = []
    for k, channel in enumerate(channels):
        measured = np.array(channel.column.values)[inside]
        if channel.kind == "current":
            measured = np.abs(measured)
        rest = measured - model[:, k]
        known = rest[np.isfinite(rest)]
        made.append(
            LoggedChannel(
                channel.title,
                channel.kind,
                frozen(t[inside]),
                frozen(measured),
                frozen(model[:, k]),
                float(np.sqrt(np.mean(known**2))) if known.size else np.nan,
                float(np.mean(known)) if known.size else np.nan,
            )
        )
    noise = max((noise_of(c.column) for c in channels if c.kind == "voltage"), default=0.0)
    return MeasuredLog(id_, title, case.title, shift, words, noise, tuple(made), log.words)


@dataclass(frozen=True, slots=True)
class UsableLog:
    """A log of the build file as read, and what its columns show."""

    stated: StatedLog
    log: VoltageLog
    channels: tuple[Channel, ...]


def logs_over(build: Build, usable: Sequence[UsableLog]) -> tuple[MeasuredLog, ...]:
    """Every log laid over its load case."""
    made: list[MeasuredLog] = []
    fit = fitted(build)
    for one in usable:
        stated, log, channels = one.stated, one.log, one.channels
        case = build.load_cases[stated.load_case]
        shift = None if stated.starts is None else -stated.starts.si
        predicted = predict(build, fit, running(build, case.engine), case, channels, nominal)
        made.append(laid_over(log, channels, predicted, stated.id, stated.title, case, shift))
    return tuple(made)


def read_logs(build: Build) -> tuple[tuple[UsableLog, ...], tuple[Diagnostic, ...]]:
    """The logs of the build file that can be used, and what is wrong with those whose file or columns do not fit it.

    Raises:
        BuildFileError: what the build file calls a log is not one; at the line of the log.
    """
    usable: list[UsableLog] = []
    problems: list[Diagnostic] = []
    broken: list[Diagnostic] = []
    for stated in build.kept.measurements.logs.values():
        path = f"measurements.logs.{stated.id}"
        try:
            data = _bytes(folder_of(build), stated.file)
            try:
                log = read_log(data, stated.file)
            except LogError as error:
                broken += [replace(d, path=path) for d in error.diagnostics]
                continue
            usable.append(UsableLog(stated, log, channels_of(build, log, stated.columns, stated.file)))
        except LogError as error:
            problems += [
                replace(d, severity=Severity.CAUTION, path=path, consequence="this log is left out")
                for d in error.diagnostics
            ]
    if broken:
        raise BuildFileError(tuple(broken))
    return tuple(usable), tuple(problems)


def _bytes(folder: Path, name: str) -> bytes:
    try:
        return read_beside(folder, name, MAXIMUM_BYTES)
    except BesideError as error:
        raise LogError(
            Diagnostic(
                "log-not-read",
                Severity.ERROR,
                f"the log {name} {error}",
                where=Place(name, 1, 1, ""),
                fix="the path is relative to the folder of the build file, and stays inside it",
            )
        ) from error
