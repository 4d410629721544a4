"""Load budget: what is asked against what is supplied, by engine state."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DemandLevel:
    """Audio demand at one programme level.

    Attributes:
        name: trade words, for example "music, 1/8 power".
        crest_db: crest factor of the signal [dB].
        fraction: mean output over rated output [0..1].
        amperes: current drawn by all amplifiers together [A] at the charging voltage of the state.
    """

    name: str
    crest_db: float
    fraction: float
    amperes: float


@dataclass(frozen=True, slots=True)
class EngineBudget:
    """One engine state: supply, the vehicle's own load, audio demand and balance [A]."""

    state: str
    engine_rpm: float
    supply: float
    supply_words: str
    base_load: float
    volts: float  # at which the currents are computed
    demands: tuple[DemandLevel, ...]
    balances: tuple[float, ...]  # supply - base - demand, one per demand level


@dataclass(frozen=True, slots=True)
class Drive:
    """Energy balance over a stated drive: charge into (+) or out of (-) the batteries [A s]."""

    words: str
    duration: float
    charge: float


@dataclass(frozen=True, slots=True)
class EngineOff:
    """How long play with the engine stopped may last before the start is at risk.

    Attributes:
        name: demand level, trade words.
        amperes: total discharge current [A].
        seconds: time until the reserve is used [s]; None when there is no battery for it.
        words: which battery, from which to which state of charge, by which rule.
    """

    name: str
    amperes: float
    seconds: float | None
    words: str


@dataclass(frozen=True, slots=True)
class LoadBudget:
    """The whole budget."""

    states: tuple[EngineBudget, ...]
    drives: tuple[Drive, ...]
    engine_off: tuple[EngineOff, ...]
    peak_input_w: float
    peak_input_a: float
