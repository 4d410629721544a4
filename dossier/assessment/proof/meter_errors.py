"""How far readings may be off: the last digit and the repeat each for itself, gain and zero common to a meter."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.proof.figures_read import Figure
from dossier.buildfile.recorded import Instrument, JointReading
from dossier.buildfile.stated import Quantity
from dossier.buildfile.units import NUMBER
from dossier.frozen import dataclass
from dossier.reference.instruments import AC_SHARE, ERRORS, MILLIVOLT_REPEAT, MILLIVOLT_ZERO

Values = NDArray[np.float64]

_NUMBER = re.compile(NUMBER)
BATCH_V = 0.006  # by which the coarser runs of the samples err in 95 of 100
RECTANGULAR = sqrt(3.0)  # half width over standard deviation


@dataclass(frozen=True, slots=True)
class ReadingError:
    """Standard deviations of one reading, in its unit.

    Attributes:
        meter: instrument and range: what shares gain and zero.
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


def error_of(figure: Figure, meter: Instrument) -> ReadingError | None:
    """The errors of a recorded figure; None where nothing is known of such an instrument."""
    usual, one = ERRORS.get(meter.kind), figure.source
    if usual is None:
        return None
    accuracy, size = meter.accuracy, abs(figure.quantity.si)
    share = usual.share if accuracy is None else accuracy.share.si if accuracy.share else 0.0
    digit = last_digit(figure.quantity) / RECTANGULAR
    if isinstance(one, JointReading):
        return _of_resistance(one, meter.id, share, digit)
    if figure.unit == "V" and one.cable:
        return _error(meter.id, "mV", share * size, MILLIVOLT_ZERO, hypot(digit, MILLIVOLT_REPEAT))
    if one.shows == "output_rms":
        share = AC_SHARE if accuracy is None else share
        return _error(meter.id, "AC", share * size, 0.0, hypot(digit, AC_SHARE / 3.0 * size))
    zero = usual.zero[figure.unit]
    if accuracy is not None:
        stated = accuracy.voltage if figure.unit == "V" else accuracy.current
        zero = stated.si if stated else 0.0
    if figure.unit == "A":
        repeat = usual.repeat_a * size
    elif one.moment == "rest":
        repeat = usual.rest
    else:
        by_figure = {"minimum_100ms": usual.held, "trough": usual.peak}
        repeat = hypot(by_figure.get(one.shows, usual.playing), BATCH_V)
    return _error(meter.id, figure.unit, share * size, zero, hypot(digit, repeat))


def _error(meter: str, reach: str, gain: float, zero: float, own: float) -> ReadingError:
    return ReadingError((meter, reach), gain / RECTANGULAR, zero / RECTANGULAR, own)


def _of_resistance(one: JointReading, meter: str, share: float, digit: float) -> ReadingError:
    """Millivolts over amperes of a clamp that is not recorded: both relative errors add as squares."""
    drop, amps, clamp = max(one.drop.si, 1e-4), one.current.si, ERRORS["dc_clamp"]
    volts = hypot(digit, MILLIVOLT_REPEAT, MILLIVOLT_ZERO / RECTANGULAR) / drop
    current = hypot(
        clamp.share / RECTANGULAR, clamp.zero["A"] / RECTANGULAR / amps, last_digit(one.current) / RECTANGULAR / amps
    )
    ohms = drop / amps
    return _error(meter, "mV", share * ohms, 0.0, ohms * hypot(volts, current))


def covariance(errors: Sequence[ReadingError]) -> Values:
    """(K, K) of the readings' errors."""
    made = np.diag([one.own**2 for one in errors])
    for i, a in enumerate(errors):
        for j, b in enumerate(errors):
            if a.meter == b.meter:
                made[i, j] += a.gain * b.gain + a.zero * b.zero
    return made
