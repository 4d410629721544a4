"""Load budget: what is asked against what is supplied, by engine state and bus."""

from __future__ import annotations

from typing import Annotated

from dossier.frozen import dataclass
from dossier.results.units import Amperes, AmpereSeconds, Key, Seconds


@dataclass(frozen=True, slots=True)
class DemandLevel:
    """Audio demand at one programme level.

    Attributes:
        name: trade words, for example "music, 1/8 power".
        crest_db: crest factor of the signal [dB].
        fraction: mean output over rated output [0..1].
        amperes: current drawn by the amplifiers together [A] at the charging voltage of the state.
    """

    name: str
    crest_db: float
    fraction: float
    amperes: Annotated[float, Key("current_a")]


@dataclass(frozen=True, slots=True)
class BusBudget:
    """What is joined in one engine state, over cables, closed contacts and diodes that conduct: supply against demand.

    Attributes:
        place: title of the location it is called by.
        tag: its letter, the same in every state; empty where the build has only one bus.
        locations: ids of everything on it.
        supply: what alternators, chargers and converters can give to it [A].
        supply_words: which, and how much each.
        base_load: the vehicle's own load on it [A].
        passed_on: what converters draw from it to charge another bus [A], one per demand level.
        volts: voltage at which the currents are computed.
        demands: of the amplifiers on it, one per level.
        balances: supply less base load, converters and audio [A], one per level.
    """

    place: str
    tag: str
    locations: tuple[str, ...]
    supply: Amperes
    supply_words: str
    base_load: Amperes
    passed_on: tuple[Amperes, ...]
    volts: Annotated[float, Key("at_v")]
    demands: tuple[DemandLevel, ...]
    balances: tuple[Amperes, ...]


@dataclass(frozen=True, slots=True)
class EngineBudget:
    """One engine state.

    Attributes:
        state: stopped, auto_stop, idle or cruise.
        buses: every bus; what one has to spare is of no use to another.
        demands: of all amplifiers together, one per level.
        balances: of the bus that has least to spare [A], one per level.
    """

    state: str
    engine_rpm: float
    buses: tuple[BusBudget, ...]
    demands: tuple[DemandLevel, ...]
    balances: tuple[Amperes, ...]

    def least(self, level: int) -> BusBudget:
        """The bus that has least to spare at one level."""
        return min(self.buses, key=lambda bus: bus.balances[level])


@dataclass(frozen=True, slots=True)
class Drive:
    """Energy balance over a stated drive.

    Attributes:
        words: how long, and what is played.
        place: title of the location its bus is called by; empty where the build has only one bus.
        duration: [s].
        charge: into (+) or out of (-) the batteries of that bus [A s].
    """

    words: str
    place: str
    duration: Seconds
    charge: AmpereSeconds


@dataclass(frozen=True, slots=True)
class EngineOff:
    """How long play with the engine stopped may last before a battery may give no more.

    Attributes:
        name: demand level, trade words.
        amperes: mean current of the battery that gives out first, of all of them where none does [A].
        seconds: time until then [s]; None when there is no battery for it.
        words: which battery, from which to which state of charge, by which rule.
        starts: whether the battery that gives out starts the engine; without one it is not asked.
        battery: path of the battery that gives out first, empty where none does; ``floor`` what stays in it [0..1].
    """

    name: str
    amperes: Annotated[float, Key("current_a")]
    seconds: Annotated[float | None, Key("time_s")]
    words: str
    starts: bool
    battery: str = ""
    floor: float | None = None


@dataclass(frozen=True, slots=True)
class LoadBudget:
    """The whole budget.

    Attributes:
        states: every engine state.
        drives: per level and bus.
        engine_off: per level.
        rated_input_w, rated_input_a: what all amplifiers together take at rated output and at the voltage they are
            rated at [W], [A].
    """

    states: tuple[EngineBudget, ...]
    drives: tuple[Drive, ...]
    engine_off: tuple[EngineOff, ...]
    rated_input_w: float
    rated_input_a: float
