"""How far readings may be off: the last digit and the repeat each for itself, gain and zero common to a meter."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from dossier.buildfile.recorded import Instrument, MeterReading
from dossier.buildfile.stated import Quantity
from dossier.buildfile.units import NUMBER
from dossier.frozen import dataclass
from dossier.reference.instruments import ERRORS

Values = NDArray[np.float64]

_NUMBER = re.compile(NUMBER)
BATCH_V = 0.006  # by which the coarser runs of the samples err in 95 of 100
RECTANGULAR = sqrt(3.0)  # half width over standard deviation


@dataclass(frozen=True, slots=True)
class ReadingError:
    """Standard deviations of one reading, in its unit.

    Attributes:
        meter: instrument and unit: what shares gain and zero.
        gain, zero: of the meter, at this reading.
        own: of this reading alone.
    """

    meter: tuple[str, str]
    gain: float
    zero: float
    own: float


def last_digit(q: Quantity) -> float:
    """What one step of the last written digit is worth, in SI: 0.01 V of ``12.35 V``, 0.1 V of ``12.4 V``."""
    found = _NUMBER.match(q.text)
    if found is None:
        return 0.0
    mantissa, _, exponent = found.group().lower().partition("e")
    _, _, decimals = mantissa.strip().partition(".")
    step = 10.0 ** (int(exponent or 0) - len(decimals))
    written = float(found.group())
    return step if written == 0.0 else step * abs(q.si / written)


def error_of(one: MeterReading, value: Quantity, unit: str, meter: Instrument) -> ReadingError | None:
    """The errors of a reading in V or A; None where nothing is known of such an instrument."""
    usual = ERRORS.get(meter.kind)
    if usual is None:
        return None
    share, zero = usual.share, usual.zero[unit]
    if meter.accuracy is not None:
        stated = meter.accuracy.voltage if unit == "V" else meter.accuracy.current
        share = meter.accuracy.share.si if meter.accuracy.share else 0.0
        zero = stated.si if stated else 0.0
    if unit == "A":
        repeat = usual.repeat_a * abs(value.si)
    elif one.moment == "rest":
        repeat = usual.rest
    else:
        by_figure = {"minimum_100ms": usual.held, "trough": usual.peak}
        repeat = sqrt(by_figure.get(one.shows, usual.playing) ** 2 + BATCH_V**2)
    digit = last_digit(value) / RECTANGULAR
    return ReadingError(
        (meter.id, unit), share * abs(value.si) / RECTANGULAR, zero / RECTANGULAR, sqrt(digit**2 + repeat**2)
    )


def covariance(errors: Sequence[ReadingError]) -> Values:
    """(K, K) of the readings' errors."""
    made = np.diag([one.own**2 for one in errors])
    for i, a in enumerate(errors):
        for j, b in enumerate(errors):
            if a.meter == b.meter:
                made[i, j] += a.gain * b.gain + a.zero * b.zero
    return made
