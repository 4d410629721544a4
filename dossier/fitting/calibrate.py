"""Least squares with what is known before: parameters, their uncertainty, and whether the model can follow the log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from dossier.assessment.proof.clock import Clock, clock_of, interval, laid_again, stated_clock
from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.meters import FaultKind, faults, unsaturated
from dossier.assessment.proof.predicted import Prediction, predict
from dossier.assessment.proof.ripple_readings import with_measured_ripple
from dossier.assessment.sag.samples import Values
from dossier.buildfile.logs.log import LogError, VoltageLog
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.sampler import InputSampler, nominal
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.installed import installed, running
from dossier.fitting.judgement import check_clock, check_left, check_possible, check_rest, refused
from dossier.fitting.parameters import Adjusted, Calibrated, Parameter, parameters_of
from dossier.fitting.rows import LEAST_POINTS, Rows, nuisances, rms_of, systematic
from dossier.frozen import dataclass

LEAST_SWING_V = 0.1  # what a log must move by; a resistance from less is a guess
STEP = 0.02  # of a factor, and in V of a shift, for derivatives
CORRELATED = 0.9
MOST_RUNS = 25

Predict = Callable[[InputSampler], Prediction]


@dataclass(frozen=True, slots=True)
class Fit:
    """A calibration.

    Attributes:
        results: the parameters.
        correlated: pairs that the log cannot tell apart, with their correlation.
        rms_before, rms: of the voltages' residual [V]; ``noise`` of the instrument [V].
        clock: when the sound starts in the log.
        adequate: whether what is left is within twice the noise.
        channels: what was fitted, in words.
        remarks: what the log says of the meters behind it.
    """

    results: tuple[Calibrated, ...]
    correlated: tuple[tuple[str, str, float], ...]
    rms_before: float
    rms: float
    noise: float
    clock: Clock
    adequate: bool
    channels: tuple[str, ...]
    remarks: tuple[str, ...]


class ScipyMissingError(Exception):
    """The optional package for fitting is not installed."""


def calibrate(
    build: Build, case: LoadCase, log: VoltageLog, channels: Sequence[Channel], start: float | None = None
) -> Fit:
    """Calibrate what a log can tell.

    Args:
        build: the build.
        case: the load case that was played.
        log: the log.
        channels: what its columns show.
        start: s into the log (from its first row) at which the sound starts; None: found.

    Raises:
        ScipyMissingError: scipy is not installed.
        NotExplainedError: the build does not explain the log.
        LogError: the log says nothing of this load case.
    """
    try:
        from scipy.optimize import least_squares
    except ImportError as error:
        raise ScipyMissingError from error
    _check_moves(channels)
    build, _ = with_measured_ripple(build)
    fit, run = installed(build), running(build, case.engine)

    def prediction(draw: InputSampler) -> Prediction:
        return predict(build, fit, run, case, channels, draw)

    base = prediction(nominal)
    clock = clock_of(log, channels, base) if start is None else stated_clock(start)
    check_clock(clock)
    whole, remarks = zip(*(unsaturated(c) for c in channels), strict=True)
    told = faults(channels, base, np.array(log.t) + clock.offset, interval(log))
    wrong = next((fault for fault in told if fault.kind is FaultKind.RANGE), None)
    if wrong is not None:
        raise refused(
            "log-range", wrong.words, "amperes", "set the range of the clamp, and log again or scale the column"
        )
    parameters = parameters_of(build, fit, run, case, channels)
    solve = _Solver(prediction, base, parameters, least_squares)
    theta = solve.at(log, whole, clock).theta
    if start is None:  # once more with the clock laid on what was fitted
        clock = laid_again(log, channels, prediction(Adjusted(parameters, theta)), clock)
    solved = solve.at(log, whole, clock)
    adequate = check_left(solved.left, solved.rows, clock, clock_of(log, channels, base) if start is not None else None)
    check_possible(solved.results)
    check_rest(whole, prediction(Adjusted(parameters, solved.theta)), np.array(log.t) + clock.offset, solved.results)
    volts = [r.noise for r in solved.rows if r.voltage]
    return Fit(
        results=solved.results,
        correlated=solved.correlated,
        rms_before=rms_of(solved.before, solved.rows, voltage=True),
        rms=rms_of(solved.left, solved.rows, voltage=True),
        noise=float(np.sqrt(np.mean(np.square(volts)))),
        clock=clock,
        adequate=adequate,
        channels=tuple(f"{r.channel.column.name}: {r.channel.title}" for r in solved.rows),
        remarks=tuple(words for words in remarks if words) + tuple(fault.words for fault in told),
    )


def _check_moves(channels: Sequence[Channel]) -> None:
    swing = max(float(np.nanmax(c.column.values) - np.nanmin(c.column.values)) for c in channels if c.kind == "voltage")
    if swing < LEAST_SWING_V:
        raise LogError(
            Diagnostic(
                "log-does-not-move",
                Severity.ERROR,
                f"the logged voltages move by {swing:.2f} V only while the load case plays: nothing can be calibrated",
                expected=f"a log of the note that moves by {LEAST_SWING_V:g} V or more",
                fix="check that the logger ran while it was played, the column is the right one, and the clocks agree",
            )
        )


@dataclass(frozen=True, slots=True)
class _Solved:
    """A solution with the clock as it is: (S,) residuals in units of the noise, before and ``left``."""

    rows: tuple[Rows, ...]
    theta: Values
    results: tuple[Calibrated, ...]
    correlated: tuple[tuple[str, str, float], ...]
    before: Values
    left: Values


class _Solver:
    """The least-squares problem of a log: parameters and what the meters may add, each in standard deviations."""

    def __init__(
        self, prediction: Predict, base: Prediction, parameters: Sequence[Parameter], least_squares: Callable[..., Any]
    ) -> None:
        self.prediction, self.base, self.parameters, self.least_squares = prediction, base, parameters, least_squares
        self.sds = np.array([p.sd for p in parameters])

    def at(self, log: VoltageLog, channels: Sequence[Channel], clock: Clock) -> _Solved:
        """The solution for a clock.

        Raises:
            LogError: log and load case do not overlap.
        """
        t = np.array(log.t) + clock.offset
        every = (Rows(c, t, interval(log), self.base, k) for k, c in enumerate(channels))
        rows = tuple(r for r in every if r.t.size >= LEAST_POINTS)
        if not any(r.voltage for r in rows):
            raise refused(
                "log-no-overlap", "the log and the load case do not overlap", "a load case as long as what was logged"
            )
        meters = nuisances(rows)
        count, size = self.sds.size, self.sds.size + meters.shape[1]
        steps = np.concatenate([np.zeros((1, count)), np.diag(STEP / self.sds)])
        known: dict[bytes, tuple[Values, Values]] = {}

        def of(z: Values) -> tuple[Values, Values]:
            """Residuals and their derivatives at ``z`` (P + N,), with those of what was known before."""
            key = z.tobytes()
            if key not in known:
                made = self.prediction(Adjusted(self.parameters, (z[None, :count] + steps) * self.sds))
                whole = np.concatenate([r.residual(made) for r in rows])
                slopes = (whole[:, 1:] - whole[:, :1]) / np.diag(steps[1:])[None, :]
                residual = np.concatenate([whole[:, 0] + meters @ z[count:], z])
                known[key] = residual, np.concatenate([np.concatenate([slopes, meters], axis=1), np.eye(size)])
            return known[key]

        z = self.least_squares(
            lambda z: of(z)[0], np.zeros(size), jac=lambda z: of(z)[1],
            method="trf", loss="linear", x_scale=1.0, ftol=1e-5, xtol=1e-4, max_nfev=MOST_RUNS,
        ).x  # fmt: skip
        residual, jacobian = of(z)
        left = residual[:-size]
        # a misfit beyond the noise is no random error: it widens what is claimed
        data = jacobian[:-size] / max(1.0, float(np.sqrt(np.mean(left**2))))
        curvature = np.linalg.inv(data.T @ data + np.eye(size))
        moved = (curvature @ data.T @ systematic(rows))[:count]
        spread = np.sqrt(np.diag(curvature)[:count])
        correlation = curvature[:count, :count] / np.outer(spread, spread)
        results = tuple(
            Calibrated(p, float(z[k] * sd), float(spread[k] * sd), float(np.linalg.norm(moved[k]) * sd))
            for k, (p, sd) in enumerate(zip(self.parameters, self.sds, strict=True))
        )
        pairs = tuple(
            (results[i].parameter.title, results[j].parameter.title, float(correlation[i, j]))
            for i in range(count)
            for j in range(i)
            if abs(correlation[i, j]) > CORRELATED
        )
        before = of(np.zeros(size))[0][:-size]
        return _Solved(rows, z[None, :count] * self.sds, results, pairs, before, left)
