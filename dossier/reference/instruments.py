"""What measuring instruments can see of a changing voltage. Common practice in the trade, no source."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from dossier.frozen import dataclass

_AC: Final = frozenset({"ripple_rms", "output_rms"})
_MEAN: Final = _AC | {"mean"}  # DC volts, and AC volts for the ripple and for an output
_HELD: Final = _MEAN | {"minimum_100ms"}  # a min/max function reacts in 100 to 250 ms
_ALL: Final = _HELD | {"trough"}  # a peak mode of 1 ms or faster, or an oscilloscope
_NONE: Final[frozenset[str]] = frozenset()

SEES: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "multimeter": _MEAN,
        "multimeter_minmax": _HELD,
        "multimeter_peak": _ALL,
        "oscilloscope": _ALL,
        "logger": frozenset({"mean", "minimum_100ms"}),
        "dc_clamp": frozenset({"mean"}),
        "ac_clamp": frozenset({"ripple_rms"}),
        "obd_reader": frozenset({"mean"}),
        "conductance_tester": _NONE,  # the ohmic part of a battery only
        "insulation_tester": _NONE,
        "torque_wrench": _NONE,
        "thermometer": _NONE,
        "sound_level_meter": _NONE,
        "phone": _NONE,  # frequency and relative level only
    }
)

WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "multimeter": "the mean; AC volts give the ripple or an output",
        "multimeter_minmax": "the mean, and about the 100 ms minimum",
        "multimeter_peak": "mean, 100 ms minimum and trough",
        "oscilloscope": "mean, 100 ms minimum and trough",
        "logger": "the mean, and about the 100 ms minimum",
        "dc_clamp": "the mean current, 2 to 3 % and 1 to 2 A of zero",
        "ac_clamp": "alternating current only",
        "obd_reader": "engine speed and module volts, 1 to 5 times a second",
        "conductance_tester": "the ohmic part of a battery's resistance only",
        "insulation_tester": "insulation; never on electronics",
        "torque_wrench": "torque",
        "thermometer": "surface temperature; tape on bare metal",
        "sound_level_meter": "sound level; most overload near 130 dB",
        "phone": "frequency and relative level only; no level that may be judged",
    }
)

LOWEST_AC_HZ: Final = 40.0  # Hz from which the AC ranges of hand-held meters are specified (40 or 45, not checked)
JOINT_DROP: Final = 0.1  # V across one joint at full current that asks for a look
INSULATION_LEAST: Final = 1.0e6  # ohm, feed to body with a multimeter
TORQUE_BAND: Final = 0.10  # of what the maker asks
DIFFERENCE: Final = 0.5  # V between reading and prediction that asks for a look


@dataclass(frozen=True, slots=True)
class MeterError:
    """What an instrument is taken to be wrong by where nobody states it.

    Attributes:
        share: half width of its gain error, of what it shows.
        zero: half width of its zero error, by unit (V, A).
        repeat: standard deviation from reading to reading of the mean, by unit; ``rest`` at rest, ``held`` of the
            100 ms minimum, ``peak`` of a trough; of amperes as a share of what it shows.
    """

    share: float
    zero: Mapping[str, float]
    rest: float = 0.005
    playing: float = 0.020
    held: float = 0.030
    peak: float = 0.100
    repeat_a: float = 0.005


# All usual for hand-held instruments, not checked against the document of any:
AC_SHARE: Final = 0.015  # of AC volts of a true-rms meter below 100 Hz; a third of it again from reading to reading
MILLIVOLT_ZERO: Final = 1e-4  # V, of a millivolt range
MILLIVOLT_REPEAT: Final = 1e-3  # V, of the contacts of the probes

# Usual for hand-held instruments: not checked against the document of any. Limits are taken as rectangular.
ERRORS: Final[Mapping[str, MeterError]] = MappingProxyType(
    {
        "multimeter": MeterError(0.005, {"V": 0.0, "A": 0.0}),
        "multimeter_minmax": MeterError(0.005, {"V": 0.0, "A": 0.0}),
        "multimeter_peak": MeterError(0.01, {"V": 0.0, "A": 0.0}),
        "dc_clamp": MeterError(0.03, {"V": 0.0, "A": 1.0}),
        "logger": MeterError(0.01, {"V": 0.010, "A": 1.0}),
        "oscilloscope": MeterError(0.03, {"V": 0.050, "A": 1.0}, rest=0.050, playing=0.050, held=0.050),
    }
)
