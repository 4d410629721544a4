"""Reserve, recharge, key-off drain, cranking with what is left, and mass."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dossier.assessment.supply.demand import LEVELS
from dossier.assessment.supply.energy import (
    WARM,
    Gone,
    Hours,
    Passage,
    Reserves,
    floor_words,
    least,
    pass_hours,
    silent,
)
from dossier.buildfile.model import Build, Quantity
from dossier.electrical import batteries as law
from dossier.electrical.mechanics import ACROSS, ALONG, restraint_force
from dossier.equipment.conductors import ambient_of
from dossier.equipment.feeding import joined
from dossier.equipment.installed import Installed, Running
from dossier.equipment.storage import StorageBattery
from dossier.reference.batteries import LITHIUM
from dossier.reference.defaults import DEFAULTS
from dossier.results.protection import Cranking
from dossier.results.storage import DrainRow, MassRow, NoRecharge, RechargeCase, ReserveRow, StandingRow, Storage

LONGEST_RECHARGE_S: Final = 86400.0  # s; what takes longer than a day is not put back
KEY_OFF_A: Final = 0.03  # the vehicle itself, asleep; common practice, 20 to 50 mA
MANAGEMENT_A: Final = 0.01  # a lithium battery's own management; not checked against the document
AMPLIFIER_A: Final = 0.003  # an amplifier with its remote lead off; not checked against the document


def storage(
    build: Build,
    fit: Installed,
    states: Mapping[str, Running],
    reserves: Reserves,
    again: RechargeCase | NoRecharge,
    cranking: Cranking | None,
) -> Storage:
    """Everything about reserve, drain and mass."""
    masses = _masses(build)
    return Storage(
        reserve=_reserve(build, fit, states, reserves, cranking),
        recharge=None if isinstance(again, NoRecharge) else again,
        no_recharge=again if isinstance(again, NoRecharge) else NoRecharge.COMPUTED,
        standing=tuple(_standing(build, fit)),
        masses=masses,
        added_mass=sum(m.mass or 0.0 for m in masses),
        payload=build.vehicle.payload.si if build.vehicle.payload else None,
        along_g=ALONG,
        across_g=ACROSS,
    )


def _reserve(
    build: Build, fit: Installed, states: Mapping[str, Running], reserves: Reserves, cranking: Cranking | None
) -> tuple[ReserveRow, ...]:
    """Time at 25 degC and in the cold until the first battery gives out, and what the road puts back."""
    names = {fraction: name for name, _, fraction in LEVELS}
    played = [
        (key, gone)
        for key, (hours, gone) in reserves.down.items()
        if gone.first is not None and len(silent(hours, gone.first)) < len(fit.amplifiers) and gone.down
    ]
    backs = pass_hours(
        [
            Passage(
                Hours(build, fit, states["cruise"], 0.0, temperature),
                gone.charges,
                LONGEST_RECHARGE_S,
                until={gone.down: fit.batteries[gone.down].charge_state.nominal},
            )
            for (_, temperature), gone in played
        ]
    )
    return tuple(
        _reserve_row(fit, names[fraction], gone, back, temperature, cranking)
        for ((fraction, temperature), gone), back in zip(played, backs, strict=True)
    )


def _reserve_row(
    fit: Installed, name: str, gone: Gone, back: Gone, temperature: float, cranking: Cranking | None
) -> ReserveRow:
    down = fit.batteries[gone.down]
    given = back.first.amps.get(f"batteries.{down.id}", 0.0) if back.first is not None else 0.0
    full = back.charges[down.id] >= down.charge_state.nominal - 0.01
    starters = [id_ for id_, b in fit.batteries.items() if b.starts_engine]
    left = min((gone.charges[id_] for id_ in starters), default=DEFAULTS["battery.starter_reserve"].typical)
    posts, starter = _volts(fit, cranking, temperature, left) if cranking else (None, None)
    return ReserveRow(
        level=name,
        temperature=temperature,
        amperes=gone.given[down.id],
        seconds=gone.seconds,
        used=-gone.stored[down.id],
        recharge=back.seconds if given > 0.5 and full else None,
        cranking=posts,
        at_starter=starter,
        words=f"{floor_words(down)}; on the road {given:.0f} A at first go back into it, without music"
        if given > 0.5
        else f"{floor_words(down)}; on the road nothing is left for it",
    )


def _volts(
    fit: Installed, cranking: Cranking, temperature: float, left: float
) -> tuple[float, float] | tuple[None, None]:
    """Voltage while cranking with the reserve left, at the posts and at the starter [V]; None past the management.

    Rest voltage less current times worn, cold resistance; nought where the battery cannot give that current at all.
    """
    starters = [b for b in fit.batteries.values() if b.starts_engine]
    current = cranking.cold if temperature < 0.0 else cranking.warm
    if cranking.limited is not None and current > cranking.limited:
        return None, None
    volts = law.open_circuit_voltage(starters[0].chemistry, left, starters[0].cells, temperature)
    siemens = sum(1.0 / _cold_resistance(b, temperature, left) for b in starters)
    posts = max(0.0, volts - current / siemens)
    return posts, max(0.0, posts - current * cranking.way)


def _cold_resistance(b: StorageBattery, temperature: float, left: float) -> float:
    cold = b.at_temperature(temperature).pulse.high
    return cold * law.discharged_factor(b.chemistry, left) + b.terminals.high


def _standing(build: Build, fit: Installed) -> list[StandingRow]:
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


def _group(build: Build, fit: Installed, group: list[StorageBattery]) -> StandingRow:
    bus = _asleep(build, group[0].at)
    starts = any(b.starts_engine for b in group)
    usable = sum(b.charge.nominal * max(b.charge_state.nominal - least(b, with_starter=starts), 0.0) for b in group)
    drains: list[DrainRow] = []

    def draw(title: str, stated: Quantity | None, assumed: float, share: float = 1.0) -> None:
        if stated is not None or assumed > 0.0:
            drains.append(DrainRow(title, (stated.si if stated else assumed) * share, stated is None))

    home = build.vehicle.base_load_at or next((b.at for b in build.batteries.values() if b.starts_engine), group[0].at)
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
        tuple(b.title for b in group), usable, tuple(drains), total, usable / total / 86400.0 if total else 0.0, starts
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
