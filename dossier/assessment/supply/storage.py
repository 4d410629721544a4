"""Reserve, recharge, key-off drain, cranking with what is left, and mass."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from dossier.assessment.supply.demand import LEVELS
from dossier.assessment.supply.engine_off import WARM, Lasting, Pool, family, pools, shortest
from dossier.buildfile.model import Build, Quantity
from dossier.electrical import batteries as law
from dossier.electrical.mass import ACROSS, ALONG, restraint_force
from dossier.equipment.conductors import ambient_of
from dossier.equipment.feeding import joined
from dossier.equipment.fitted import Fitted, Running
from dossier.equipment.storage import StorageBattery
from dossier.reference.batteries import LITHIUM
from dossier.reference.defaults import DEFAULTS
from dossier.results.budget import LoadBudget
from dossier.results.storage import DrainRow, MassRow, ReserveRow, StandingRow, Storage

COLD: Final = 0.0  # degC, the winter case where no place says how cold it gets
CHARGE_EFFICIENCY: Final = 0.85  # of the charge put back; lead-acid, from memory
KEY_OFF_A: Final = 0.03  # the vehicle itself, asleep; common practice, 20 to 50 mA
MANAGEMENT_A: Final = 0.01  # a lithium battery's own management; from memory
AMPLIFIER_A: Final = 0.003  # an amplifier with its remote lead off; from memory
LEVELS_USED: Final = 2


def storage(build: Build, fit: Fitted, states: Mapping[str, Running], budget: LoadBudget) -> Storage:
    """Everything about reserve, drain and mass."""
    masses = _masses(build)
    return Storage(
        reserve=_reserve(build, fit, states, budget),
        standing=tuple(_standing(build, fit)),
        masses=masses,
        added_mass=sum(m.mass or 0.0 for m in masses),
        payload=build.vehicle.payload.si if build.vehicle.payload else None,
        along_g=ALONG,
        across_g=ACROSS,
    )


def _reserve(build: Build, fit: Fitted, states: Mapping[str, Running], budget: LoadBudget) -> tuple[ReserveRow, ...]:
    """Peukert time at 25 degC and in the cold, of the batteries that give out first."""
    coldest = [place.coldest.si for place in build.locations.values() if place.coldest]
    rows = []
    for name, _, fraction in LEVELS[:LEVELS_USED]:
        found = pools(build, fit, states["stopped"], fraction)
        for temperature in (WARM, min(coldest, default=COLD)):
            first = shortest(found, temperature)
            if first is not None:
                rows.append(_reserve_row(build, fit, budget, name, found, first, temperature))
    return tuple(rows)


def _reserve_row(
    build: Build,
    fit: Fitted,
    budget: LoadBudget,
    name: str,
    found: Sequence[Pool],
    first: Lasting,
    temperature: float,
) -> ReserveRow:
    pool = first.pool
    left = (
        DEFAULTS["battery.starter_reserve"].typical if pool.starts else _left_to_start(fit, found, first.seconds)
    )
    used = pool.amperes * first.seconds
    given = _given_back(pool, budget, temperature)
    titles = " and ".join(b.title for b in pool.batteries)
    return ReserveRow(
        level=name,
        temperature=temperature,
        amperes=pool.amperes,
        seconds=first.seconds,
        used=used,
        recharge=used / CHARGE_EFFICIENCY / given if given > 0.5 else None,
        cranking=_cranking(build, fit, temperature, left),
        words=f"{first.words}; on the road {given:.0f} A: what is left for {titles} without music, or what they accept"
        if given > 0.5
        else f"{first.words}; on the road nothing is left for {titles}",
    )


def _given_back(pool: Pool, budget: LoadBudget, temperature: float) -> float:
    """Charging current on the road without music [A]: what the buses have to spare, at most what is accepted."""
    cruise = next(s for s in budget.states if s.state == "cruise")
    given = 0.0
    for bus in cruise.buses:
        accepts = sum(
            b.charge.nominal
            * DEFAULTS[f"{family(b)}.charge_acceptance"].typical
            / (2.0 if temperature <= 5.0 else 1.0)
            for b in pool.batteries
            if b.at in bus.locations
        )
        given += max(min(bus.supply - bus.base_load - max(bus.passed_on), accepts), 0.0)
    return given


def _left_to_start(fit: Fitted, found: Sequence[Pool], seconds: float) -> float:
    """Share of charge that the battery which starts the engine has after a time."""
    left = [
        b.charge_state.nominal - pool.amperes * seconds / sum(one.charge.nominal for one in pool.batteries)
        for pool in found
        for b in pool.batteries
        if b.starts_engine
    ]
    own = [b.charge_state.nominal for b in fit.batteries.values() if b.starts_engine]
    return min(left or own, default=DEFAULTS["battery.starter_reserve"].typical)


def _cranking(build: Build, fit: Fitted, temperature: float, left: float) -> float | None:
    """Voltage while cranking with the reserve left [V]: rest voltage less current times worn, cold resistance.

    Nought where the battery cannot give that current at all.
    """
    starters = [b for b in fit.batteries.values() if b.starts_engine]
    if not starters:
        return None
    stated = build.vehicle.cranking_current
    default = DEFAULTS["vehicle.cranking_cold" if temperature < 0.0 else "vehicle.cranking"].typical
    current = stated.si * (2.0 if temperature < 0.0 else 1.0) if stated else default
    volts = law.open_circuit_voltage(starters[0].chemistry, left, starters[0].cells, temperature)
    siemens = sum(1.0 / _cold_resistance(b, temperature, left) for b in starters)
    return max(0.0, volts - current / siemens)


def _cold_resistance(b: StorageBattery, temperature: float, left: float) -> float:
    cold = b.at_temperature(temperature).pulse.high
    return cold * law.charge_factor(b.chemistry, left).typical + b.terminals.high


def _standing(build: Build, fit: Fitted) -> list[StandingRow]:
    """Groups of batteries joined with everything closed that is closed with the key off, and what drains them."""
    groups: list[list[StorageBattery]] = []
    feeds = build
    for b in fit.batteries.values():
        bus = _asleep(feeds, b.at)
        home = next((g for g in groups if g[0].at in bus), None)
        if home is None:
            groups.append([b])
        else:
            home.append(b)
    return [_group(build, fit, group) for group in groups]


def _asleep(build: Build, location: str) -> set[str]:
    """The bus of a location with the key off: relays open, switches as found, diodes closed."""
    from dataclasses import replace

    kept = {
        id_: c
        for id_, c in build.couplings.items()
        if c.kind == "diode_isolator" or (c.kind == "switch" and c.closed)
    }
    return joined(replace(build, couplings=kept), location)


def _group(build: Build, fit: Fitted, group: list[StorageBattery]) -> StandingRow:
    bus = _asleep(build, group[0].at)
    pool = Pool(tuple(group), (), 0.0)
    usable = sum(b.charge.nominal * max(b.charge_state.nominal - pool.least(b), 0.0) for b in group)
    drains: list[DrainRow] = []

    def draw(title: str, stated: Quantity | None, assumed: float, share: float = 1.0) -> None:
        if stated is not None or assumed > 0.0:
            drains.append(DrainRow(title, (stated.si if stated else assumed) * share, stated is None))

    home = build.vehicle.base_load_at or next(
        (b.at for b in build.batteries.values() if b.starts_engine), group[0].at
    )
    if home in bus:
        draw("the vehicle, asleep", build.vehicle.key_off_current, KEY_OFF_A)
    for a in build.amplifiers.values():
        if a.at in bus:
            draw(a.title, a.standby_current, AMPLIFIER_A)
    for bank in build.capacitor_banks.values():
        if bank.at in bus:
            leak = DEFAULTS["capacitor.leakage"].typical * bank.capacitance.si * bank.parallel
            draw(f"{bank.title}: leakage and balancing", bank.standby_current, leak)
    for b in group:
        battery = build.batteries[b.id]
        if b.chemistry in LITHIUM:
            own = battery.management.own_current if battery.management else None
            draw(f"{b.title}: management", own, MANAGEMENT_A if b.trip is not None else 0.0, b.units)
        rate = DEFAULTS[f"{b.chemistry}.self_discharge"].typical
        lost = law.self_discharge(rate, 1.0, ambient_of(build, b.at).nominal if _parked_warm(build, b.at) else WARM)
        drains.append(DrainRow(f"{b.title}: self-discharge", lost * b.charge.nominal, True))
    total = sum(d.amperes for d in drains)
    return StandingRow(
        tuple(b.title for b in group),
        usable,
        tuple(drains),
        total,
        usable / total / 86400.0 if total else 0.0,
        any(b.starts_engine for b in group),
    )


def _parked_warm(build: Build, location: str) -> bool:
    """Whether a place is warm with the engine off: the stated air of an engine bay is of the running engine."""
    return not any(s.at == location for s in build.supplies.values()) and ambient_of(build, location).nominal <= 45.0


def _masses(build: Build) -> tuple[MassRow, ...]:
    rows: list[MassRow] = []

    def row(path: str, title: str, at: str, mass: float | None) -> None:
        place = build.locations[at].title
        along = restraint_force(mass, ALONG) if mass is not None else None
        across = restraint_force(mass, ACROSS) if mass is not None else None
        rows.append(MassRow(path, title, place, mass, along, across))

    for b in build.batteries.values():
        if not b.starts_engine:
            row(f"batteries.{b.id}", b.title, b.at, b.mass.si * b.parallel * b.series if b.mass else None)
    for c in build.capacitor_banks.values():
        row(f"capacitor_banks.{c.id}", c.title, c.at, c.mass.si if c.mass else None)
    for a in build.amplifiers.values():
        row(f"amplifiers.{a.id}", a.title, a.at, a.mass.si if a.mass else None)
    for s in build.speakers.values():
        row(f"speakers.{s.id}", s.title, build.amplifiers[s.amplifiers[0]].at, s.mass.si if s.mass else None)
    return tuple(rows)
