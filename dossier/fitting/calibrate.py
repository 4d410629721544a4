"""Least squares with what is known before: parameters, their uncertainty, and whether the model can follow the log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.logs import Prediction, interval, noise_of, offset_of, predict
from dossier.assessment.proof.ripple_readings import with_measured_ripple
from dossier.assessment.sag.samples import Values
from dossier.buildfile.logs.log import LogError, VoltageLog
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.draw import nominal
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.fitted import fitted, running
from dossier.fitting.parameters import Adjusted, Parameter, parameters_of

LEAST_NOISE_V = 0.003  # the solver's own error and the cycle mean's; no fit is asked to be closer
LEAST_NOISE_A = 0.5
LEAST_SWING_V = 0.1  # what a log must move by; a resistance from less is a guess
METER_BIAS_V = 0.01  # V, two meters that differ by 0.1 % at 12 V; hand-held ones may differ more
METER_BIAS = 0.02  # of a current, a clamp's scale
CLAMP_ERROR = 0.02  # of the current; clamps are good for 2 to 3 %, practice
EDGE_S = 0.06  # s around a jump of the programme in which a log's clock decides more than the model
COLLAPSED_V = 5.0  # stands for the voltage of a run that has collapsed
STEP = 0.02  # of a factor, and in V of a shift, for derivatives
MOST_POINTS = 600  # per channel
CORRELATED = 0.9
NOT_ADEQUATE = 2.0  # times the noise
MOST_RUNS = 25


@dataclass(frozen=True, slots=True)
class Calibrated:
    """One calibrated parameter: theta and its standard deviation, before and after."""

    parameter: Parameter
    theta: float
    sd: float

    @property
    def told(self) -> bool:
        """Whether the log has told more than was known before, and a value that its own error does not swallow."""
        value = self.parameter.value(self.theta)
        spread = self.sd if self.parameter.shifts else self.sd * self.parameter.nominal
        return self.sd < 0.7 * self.parameter.sd and (self.parameter.shifts or value > 2.0 * spread)


@dataclass(frozen=True, slots=True)
class Fit:
    """A calibration.

    Attributes:
        results: the parameters.
        correlated: pairs that the log cannot tell apart, with their correlation.
        rms_before, rms: of the voltages' residual [V]; ``noise`` of the instrument [V].
        offset: seconds added to the log's time.
        adequate: whether the rms is within twice the noise.
        channels: what was fitted, in words.
    """

    results: tuple[Calibrated, ...]
    correlated: tuple[tuple[str, str, float], ...]
    rms_before: float
    rms: float
    noise: float
    offset: float
    offset_words: str
    adequate: bool
    channels: tuple[str, ...]


class ScipyMissingError(Exception):
    """The optional package for fitting is not installed."""


def calibrate(
    build: Build, case: LoadCase, log: VoltageLog, channels: Sequence[Channel], offset: float | None = None
) -> Fit:
    """Calibrate what a log can tell.

    Args:
        build: the build.
        case: the load case that was played.
        log: the log.
        channels: what its columns show.
        offset: seconds to add to the log's time; None: found.

    Raises:
        ScipyMissingError: scipy is not installed.
        LogError: the log and the load case do not overlap.
    """
    try:
        from scipy.optimize import least_squares
    except ImportError as error:
        raise ScipyMissingError from error
    build, _ = with_measured_ripple(build)
    fit, run = fitted(build), running(build, case.engine)
    base = predict(build, fit, run, case, channels, nominal)
    shift, words = (offset, "stated") if offset is not None else offset_of(log, channels, base)
    parameters = parameters_of(build, fit, run, case, channels)
    found = _solved(build, case, log, channels, parameters, base, shift, least_squares)
    if offset is None:  # once more with the clock laid on what was fitted
        theta = np.array([[one.theta for one in found.results]])
        better = predict(build, fit, run, case, channels, Adjusted(parameters, theta))
        shift, words = offset_of(log, channels, better)
        found = _solved(build, case, log, channels, parameters, base, shift, least_squares)
    return replace(found, offset_words=words)


def _solved(
    build: Build,
    case: LoadCase,
    log: VoltageLog,
    channels: Sequence[Channel],
    parameters: Sequence[Parameter],
    base: Prediction,
    shift: float,
    least_squares: Callable[..., Any],
) -> Fit:
    """The calibration with the clocks as they are."""
    fit, run = fitted(build), running(build, case.engine)
    window = interval(log)
    rows = [_Rows(c, np.array(log.t) + shift, base.t, k) for k, c in enumerate(channels)]
    rows = [r for r in rows if r.t.size >= 10]
    if not any(r.channel.kind == "voltage" for r in rows):
        raise LogError(
            Diagnostic(
                "log-no-overlap",
                Severity.ERROR,
                "the log and the load case do not overlap",
                expected="a load case as long as what was logged",
                fix="name the load case that was played",
            )
        )
    swing = max(float(np.ptp(r.values)) for r in rows if r.channel.kind == "voltage")
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
    sds = np.array([p.sd for p in parameters])
    known: dict[bytes, tuple[Values, Values]] = {}

    def at(z: Values) -> tuple[Values, Values]:
        """Residuals and their derivatives at ``z`` (P,), in standard deviations of what was known before."""
        key = z.tobytes()
        if key not in known:
            steps = np.concatenate([np.zeros((1, z.size)), np.diag(_steps(parameters) / sds)])
            made = predict(build, fit, run, case, channels, Adjusted(parameters, (z[None, :] + steps) * sds))
            whole = np.concatenate([r.residual(made, window) for r in rows])
            derivative = (whole[:, 1:] - whole[:, :1]) / np.diag(steps[1:])[None, :]
            known[key] = (np.concatenate([whole[:, 0], z]), np.concatenate([derivative, np.eye(z.size)]))
        return known[key]

    found = least_squares(
        lambda z: at(z)[0],
        np.zeros(len(parameters)),
        jac=lambda z: at(z)[1],
        method="trf",
        loss="linear",
        x_scale=1.0,
        ftol=1e-5,
        xtol=1e-4,
        max_nfev=MOST_RUNS,
    )
    z = found.x
    _, jacobian = at(z)
    volts_before, volts = (_rms(at(x)[0], rows) for x in (np.zeros(len(parameters)), z))
    noise = float(np.sqrt(np.mean([r.noise**2 for r in rows if r.channel.kind == "voltage"])))
    adequate = volts <= NOT_ADEQUATE * noise
    # a misfit beyond the noise is no random error: it widens what is claimed
    wider = max(1.0, volts / noise)
    data = jacobian[: -len(parameters)] / wider
    curvature = np.linalg.inv(data.T @ data + np.eye(len(parameters)))
    covariance = curvature.copy()
    correlation = curvature / np.sqrt(np.outer(np.diag(curvature), np.diag(curvature)))
    at_row = 0
    for r in rows:  # what a constant error of this channel's meter would do
        part = jacobian[at_row : at_row + r.t.size]
        bias = METER_BIAS_V if r.channel.kind == "voltage" else METER_BIAS * float(np.max(r.values))
        moved = curvature @ part.sum(0) * (bias / r.noise / wider**2)
        covariance += np.outer(moved, moved)
        at_row += r.t.size
    spread = np.sqrt(np.diag(covariance))
    results = tuple(Calibrated(p, float(z[k] * sds[k]), float(spread[k] * sds[k])) for k, p in enumerate(parameters))
    impossible = [one for one in results if not _possible(one)]
    if impossible:
        raise LogError(_not_possible(impossible))
    pairs = tuple(
        (results[i].parameter.title, results[j].parameter.title, float(correlation[i, j]))
        for i in range(len(results))
        for j in range(i)
        if abs(correlation[i, j]) > CORRELATED
    )
    names = tuple(f"{r.channel.column.name}: {r.channel.title}" for r in rows)
    return Fit(results, pairs, volts_before, volts, noise, shift, "", adequate, names)


def _possible(one: Calibrated) -> bool:
    """Whether nature allows the fitted value, give or take its error: no efficiency above 100 %, nothing below zero."""
    p = one.parameter
    value, error = p.value(one.theta), 2.0 * (one.sd if p.shifts else one.sd * p.nominal)
    return value + error > 0.0 and (p.unit != "" or value - error <= 1.0)


def _not_possible(results: Sequence[Calibrated]) -> Diagnostic:
    told = ", ".join(
        f"{one.parameter.title} {one.parameter.value(one.theta):.3g} {one.parameter.unit}".strip() for one in results
    )
    return Diagnostic(
        "fit-not-possible",
        Severity.ERROR,
        f"the log could only be explained by what cannot be: {told}",
        expected="columns that show what they are said to show, in volts or amperes, of the load case that was played",
        fix="check the units in the head of the log, `columns` and the load case; nothing was written",
    )


def _steps(parameters: Sequence[Parameter]) -> Values:
    return np.array([0.02 if p.shifts else STEP for p in parameters])


class _Rows:
    """The usable rows of one channel, thinned, away from the jumps of the programme."""

    def __init__(self, channel: Channel, t: Values, predicted_t: Values, index: int) -> None:
        values = np.array(channel.column.values)
        if channel.kind == "current":
            values = np.abs(values)
        noise = noise_of(channel.column)
        self.channel, self.index = channel, index
        if channel.kind == "voltage":
            self.noise = max(noise, LEAST_NOISE_V)
        else:
            self.noise = max(noise, LEAST_NOISE_A, CLAMP_ERROR * float(np.nanmax(values)))
        good = np.isfinite(values) & (t >= predicted_t[0]) & (t <= predicted_t[-1])
        jumps = np.abs(np.diff(values)) > max(0.15, 8.0 * noise)
        for k in np.flatnonzero(jumps & (channel.kind == "voltage")):
            good &= (t < t[k] - EDGE_S) | (t > t[k + 1] + EDGE_S)
        kept = np.flatnonzero(good)
        kept = kept[:: max(1, kept.size // MOST_POINTS)]
        self.t, self.values = t[kept], values[kept]

    def residual(self, made: Prediction, window: float) -> Values:
        """Predicted less measured in units of the noise, (S, B)."""
        model = made.logged(self.t, window)[..., self.index]
        gone = COLLAPSED_V if self.channel.kind == "voltage" else 0.0
        rest: Values = (np.where(np.isnan(model), gone, model) - self.values[:, None]) / self.noise
        return rest


def _rms(residual: Values, rows: Sequence[_Rows]) -> float:
    """Of the voltage channels [V]."""
    parts, at = [], 0
    for r in rows:
        if r.channel.kind == "voltage":
            parts.append(residual[at : at + r.t.size] * r.noise)
        at += r.t.size
    return float(np.sqrt(np.mean(np.concatenate(parts) ** 2)))
