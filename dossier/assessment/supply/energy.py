"""Hours of play, charge and rest: what every battery gives or takes is what the network says at its state of charge."""

from __future__ import annotations

from collections.abc import Generator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf
from typing import Final

from dossier.assessment.supply.demand import LEVELS
from dossier.buildfile.model import Build
from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.sampler import nominal
from dossier.circuit.steady import Steady, steady
from dossier.circuit.wiring import wire
from dossier.electrical import batteries as law
from dossier.equipment.installed import Installed, Running
from dossier.equipment.storage import StorageBattery
from dossier.frozen import dataclass as frozen
from dossier.reference.batteries import CHARGING, LEAD_ACID
from dossier.reference.defaults import DEFAULTS

WARM: Final = 25.0  # degC, at which capacities are rated
COLD: Final = 0.0  # degC, the winter case where no place says how cold it gets
LEVELS_USED: Final = 2  # of play with the engine stopped
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
        self.network: Network = wire(self.build, self.fit, self.run, None, nominal).network
        charging = any(s.running and s.limit.nominal > 0.0 for s in self.run.supplies if s.kind != "dc_dc")
        rests = [b.open_circuit.nominal for b in self.fit.batteries.values()]
        for j in self.fit.couplings.values():
            if j.opens is not None and not charging:  # what a rested battery holds closed is drawn down together
                self.closed.setdefault(f"couplings.{j.id}", max(rests, default=0.0) > j.opens.nominal)

    def parts(self, charges: Charges) -> tuple[el.Element, ...]:
        """The network with the batteries at ``charges``."""
        return tuple(self._part(one, charges) for one in self.network.elements)

    def acts(self, found: Steady) -> bool:
        """Whether relays that sense voltage act on what they see; they stand otherwise from then on."""
        switches = [part for part in self.network.elements if isinstance(part, el.Switch)]
        moved = [s for s in switches if _moves(s, self.closed.get(s.id, _starts_closed(s)), found)]
        for switch in moved:
            self.closed[switch.id] = not self.closed.get(switch.id, _starts_closed(switch))
        return bool(moved)

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
        ohms = law.discharged_factor(b.chemistry, charge) * law.temperature_factor(b.chemistry, warmth)
        ohms /= b.resistance_ratio.nominal
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


@frozen(frozen=True, slots=True)
class Gone:
    """How some hours went."""

    seconds: float  # how long [s]; ``charges`` at their end
    charges: Charges
    given: Charges  # battery id -> mean current it gave (+) or took (-) [A]
    stored: Charges  # battery id -> charge put into it (+), or taken from it (-) [A s]
    first: Steady | None  # what flowed at their beginning; None where there was no operating point
    down: str  # id of the battery that came down to its floor, or ""
    ended: bool  # whether something ended it before its time: a floor, or an amplifier that got too little


@frozen(frozen=True, slots=True)
class Passage:
    """Time that is to pass."""

    hours: Hours  # the installation; of this passage alone
    charges: Charges  # at the start
    seconds: float = inf  # how long at most [s]
    floors: Charges | None = None  # state of charge of each battery at which it ends
    until: Charges | None = None  # it also ends when every battery in here has at least this again


def flows(asked: Sequence[tuple[Hours, Charges]]) -> list[Steady | None]:
    """What flows with the batteries at those charges; None where there is no operating point.

    A relay that senses voltage acts on what it sees, once each way.
    """
    found: list[Steady | None] = [None] * len(asked)
    left = list(range(len(asked)))
    for _ in range(3):
        if not left:
            break
        parts = [asked[k][0].parts(asked[k][1]) for k in left]
        for k, answer in zip(left, steady(parts, asked[0][0].network.ground), strict=True):
            found[k] = answer
        left = [k for k in left if (seen := found[k]) is not None and asked[k][0].acts(seen)]
    return found


def pass_hours(passages: Sequence[Passage]) -> list[Gone]:
    """Lets time pass for each of them, all side by side."""
    going = [_passing(one) for one in passages]
    charges: dict[int, Charges] = {k: next(one) for k, one in enumerate(going)}
    gone: dict[int, Gone] = {}
    while charges:
        answers = flows([(passages[k].hours, now) for k, now in charges.items()])
        for k, answer in zip(tuple(charges), answers, strict=True):
            try:
                charges[k] = going[k].send(answer)
            except StopIteration as end:
                gone[k] = end.value
                del charges[k]
    return [gone[k] for k in range(len(passages))]


def _passing(passage: Passage) -> Generator[Charges, Steady | None, Gone]:
    """One passage: asks what flows at its charges, step by step."""
    hours, seconds, floors, until = passage.hours, passage.seconds, passage.floors, passage.until
    now, t = dict(passage.charges), 0.0
    gave, stored = dict.fromkeys(now, 0.0), dict.fromkeys(now, 0.0)
    first: Steady | None = None
    down, ended = "", False
    for _ in range(MOST_STEPS):
        found = yield now
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
                if reached <= dt * (1.0 + 1e-6):  # steps in tenths of the charge land on floors
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


def _moves(switch: el.Switch, closed: bool, found: Steady) -> bool:
    if not isinstance(switch.control, el.VoltageSensing):
        return False
    seen, control = found.volts[f"{switch.id}.sense"], switch.control
    return bool(seen < control.opens if closed else seen > control.closes)


@dataclass
class Reserves:
    """Play with the engine stopped until the first of the batteries that feed something may give no more."""

    build: Build
    fit: Installed
    run: Running

    @cached_property
    def temperatures(self) -> tuple[float, float]:
        """Of the batteries [degC]: as capacities are rated, and in winter."""
        stated_ = [place.coldest.si for place in self.build.locations.values() if place.coldest]
        return WARM, min(stated_, default=COLD)

    @cached_property
    def down(self) -> Mapping[tuple[float, float], tuple[Hours, Gone]]:
        """By level and temperature, how it went."""
        keys = [(fraction, degrees) for _, _, fraction in LEVELS[:LEVELS_USED] for degrees in self.temperatures]
        floors = {id_: least(b) for id_, b in self.fit.batteries.items()}
        hours = [Hours(self.build, self.fit, self.run, *key) for key in keys]
        went = pass_hours([Passage(one, stated(self.fit), floors=floors) for one in hours])
        return dict(zip(keys, zip(hours, went, strict=True), strict=True))
