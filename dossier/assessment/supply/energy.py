"""Hours of play, charge and rest: what every battery gives or takes is what the network says at its state of charge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import inf
from typing import Final

from dossier.buildfile.model import Build
from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.sampler import nominal
from dossier.circuit.steady import Steady, steady
from dossier.circuit.wiring import wire
from dossier.electrical import batteries as law
from dossier.equipment.installed import Installed, Running
from dossier.equipment.storage import StorageBattery
from dossier.reference.batteries import CHARGING, LEAD_ACID
from dossier.reference.defaults import DEFAULTS

WARM: Final = 25.0  # degC, at which capacities are rated
CHARGE_EFFICIENCY: Final = 0.85  # of the charge put into lead-acid; not checked against the document
TAPER_ABOVE: Final = 0.8  # state of charge from which a battery takes less and less; common practice for lead-acid
COLD_CHARGE_BELOW: Final = 5.0  # degC, below which half is accepted; not checked, as the default
STEP: Final = 0.1  # of the charge of the battery that moves most, in one step
MOST_STEPS: Final = 60
LEAST_HOURS: Final = 100.0  # a battery that would last longer than this is not being run down
DEAD_V: Final = 1.0  # below this nothing feeds a place
Charges = Mapping[str, float]  # battery id -> state of charge, 0..1


def family(battery: StorageBattery) -> str:
    """Key of the defaults of a chemistry: every lead-acid battery alike."""
    return "lead" if battery.chemistry in LEAD_ACID else battery.chemistry


def least(battery: StorageBattery, *, with_starter: bool = False) -> float:
    """Share of charge that has to stay in a battery: for a start that it gives or helps, else for its own sake."""
    key = "battery.starter_reserve" if battery.starts_engine or with_starter else f"{family(battery)}.least_charge"
    return float(DEFAULTS[key].typical)


def floor_words(battery: StorageBattery) -> str:
    """Which battery, down to where, and why."""
    why = "which is left for the starter" if battery.starts_engine else "below which it ages with every discharge"
    exponent = DEFAULTS[f"{battery.chemistry}.peukert"].typical
    down = f"{least(battery) * 100:.0f} %"
    return f"{battery.title}: down to {down} of capacity, {why}; Peukert exponent {exponent:.2f}"


def stated(fit: Installed) -> dict[str, float]:
    """The state of charge of every battery as it is taken to be."""
    return {id_: b.charge_state.nominal for id_, b in fit.batteries.items()}


def accepted(battery: StorageBattery, charge: float, temperature: float, *, most: bool = False) -> float:
    """Charging current that a battery takes at its full voltage [A]: less and less when nearly full, none when full."""
    band = DEFAULTS[f"{family(battery)}.charge_acceptance"].band
    cold = 2.0 if temperature <= COLD_CHARGE_BELOW else 1.0
    left = max(1.0 - charge, 0.0) / (1.0 - TAPER_ABOVE)
    return battery.charge.nominal * (band.high if most else band.typical) / cold * min(left, 1.0)


def charging_ohms(battery: StorageBattery, charge: float, rests: float, amperes: float) -> float:
    """Resistance above rest that lets ``amperes`` in at the voltage that fills the battery [ohm]."""
    over = max(CHARGING[battery.chemistry].charge_low * battery.cells - rests, 0.1)
    return over / max(amperes, 1e-3)


@dataclass
class Hours:
    """An installation in one engine state, every amplifier at ``fraction`` of its rated output, hour by hour.

    Attributes:
        temperature: of all batteries [degC]; None as their places have it.
        closed: voltage-sensing relays as they stand; those of the start where it is empty.
    """

    build: Build
    fit: Installed
    run: Running
    fraction: float
    temperature: float | None = None
    closed: dict[str, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._parts = wire(self.build, self.fit, self.run, None, nominal).network
        charging = any(s.running and s.limit.nominal > 0.0 for s in self.run.supplies if s.kind != "dc_dc")
        rests = [b.open_circuit.nominal for b in self.fit.batteries.values()]
        for j in self.fit.joinings.values():
            if j.opens is not None and not charging:  # what a rested battery holds closed is drawn down together
                self.closed.setdefault(f"couplings.{j.id}", max(rests, default=0.0) > j.opens.nominal)

    def flows(self, charges: Charges) -> Steady | None:
        """What flows with the batteries at ``charges``; None where there is no operating point.

        A relay that senses voltage acts on what it sees, once each way.
        """
        for _ in range(3):
            parts = tuple(self._part(one, charges) for one in self._parts.elements)
            try:
                found = steady(Network(parts, self._parts.ground))
            except ConvergenceError:
                return None
            moved = [s for s in parts if isinstance(s, el.Switch) and _moves(s, found)]
            if not moved:
                break
            for switch in moved:
                self.closed[switch.id] = not self.closed.get(switch.id, _starts_closed(switch))
        return found

    def warmth(self, battery: StorageBattery) -> float:
        """Temperature of a battery [degC]."""
        return battery.temperature.nominal if self.temperature is None else self.temperature

    def holds(self, battery: StorageBattery) -> float:
        """Capacity of a battery at its temperature, never more than is rated [A s]."""
        return battery.charge.nominal * min(law.capacity_factor(battery.chemistry, self.warmth(battery)), 1.0)

    def rate(self, battery: StorageBattery, given: float) -> float:
        """How fast its state of charge falls while it gives ``given`` A, or rises where that is negative [1/s].

        Above its rated current a battery is emptied faster, by Peukert's exponent.
        """
        capacity = self.holds(battery)
        if given < 0.0:
            return given * (CHARGE_EFFICIENCY if battery.chemistry in LEAD_ACID else 1.0) / capacity
        exponent = float(DEFAULTS[f"{battery.chemistry}.peukert"].typical)
        return 1.0 / law.engine_off_time(capacity, given, exponent, 1.0, 0.0) if given > 0.0 else 0.0

    def _part(self, part: el.Element, charges: Charges) -> el.Element:
        if isinstance(part, el.Battery):
            return self._battery(part, charges[part.id.partition(".")[2]])
        if isinstance(part, el.Amplifier):
            return replace(part, ask_w=part.rated_w * self.fraction)
        if isinstance(part, el.Switch) and isinstance(part.control, el.VoltageSensing):
            closed = self.closed.get(part.id, part.control.initially_closed)
            return replace(part, control=replace(part.control, initially_closed=closed))
        return part

    def _battery(self, part: el.Battery, charge: float) -> el.Battery:
        b = self.fit.batteries[part.id.partition(".")[2]]
        own, warmth = b.charge_state.nominal, self.warmth(b)
        volts = [law.open_circuit_voltage(b.chemistry, x, b.cells, warmth) for x in (charge, own)]
        ohms = law.charge_factor(b.chemistry, charge).typical / law.charge_factor(b.chemistry, own).typical
        ohms *= law.temperature_factor(b.chemistry, warmth) / b.resistance_ratio.nominal
        rests = b.open_circuit.nominal + volts[0] - volts[1]
        taking = charging_ohms(b, charge, rests, accepted(b, charge, warmth))
        if b.charging is not None:
            taking = min(taking, b.charging.nominal) if charge < 1.0 else taking
        quick = (part.rs_dis if part.rs_dis else 0.0) * ohms
        return replace(
            part,
            e0=rests,
            r0=part.r0 * ohms,
            r1=part.r1 * ohms,
            c1=0.0,
            cs=1.0,
            rs_dis=max(quick, el.LEAST_OHMS),
            rs_chg=taking,
            c_bulk=inf,
            trip=None,
        )


@dataclass(frozen=True, slots=True)
class Gone:
    """How some hours went.

    Attributes:
        seconds: how long [s]; ``charges`` at their end.
        given: battery id -> mean current it gave (+) or took (-) [A].
        stored: battery id -> charge put into it (+), or taken from it (-) [A s].
        first: what flowed at their beginning; None where there was no operating point.
        down: id of the battery that came down to its floor, or "".
        ended: whether something ended it before its time: a floor, or an amplifier that got too little.
    """

    seconds: float
    charges: Charges
    given: Charges
    stored: Charges
    first: Steady | None
    down: str
    ended: bool


def pass_hours(
    hours: Hours, charges: Charges, seconds: float = inf, *, floors: Charges | None = None, until: Charges | None = None
) -> Gone:
    """Lets time pass.

    Args:
        hours: the installation.
        charges: at the start.
        seconds: how long at most [s].
        floors: state of charge of each battery at which it ends.
        until: it also ends when every battery in here has at least this again.
    """
    now, t = dict(charges), 0.0
    gave, stored = dict.fromkeys(now, 0.0), dict.fromkeys(now, 0.0)
    first: Steady | None = None
    down, ended = "", False
    for _ in range(MOST_STEPS):
        found = hours.flows(now)
        first = first if t > 0.0 else found
        if found is None or _starved(hours, found):
            ended = True
            break
        given = {id_: -found.amps.get(f"batteries.{id_}", 0.0) for id_ in now}
        rates = {id_: hours.rate(hours.fit.batteries[id_], amperes) for id_, amperes in given.items()}
        dt = min(STEP / max(max(map(abs, rates.values()), default=0.0), 1e-9), seconds - t)
        for id_, rate in rates.items():
            floor = (floors or {}).get(id_, 0.0)
            if rate * LEAST_HOURS * 3600.0 > 1.0 and floors is not None:
                reached = max(now[id_] - floor, 0.0) / rate
                if reached <= dt:
                    dt, down, ended = reached, id_, True
            elif rate < 0.0 and now[id_] < 1.0:
                dt = min(dt, max((1.0 - now[id_]) / -rate, 1.0))
        if until and dt > 0.0:
            short = {id_: goal - now[id_] for id_, goal in until.items() if rates[id_] < 0.0 and now[id_] < goal}
            dt = min([dt, *(left / -rates[id_] for id_, left in short.items())])
        for id_, rate in rates.items():
            before, now[id_] = now[id_], min(max(now[id_] - rate * dt, 0.0), 1.0)
            gave[id_] += given[id_] * dt
            moved = (now[id_] - before) * hours.holds(hours.fit.batteries[id_])
            stored[id_] += moved if moved > 0.0 else -min(given[id_] * dt, -moved)
        t += dt
        if ended or t >= seconds * (1.0 - 1e-9):
            break
        if until and all(now[id_] >= goal - 1e-6 for id_, goal in until.items()):
            break
    at_once = first.amps if first is not None else {}
    mean = {id_: q / t if t > 0.0 else -at_once.get(f"batteries.{id_}", 0.0) for id_, q in gave.items()}
    return Gone(t, now, mean, stored, first, down, ended)


def silent(hours: Hours, found: Steady) -> list[str]:
    """Amplifiers that nothing feeds."""
    return [id_ for id_ in hours.fit.amplifiers if found.volts.get(f"amplifiers.{id_}", 0.0) < DEAD_V]


def _starved(hours: Hours, found: Steady) -> bool:
    """Whether an amplifier that something feeds gets less than it works with."""
    return any(
        DEAD_V <= found.volts.get(f"amplifiers.{id_}", 0.0) < a.shutdown.nominal
        for id_, a in hours.fit.amplifiers.items()
    )


def _starts_closed(switch: el.Switch) -> bool:
    return isinstance(switch.control, el.VoltageSensing) and switch.control.initially_closed


def _moves(switch: el.Switch, found: Steady) -> bool:
    if not isinstance(switch.control, el.VoltageSensing):
        return False
    seen, control = found.volts[f"{switch.id}.sense"], switch.control
    return bool(seen < control.opens if control.initially_closed else seen > control.closes)


@dataclass
class Reserves:
    """Play with the engine stopped until the first of the batteries that feed something may give no more."""

    build: Build
    fit: Installed
    run: Running
    _known: dict[tuple[float, float], tuple[Hours, Gone]] = field(default_factory=dict)

    def down(self, fraction: float, temperature: float = WARM) -> tuple[Hours, Gone]:
        """How it went at a level and a temperature of the batteries [degC]; computed once."""
        key = (fraction, temperature)
        if key not in self._known:
            hours = Hours(self.build, self.fit, self.run, fraction, temperature)
            floors = {id_: least(b) for id_, b in self.fit.batteries.items()}
            self._known[key] = hours, pass_hours(hours, stated(self.fit), floors=floors)
        return self._known[key]
