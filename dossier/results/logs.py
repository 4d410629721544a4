"""Measured voltage logs laid over the prediction."""

from __future__ import annotations

from enum import Enum

from dossier.frozen import dataclass
from dossier.results.sag import Trace
from dossier.results.units import Seconds, Volts


class ClockKind(Enum):
    """How the start of the sound in a log is known."""

    FOUND = "found"
    AMBIGUOUS = "ambiguous"
    NOT_MATCHED = "not matched"
    STATED = "stated"


@dataclass(frozen=True, slots=True)
class LoggedChannel:
    """One logged voltage or current beside its prediction.

    Attributes:
        title: where it was measured.
        kind: voltage | current.
        t: s from the start of the sound, shifted by ``offset`` of the log; (S,).
        measured, predicted: (S,) V or A, NaN where the prediction has collapsed.
        rms: root mean square of the residual (measured less predicted) [V or A].
        bias: its mean [V or A].
    """

    title: str
    kind: str
    t: Trace
    measured: Trace
    predicted: Trace
    rms: float
    bias: float


@dataclass(frozen=True, slots=True)
class MeasuredLog:
    """One log of the build file.

    Attributes:
        offset: seconds added to the log's own time, which counts from its first row, to count from the start of
            the sound [s].
        offset_words: when the sound starts in the log, or that it could not be found.
        clock: whether that was found.
        starts: s into the log at which the sound starts, the one used first; guesses where it was not matched.
        remarks: what the log says of the meters behind it.
        noise: standard deviation of the instrument's noise [V], from successive differences.
    """

    id: str
    title: str
    case: str
    offset: Seconds
    offset_words: str
    noise: Volts
    channels: tuple[LoggedChannel, ...]
    words: str
    clock: ClockKind = ClockKind.FOUND
    starts: tuple[Seconds, ...] = ()
    remarks: tuple[str, ...] = ()
