"""Whether a fit means anything: what it leaves, what the log shows at rest, what nature allows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dossier.assessment.proof.clock import Clock
from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.meters import measured, weight_of
from dossier.assessment.proof.predicted import Prediction
from dossier.assessment.sag.samples import Values
from dossier.buildfile.logs.log import LogError
from dossier.diagnostic import Diagnostic, Severity
from dossier.fitting.parameters import Calibrated
from dossier.fitting.rows import Rows, rms_of
from dossier.results.logs import ClockKind

NOT_ADEQUATE = 2.0  # times the noise
# share of what the channel moves by: below it a fit is told as not adequate, above it there is none; judgement
EXPLAINED_V, EXPLAINED_A = 0.03, 0.06
REST_S, REST_ROWS, REST_V = 5.0, 5, 0.05  # how long before the sound, how many rows, and how far off is a contradiction
LOOK_AT = (
    "check what was played (load case, how long, at which level, which amplifiers), what each of the columns shows, "
    "their units, and when the sound starts; nothing was written"
)


class NotExplainedError(LogError):
    """A log that the build cannot explain: no value of a fit would mean anything."""


def refused(code: str, headline: str, expected: str = "", fix: str = LOOK_AT) -> NotExplainedError:
    """The log is not explained, and what to look at."""
    return NotExplainedError(Diagnostic(code, Severity.ERROR, headline, expected=expected, fix=fix))


def check_clock(clock: Clock) -> None:
    """Refuse a log whose clock was not found.

    Raises:
        NotExplainedError: with the best guesses.
    """
    if clock.kind is ClockKind.NOT_MATCHED:
        raise refused("log-not-matched", clock.words, "a log that shows the sound of the load case start or end")
    if clock.kind is ClockKind.AMBIGUOUS:
        raise refused(
            "log-start-unclear", clock.words, "a log with the rest before the sound in it",
            "say which with --starts, or log from before the sound until after it; nothing was written",
        )  # fmt: skip


def check_left(residual: Values, rows: Sequence[Rows], clock: Clock, found: Clock | None) -> bool:
    """Whether the model is adequate.

    Args:
        residual: what is left, in units of the noise.
        rows: of which channels.
        clock: as used.
        found: as found, where another start was stated.

    Raises:
        NotExplainedError: what is left is no matter of the model's form any more.
    """
    adequate = True
    for voltage, share, unit, factor in ((True, EXPLAINED_V, "mV", 1e3), (False, EXPLAINED_A, "A", 1.0)):
        of = [r for r in rows if r.voltage is voltage]
        if not of:
            continue
        left = rms_of(residual, rows, voltage=voltage)
        noise = float(np.sqrt(np.mean([r.noise**2 for r in of])))
        adequate &= left <= NOT_ADEQUATE * noise
        if left > max(NOT_ADEQUATE * noise, share * max(r.swing for r in of)):
            other = f"; by itself the log says: {found.words}" if found else ""
            raise refused(
                "fit-not-explained",
                f"no values of this build explain the log: {factor * left:.0f} {unit} are left where its noise is "
                f"{factor * noise:.0f} {unit} ({clock.words}{other})",
                f"less than twice the noise, or than {100.0 * share:.0f} % of what the log moves by",
            )
    return adequate


def check_rest(channels: Sequence[Channel], fitted: Prediction, t: Values, results: Sequence[Calibrated]) -> None:
    """Refuse values that contradict what the log shows before the sound.

    Args:
        channels: of the log.
        fitted: what the fitted build says of each, one sample.
        t: (S,) s from the start of the sound.
        results: the values.

    Raises:
        NotExplainedError: with the value and what was shown.
    """
    for k, channel in enumerate(channels):
        values = measured(channel)
        rest = values[(t > -REST_S) & (t < -0.2) & np.isfinite(values)]
        if channel.kind != "voltage" or rest.size < REST_ROWS:
            continue
        shown, said = float(rest.mean()), float(fitted.values[0, 0, k])
        if abs(shown - said) > max(REST_V, 4.0 * weight_of(channel) / np.sqrt(rest.size)):
            values_ = ", ".join(
                f"{one.parameter.title} {one.parameter.value(one.theta):.2f} V"
                for one in results
                if one.parameter.shifts
            )
            raise refused(
                "fit-contradicts-rest",
                f"before the sound {channel.column.name} shows {shown:.2f} V, the fitted build rests at {said:.2f} V"
                + (f" ({values_})" if values_ else ""),
                f"rest voltages within {1e3 * REST_V:.0f} mV",
            )


def check_possible(results: Sequence[Calibrated]) -> None:
    """Refuse what nature does not allow: an efficiency above 100 %, a resistance below zero, give or take its error.

    Raises:
        NotExplainedError: with the values.
    """
    impossible = [one for one in results if not _possible(one)]
    if impossible:
        told = ", ".join(
            f"{one.parameter.title} {one.parameter.value(one.theta):.3g} {one.parameter.unit}".strip()
            for one in impossible
        )
        raise refused(
            "fit-not-possible",
            f"the log could only be explained by what cannot be: {told}",
            "columns that show what they are said to show, in volts or amperes, of the load case that was played",
        )


def _possible(one: Calibrated) -> bool:
    p = one.parameter
    value, error = p.value(one.theta), 2.0 * one.error * (1.0 if p.shifts else p.nominal)
    return value + error > 0.0 and (p.unit != "" or value - error <= 1.0)
