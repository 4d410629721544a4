"""Voltage in time: what each load case does to every amplifier and location."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from dossier.frozen import dataclass
from dossier.results.units import AmpereSeconds, Celsius, Joules, Key, Ohms, Seconds, Volts, Watts

Trace = NDArray[np.float64]  # shape (T,), read-only


class OutcomeKind(Enum):
    """How a load case ends for one amplifier."""

    HOLDS = "holds"
    BELOW_LIMIT = "below the limit"
    SHUTDOWN_CYCLES = "shuts down and restarts"
    BATTERY_TRIPPED = "a battery's management opens"
    FALLS_BELOW_LOWEST = "falls below its lowest working voltage"
    NO_OPERATING_POINT = "no operating point"

    @property
    def is_collapse(self) -> bool:
        """Whether no voltage can be stated from some instant on."""
        return self in (OutcomeKind.FALLS_BELOW_LOWEST, OutcomeKind.NO_OPERATING_POINT)


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a load case ends, with the numbers in the sentence.

    Attributes:
        kind: the named outcome.
        sentence: plain words with numbers.
        at: when it happened [s from the start of the sound], None if nothing did.
        below_limit: how long the judged voltage was under its limit [s].
        shutdowns: instants of each protective shut-down [s].
        demand: power asked of the source at a missing operating point [W], also where a protection then switched off.
        deliverable: the most the source could have delivered then [W].
    """

    kind: OutcomeKind
    sentence: str
    at: Seconds | None = None
    below_limit: Seconds = 0.0
    shutdowns: tuple[Seconds, ...] = ()
    demand: Watts | None = None
    deliverable: Watts | None = None

    @property
    def is_collapse(self) -> bool:
        """Whether the source could not deliver what was asked: no lowest voltage is stated then."""
        return self.kind.is_collapse or self.demand is not None


@dataclass(frozen=True, slots=True)
class Band:
    """Where 5 to 95 % of the samples lie.

    Attributes:
        low: 5 % edge; None when more than 5 % of the samples collapse.
        high: 95 % edge; None when more than 95 % collapse.
        collapse_share: share of samples that collapse [0..1].
    """

    low: Volts | None
    high: Volts | None
    collapse_share: float = 0.0


@dataclass(frozen=True, slots=True)
class Reading:
    """A voltage as one instrument would show it, ``at`` s from the start of the sound; None after a collapse.

    ``band`` is that of the inputs alone, ``band_with_readings`` what recorded readings leave of it.
    """

    volts: Annotated[float | None, Key("value_v")]
    at: Seconds | None = None
    band: Band | None = None
    band_with_readings: Band | None = None


class Kept(Enum):
    """How a limit counts as kept, if it does."""

    NOMINAL = "with nominal values"  # where nobody states the impedance under power: at the nominal one
    SAMPLES = "in nearly all samples"
    NOT = "not kept"


KEPT_SHARE = 0.95  # of the samples: as good as kept with nominal values


@dataclass(frozen=True, slots=True)
class LimitCheck:
    """One limit of the build file against what was computed.

    Attributes:
        statistic: mean | minimum_100ms | trough.
        limit: the lowest voltage accepted [V].
        volts: what was computed [V]; None after a collapse.
        holds: whether it is kept with nominal values.
        kept_share: share of the samples that keep it [0..1]; those that collapse do not. None without samples.
        kept_share_with_readings: the same as recorded readings tell the samples; None where they tell nothing.
    """

    statistic: str
    limit: Volts
    volts: Annotated[float | None, Key("value_v")]
    holds: bool
    kept_share: float | None = None
    kept_share_with_readings: float | None = None

    @property
    def kept(self) -> Kept:
        """Whether it counts as kept, and by what."""
        if self.holds:
            return Kept.NOMINAL
        told = self.kept_share_with_readings
        share = self.kept_share if told is None else told
        return Kept.SAMPLES if share is not None and share >= KEPT_SHARE else Kept.NOT


@dataclass(frozen=True, slots=True)
class BandTrace:
    """5 and 95 % edges in time, NaN where the edge has collapsed; shape (T,) each on ``t``."""

    t: Trace
    low: Trace
    high: Trace


@dataclass(frozen=True, slots=True)
class AmplifierSag:
    """One amplifier in one load case.

    ``mean`` and ``trough`` are traces on the load case's time axis, NaN after a collapse. ``lost_db`` is output
    against the rated output into the same load at the same level [dB, negative = lost].
    """

    id: str
    title: str
    mean: Trace
    trough: Trace | None
    rest: Volts
    mean_minimum: Reading
    minimum_100ms: Reading
    trough_minimum: Reading | None
    asked_w: float
    output_w: float | None  # lowest sustained output while it played at full level
    lost_db: float | None
    input_a_mean: float | None  # while the sound played
    input_a_peak: float | None
    outcome: Outcome
    limits: tuple[LimitCheck, ...]
    band: BandTrace | None = None
    band_with_readings: BandTrace | None = None


@dataclass(frozen=True, slots=True)
class LocationSag:
    """Voltage between positive and negative of one location in one load case.

    ``mean`` is a trace on the load case's time axis, NaN once an amplifier there has collapsed. ``limits`` are those
    of the vehicle, judged where its own loads are.
    """

    id: str
    title: str
    mean: Trace
    rest: Volts
    mean_minimum: Reading
    limits: tuple[LimitCheck, ...] = ()


@dataclass(frozen=True, slots=True)
class SourceShare:
    """What one source gave while the sound played: A, A s, J, and its share of the charge [0..1].

    A converter has no share: it passes on what others gave.
    """

    id: str
    title: str
    kind: str
    peak_a: float
    mean_a: float
    charge: AmpereSeconds
    energy: Joules
    share: float | None


@dataclass(frozen=True, slots=True)
class WarmMetal:
    """A conductor that gets warmer in a load case than it is taken to be at first; the case was computed with that.

    Attributes:
        assumed: temperature of the metal at first, 15 K above the air [degC].
        reached: temperature with which the case was computed [degC].
        added: resistance that this adds, of all runs together [ohm].
    """

    cable: str
    title: str
    assumed: Celsius
    reached: Celsius
    added: Ohms


@dataclass(frozen=True, slots=True)
class LoadCaseResult:
    """One load case, computed. Every instant counts from the start of the sound [s].

    Attributes:
        lead_in: rest that is computed before it [s]: ``t`` begins there, below zero.
        sound_ends: when the sound ends [s].
        warm_metal: conductors whose own heat raised their resistance enough to compute the case again with it.
    """

    id: str
    title: str
    engine: str  # words, for example "cruise, 2200 r/min"
    signal: str  # words, for example "38 Hz tone for 20 s"
    drive: str
    level_db: float
    lead_in: Seconds
    sound_ends: Seconds
    t: Trace
    amplifiers: tuple[AmplifierSag, ...]
    locations: tuple[LocationSag, ...]
    sources: tuple[SourceShare, ...]
    worst: str  # id of the amplifier with the lowest voltage
    statistic: str  # which statistic the limits judge: mean | minimum_100ms | trough
    warm_metal: tuple[WarmMetal, ...] = ()
