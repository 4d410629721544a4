"""Measured logs laid over the prediction: how the clocks lie, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from dossier.assessment.proof.clock import clock_of, interval, stated_clock
from dossier.assessment.proof.log_columns import Channel, channels_of
from dossier.assessment.proof.meters import faults, measured, noise_of, unsaturated
from dossier.assessment.proof.predicted import Prediction, predict
from dossier.assessment.sag.traces import frozen
from dossier.buildfile.attached_files import BesideError, folder_of, read_beside
from dossier.buildfile.logs.log import MAXIMUM_BYTES, LogError, VoltageLog
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.model import Build, LoadCase
from dossier.buildfile.recorded import StatedLog
from dossier.buildfile.source import BuildFileError
from dossier.circuit.sampler import nominal
from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.equipment.installed import installed, running
from dossier.frozen import dataclass
from dossier.results.logs import ClockKind, LoggedChannel, MeasuredLog


def laid_over(
    log: VoltageLog,
    channels: Sequence[Channel],
    predicted: Prediction,
    id_: str,
    title: str,
    case: LoadCase,
    start: float | None,
) -> MeasuredLog:
    """A log beside its prediction with the residual of every channel; no channels where its clock was not found."""
    clock = clock_of(log, channels, predicted) if start is None else stated_clock(start)
    noise = max((noise_of(c.column) for c in channels if c.kind == "voltage"), default=0.0)
    whole = [unsaturated(c) for c in channels]
    remarks = tuple(words for _, words in whole if words)
    made = []
    if clock.kind is not ClockKind.NOT_MATCHED:
        t = np.array(log.t) + clock.offset
        inside = (t >= predicted.t[0]) & (t <= predicted.t[-1])
        model = predicted.logged(t[inside], interval(log))[:, 0, :]
        remarks += tuple(fault.words for fault in faults(channels, predicted, t, interval(log)))
        for k, (channel, _) in enumerate(whole):
            shown = measured(channel)[inside]
            known = (shown - model[:, k])[np.isfinite(shown - model[:, k])]
            made.append(
                LoggedChannel(
                    channel.title,
                    channel.kind,
                    frozen(t[inside]),
                    frozen(shown),
                    frozen(model[:, k]),
                    float(np.sqrt(np.mean(known**2))) if known.size else np.nan,
                    float(np.mean(known)) if known.size else np.nan,
                )
            )
    return MeasuredLog(
        id=id_,
        title=title,
        case=case.title,
        offset=clock.offset,
        offset_words=clock.words,
        noise=noise,
        channels=tuple(made),
        words=log.words,
        clock=clock.kind,
        starts=clock.starts,
        remarks=remarks,
    )


@dataclass(frozen=True, slots=True)
class UsableLog:
    """A log of the build file as read, and what its columns show."""

    stated: StatedLog
    log: VoltageLog
    channels: tuple[Channel, ...]


def logs_over(build: Build, usable: Sequence[UsableLog]) -> tuple[MeasuredLog, ...]:
    """Every log laid over its load case."""
    made: list[MeasuredLog] = []
    fit = installed(build)
    for one in usable:
        stated, log, channels = one.stated, one.log, one.channels
        case = build.load_cases[stated.load_case]
        start = None if stated.starts is None else stated.starts.si
        predicted = predict(build, fit, running(build, case.engine), case, channels, nominal)
        made.append(laid_over(log, channels, predicted, stated.id, stated.title, case, start))
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
                missing=error.missing,
            )
        ) from error
