"""Play with the engine stopped: which batteries feed which loads, and how long until they may give no more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from dossier.assessment.supply.demand import resting_volts
from dossier.buildfile.model import Build
from dossier.electrical import batteries as law
from dossier.equipment.amplifiers import DrivenAmplifier
from dossier.equipment.buses import Bus, buses
from dossier.equipment.charging import ChargingSource
from dossier.equipment.fitted import Fitted, Running
from dossier.equipment.storage import StorageBattery
from dossier.reference.batteries import LEAD_ACID
from dossier.reference.defaults import DEFAULTS

WARM: Final = 25.0  # degC, at which capacities are rated


@dataclass(frozen=True, slots=True)
class Pool:
    """Batteries that can feed the same loads, taken together.

    Attributes:
        batteries: that alone can feed these loads in this engine state.
        amplifiers: that play on them.
        amperes: what the loads draw [A].
    """

    batteries: tuple[StorageBattery, ...]
    amplifiers: tuple[DrivenAmplifier, ...]
    amperes: float

    @property
    def starts(self) -> bool:
        """Whether a battery that starts the engine is among them."""
        return any(b.starts_engine for b in self.batteries)

    def least(self, battery: StorageBattery) -> float:
        """Share of charge that has to stay in a battery: for the start, else for its own sake."""
        if self.starts:
            return DEFAULTS["battery.starter_reserve"].typical
        return DEFAULTS[f"{family(battery)}.least_charge"].typical


@dataclass(frozen=True, slots=True)
class Lasting:
    """How long a pool lasts [s], and the Peukert exponent behind it."""

    pool: Pool
    seconds: float
    exponent: float

    @property
    def words(self) -> str:
        """Which batteries, down to where, and why."""
        pool = self.pool
        titles = " and ".join(b.title for b in pool.batteries)
        shares = sorted({pool.least(b) for b in pool.batteries})
        down = " and ".join(f"{share * 100:.0f} %" for share in shares)
        why = (
            "which is left for the starter"
            if pool.starts
            else "below which a battery ages with every discharge"
        )
        return f"{titles}: down to {down} of capacity, {why}; Peukert exponent {self.exponent:.2f}"


def family(battery: StorageBattery) -> str:
    """Key of the defaults of a chemistry: every lead-acid battery alike."""
    return "lead" if battery.chemistry in LEAD_ACID else battery.chemistry


def pools(build: Build, fit: Fitted, run: Running, fraction: float) -> tuple[Pool, ...]:
    """Every pool that something draws on, with amplifiers at a mean output of ``fraction`` of rated.

    A battery feeds what is on its bus and what its current reaches through diodes; nothing passes an open contact
    or a converter that does not run. One that runs draws all it can give where a battery takes it, and what is
    asked where there is none. A pool is a set of buses that no battery outside it can feed, so that its own have
    to last: each bus with all that feed it, and all together that diodes join.
    """
    system = _System(build, fit, run, fraction, buses(build, fit, run))
    made = []
    for fed in system.closed():
        batteries = [b for bus in fed for b in system.batteries(bus)]
        plays = [a for bus in fed for a in system.amplifiers(bus)]
        amperes = sum(system.amperes(bus) for bus in fed)
        converted = any(system.converters_into(bus) for bus in fed)
        if amperes > 0.0 and (batteries or (plays and not converted)):
            made.append(Pool(tuple(batteries), tuple(plays), amperes))
    return tuple(made)


@dataclass(frozen=True, slots=True)
class _System:
    """Every bus of an engine state with its devices."""

    build: Build
    fit: Fitted
    run: Running
    fraction: float
    buses: tuple[Bus, ...]

    def closed(self) -> list[list[Bus]]:
        """Sets of buses that nothing outside them feeds through a diode."""
        sets = [
            {one.place for one in self.buses if one is bus or bus.place in one.feeds} for bus in self.buses
        ]
        for some in list(sets):
            whole = set(some)
            while more := {place for one in sets if one & whole for place in one} - whole:
                whole |= more
            sets.append(whole)
        unique = [one for index, one in enumerate(sets) if one not in sets[:index]]
        return [[bus for bus in self.buses if bus.place in one] for one in unique]

    def batteries(self, bus: Bus) -> list[StorageBattery]:
        return [b for b in self.fit.batteries.values() if b.at in bus]

    def converters_into(self, bus: Bus) -> list[ChargingSource]:
        return [s for s in self.run.supplies if s.kind == "dc_dc" and s.running and s.at in bus]

    def fed_from(self, bus: Bus) -> list[tuple[ChargingSource, Bus]]:
        """Converters that draw from a bus, and the bus they give to."""
        return [
            (s, other)
            for other in self.buses
            if other is not bus
            for s in self.converters_into(other)
            if s.input_from in bus
        ]

    def amplifiers(self, bus: Bus) -> list[DrivenAmplifier]:
        """Those on a bus, and behind its converters where no battery stands."""
        own = [a for a in self.fit.amplifiers.values() if a.at in bus]
        beyond = [other for _, other in self.fed_from(bus) if not self.batteries(other)]
        return own + [a for a in self.fit.amplifiers.values() if any(a.at in other for other in beyond)]

    def amperes(self, bus: Bus) -> float:
        """What is drawn from a bus [A], at its rested voltage."""
        volts = resting_volts(self.batteries(bus), self.build.vehicle.system.si)
        base = self.run.base.amperes.nominal if self.run.base.at in bus else 0.0
        own = [a for a in self.fit.amplifiers.values() if a.at in bus]
        asked = base + sum(a.input_at(self.fraction, volts)[1] for a in own) / volts
        for s, other in self.fed_from(bus):
            given = s.limit.nominal
            if not self.batteries(other):
                behind = [a for a in self.fit.amplifiers.values() if a.at in other]
                given = sum(a.input_at(self.fraction, s.set_point.nominal)[1] for a in behind) / s.set_point.nominal
            asked += given * s.set_point.nominal / (s.efficiency.nominal * volts)
        return asked


def lasts(pool: Pool, temperature: float = WARM) -> Lasting:
    """Peukert time from the present state of charge down to what has to stay [s].

    Batteries that share their load are taken together, at the mean of their exponents weighted with their charge.

    Args:
        pool: with at least one battery.
        temperature: of its batteries [degC]; in the cold they have less.
    """
    charge = usable = weighted = 0.0
    for b in (one.at_temperature(temperature) for one in pool.batteries):
        charge += b.charge.nominal
        usable += b.charge.nominal * max(b.charge_state.nominal - pool.least(b), 0.0)
        weighted += b.charge.nominal * DEFAULTS[f"{b.chemistry}.peukert"].typical
    exponent = weighted / charge
    return Lasting(pool, law.engine_off_time(charge, pool.amperes, exponent, usable / charge, 0.0), exponent)


def shortest(found: Iterable[Pool], temperature: float = WARM) -> Lasting | None:
    """The pool that gives out first, whether it plays or only keeps the vehicle awake; None without a playing one."""
    fed = [pool for pool in found if pool.batteries]
    if not any(pool.amplifiers for pool in fed):
        return None
    return min((lasts(pool, temperature) for pool in fed), key=lambda one: one.seconds)
