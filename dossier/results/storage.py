"""Storage and mass: how long it plays and starts, how it recovers, what drains it, and what must be fixed."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from dossier.frozen import dataclass
from dossier.results.units import Amperes, AmpereSeconds, Celsius, Key, Kilograms, Newtons, Seconds, Volts

AT_LIMIT = 0.98  # share of what a supply can give from which it gives all


@dataclass(frozen=True, slots=True)
class ReserveRow:
    """Play with the engine stopped, at one level and temperature.

    Attributes:
        amperes: total discharge [A].
        seconds: until the reserve for the starter is reached [s].
        used: charge taken in that time [A s].
        recharge: time on the road to put it back [s], None where the road gives nothing.
        cranking: voltage at the posts while cranking with what is left [V], None where it is not known, or where the
            management of the battery ends it; ``at_starter`` what the way to the starter leaves of it.
    """

    level: str
    temperature: Celsius
    amperes: Annotated[float, Key("current_a")]
    seconds: Annotated[float, Key("time_s")]
    used: AmpereSeconds
    recharge: Seconds | None
    cranking: Volts | None
    words: str
    at_starter: Volts | None = None


@dataclass(frozen=True, slots=True)
class RechargeSource:
    """What a source gives (+) or takes (-) while recharging [A], and the most it can give, None of a battery."""

    id: str
    title: str
    mean: Amperes
    limit: Amperes | None

    @property
    def at_limit(self) -> bool:
        """Whether it gives all it can."""
        return self.limit is not None and self.limit > 0.0 and self.mean >= AT_LIMIT * self.limit


class NoRecharge(StrEnum):
    """Why the standard case of recharging was not computed."""

    COMPUTED = ""
    NO_BATTERY = "no battery"
    NO_SUPPLY = "nothing charges on the road"
    NOT_RUN_DOWN = "no battery comes down to its reserve"
    NO_OPERATING_POINT = "no operating point"
    NO_CURRENT = "less than 1 A"


@dataclass(frozen=True, slots=True)
class RechargeCase:
    """The standard case: the engine starts after play down to the reserve, and the music goes on at 1/8 power.

    Attributes:
        title: as conductors, fuses and couplings name it.
        seconds: how long the charge would take at the first current [s].
        sources: every source.
    """

    title: str
    seconds: Annotated[float, Key("time_s")]
    sources: tuple[RechargeSource, ...]


@dataclass(frozen=True, slots=True)
class DrainRow:
    """One draw with the key off [A]; ``assumed`` where the build file is silent."""

    title: str
    amperes: Annotated[float, Key("current_a")]
    assumed: bool


@dataclass(frozen=True, slots=True)
class StandingRow:
    """One group of batteries that stands together: its drain and how long until the start is at risk.

    Attributes:
        batteries: titles.
        usable: charge down to the reserve [A s].
        drains: what draws.
        amperes: their sum, with self-discharge [A].
        days: until the reserve is reached.
        starts: whether the group starts the engine.
    """

    batteries: tuple[str, ...]
    usable: AmpereSeconds
    drains: tuple[DrainRow, ...]
    amperes: Annotated[float, Key("current_a")]
    days: Annotated[float, Key("time_d")]
    starts: bool


@dataclass(frozen=True, slots=True)
class MassRow:
    """Something heavy: mass [kg] and the forces its fixing must hold [N]; None where the mass is not stated."""

    path: str
    title: str
    location: str
    mass: Kilograms | None
    along: Newtons | None
    across: Newtons | None


@dataclass(frozen=True, slots=True)
class Storage:
    """Everything about reserve, drain and mass."""

    reserve: tuple[ReserveRow, ...] = ()
    recharge: RechargeCase | None = None
    no_recharge: NoRecharge = NoRecharge.COMPUTED
    standing: tuple[StandingRow, ...] = ()
    masses: tuple[MassRow, ...] = ()
    added_mass: Kilograms = 0.0
    payload: Kilograms | None = None
    along_g: float = 20.0
    across_g: float = 8.0
