"""What a column says of the meter behind it: its noise, and the faults that are told apart from the vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import Enum

import numpy as np

from dossier.assessment.proof.log_columns import Channel
from dossier.assessment.proof.predicted import Prediction, direction
from dossier.assessment.sag.samples import Values
from dossier.buildfile.logs.log import LogColumn
from dossier.frozen import dataclass

LEAST_NOISE_V = 0.003  # the solver's own error and the cycle mean's; nothing is asked to be closer
LEAST_NOISE_A = 0.5
STUCK_ROWS, STUCK_SHARE = 8, 0.01  # rows at one extreme value that noise does not give by chance
JITTER_STEPS = 1.5  # smallest steps by which a column must move from row to row for that to be told
TEN = (5.0, 20.0)  # a factor of ten, with what a prediction may be wrong by
ZERO_A, ZERO_SHARE = 1.0, 0.02  # from which a clamp's zero is told: amperes, and share of what it shows
AFTER_S = 0.5  # s after the sound at which an amplifier draws its idle current again


class FaultKind(Enum):
    """What is wrong with a meter."""

    RANGE = "a factor of ten"
    ZERO = "a zero that is off"


@dataclass(frozen=True, slots=True)
class MeterFault:
    """A fault of a meter, and the sentence that tells it."""

    kind: FaultKind
    words: str


def noise_of(column: LogColumn) -> float:
    """Standard deviation of a column's noise, from its second differences: what changes slowly drops out.

    The median is used, so that edges do not count; var(second difference) = 6 var(noise). At least the noise of
    its smallest step (a uniform error of that width).
    """
    values = np.array(column.values)
    known = values[np.isfinite(values)]
    if known.size < 5:
        return 0.0
    return float(max(_jitter(known), _step(known) / np.sqrt(12.0)))


def weight_of(channel: Channel) -> float:
    """The noise with which a channel's residuals are judged [V or A]."""
    least = LEAST_NOISE_V if channel.kind == "voltage" else LEAST_NOISE_A
    return max(noise_of(channel.column), least)


def _jitter(known: Values) -> float:
    return float(np.median(np.abs(np.diff(known, 2))) / 0.6745 / np.sqrt(6.0))


def _step(known: Values) -> float:
    steps = np.diff(np.unique(known))
    return float(steps.min()) if steps.size else 0.0


def measured(channel: Channel) -> Values:
    """The values of a channel (S,), a current in the direction in which it peaks."""
    values = np.array(channel.column.values)
    return values if channel.kind == "voltage" else direction(values) * values


def unsaturated(channel: Channel) -> tuple[Channel, str]:
    """The channel without the rows at which it stood at the end of its range, and a sentence that says so."""
    values = np.array(channel.column.values)
    unit = "V" if channel.kind == "voltage" else "A"
    for extreme in (float(np.nanmin(values)), float(np.nanmax(values))):
        at = values == extreme
        count = int(at.sum())
        elsewhere = values[np.isfinite(values) & ~at]
        if count < max(STUCK_ROWS, STUCK_SHARE * values.size) or elsewhere.size < STUCK_ROWS:
            continue
        moves = _jitter(elsewhere)
        if moves > JITTER_STEPS * _step(np.append(elsewhere, extreme)):
            kept = tuple(np.where(at, np.nan, values).tolist())
            return replace(channel, column=replace(channel.column, values=kept)), (
                f"{channel.column.name} stands at exactly {extreme:g} {unit} in {count} rows while it moves by "
                f"{moves:.2g} {unit} from row to row elsewhere: the channel was saturated, and those rows are left "
                "out. Choose a larger range"
            )
    return channel, ""


def faults(channels: Sequence[Channel], predicted: Prediction, t: Values, window: float) -> tuple[MeterFault, ...]:
    """What the currents of a log say of their clamps, once its clock is known.

    Args:
        channels: the channels.
        predicted: the prediction of each.
        t: (S,) s from the start of the sound of each row.
        window: s over which a row averages.
    """
    told = []
    inside = (t >= predicted.t[0]) & (t <= predicted.t[-1])
    model = predicted.logged(t[inside], window)[:, 0, :]
    for k, channel in enumerate(channels):
        if channel.kind != "current":
            continue
        shown, expected = measured(channel)[inside], model[:, k]
        ratio = float(np.nanstd(shown) / max(float(np.nanstd(expected)), 1e-9))
        by_ten = TEN[0] < ratio < TEN[1] or TEN[0] < 1.0 / max(ratio, 1e-9) < TEN[1]
        if by_ten:
            told.append(
                MeterFault(
                    FaultKind.RANGE,
                    f"{channel.column.name} moves by {ratio:.2g} times what is predicted: a factor of ten in the range "
                    "of the clamp, or in what its millivolts were taken for",
                )
            )
        zeros = rest_zeros(channel, predicted, t[inside], shown - expected)
        if zeros and not by_ten:
            told.append(
                MeterFault(
                    FaultKind.ZERO,
                    f"{channel.column.name} shows {zeros[0]:+.1f} A before the sound and {zeros[1]:+.1f} A after it "
                    "beyond what the amplifier draws at rest: the zero of the clamp. Zero it before every run",
                )
            )
    return tuple(told)


def rest_zeros(channel: Channel, predicted: Prediction, t: Values, left: Values) -> tuple[float, float] | None:
    """The zero of an amplifier's clamp before and after the sound [A], where it is more than noise; else None.

    Args:
        channel: the channel.
        predicted: for when the sound ends.
        t: (S,) s from the start of the sound.
        left: (S,) measured less predicted [A].
    """
    if not channel.target.startswith("amplifiers."):
        return None  # a source delivers at rest what nobody knows well enough
    parts = [left[(t < -0.2) & np.isfinite(left)], left[(t > predicted.ends + AFTER_S) & np.isfinite(left)]]
    if min(p.size for p in parts) < 3:
        return None
    before, after = (float(np.mean(p)) for p in parts)
    least = max(ZERO_A, ZERO_SHARE * float(np.nanmax(np.abs(left - np.nanmean(left)))), weight_of(channel))
    return (before, after) if max(abs(before), abs(after)) > least else None
