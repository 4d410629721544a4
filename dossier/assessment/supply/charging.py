"""Sources on one bus: windows, banks, voltage-controlled units, what stays live, and openings under charge."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from dossier.assessment.supply.alternators import alternator_rows, sharing
from dossier.assessment.supply.silent import silent_supplies
from dossier.buildfile.model import Build
from dossier.electrical import batteries as law
from dossier.electrical import capacitors
from dossier.equipment.charging import ChargingSource
from dossier.equipment.conductors import ambient_of
from dossier.equipment.feeding import joined, most_output
from dossier.equipment.installed import Installed, Running, home
from dossier.equipment.storage import CHEMISTRY_WORDS, Bank, StorageBattery
from dossier.reference.batteries import CHARGING, HYDROGEN_PER_COULOMB
from dossier.results.charging import BankRow, Charging, Does, DumpRow, LiveRow, Opens, RelayRow, Window, WindowRow
from dossier.results.sag import LoadCaseResult

SPREAD: Final = 0.20
"""Capacitance of large cells lies between their label and 20 % above it (cell data, read second-hand): without
balancing the smallest cell of a string takes this much more than the average, at worst."""
BALANCED: Final = 0.03  # of cell voltage that balancing leaves; not checked against the document
OVERCHARGE_A: Final = 10.0  # at which the gas of a vented battery is stated; trade notes
BLEED_OHM: Final = 2.0
PRECHARGE_OHM: Final = 4.7
SAFE_V: Final = 1.0
SAFE_J: Final = 50.0
LOAD_DUMP: Final = (
    "load dump: up to 35 V suppressed in the alternator, 79 to 101 V without (ISO 16750-2, "
    "not checked against the document)"
)
SAME: Final = 1.0005  # a rounded division by the number of cells is no excess


def charging(
    build: Build, fit: Installed, states: Mapping[str, Running], cases: tuple[LoadCaseResult, ...]
) -> Charging:
    """Everything about sources on one bus."""
    return Charging(
        windows=tuple(_window(build, states, b) for b in fit.batteries.values()),
        banks=tuple(_bank(build, states, b) for b in fit.banks.values()),
        alternators=alternator_rows(build, states),
        sharing=sharing(build, states),
        live=_live(build),
        dumps=tuple(_dumps(build, fit, states)),
        relays=tuple(_relays(build, fit, states, cases)),
        silent=silent_supplies(build, fit, states),
    )


def bus_chargers(build: Build, states: Mapping[str, Running], location: str) -> list[ChargingSource]:
    """Every supply that charges the bus of a location, once for every engine state it runs in."""
    bus = joined(build, location)
    return [s for run in states.values() for s in run.supplies if s.running and s.at in bus]


def _window(build: Build, states: Mapping[str, Running], b: StorageBattery) -> WindowRow:
    """The window of a battery at its temperature, that of the air at its place, against what charges it.

    In the warm that limit falls; what fills it does not, since a battery warms up only on the road. The voltage
    that it may never see stays.
    """
    window = CHARGING[b.chemistry]
    chargers = bus_chargers(build, states, b.at)
    volts = [s.set_point.nominal for s in chargers]
    place, battery = build.locations[b.at], build.batteries[b.id]
    stated = battery.management.coldest_charge if battery.management else None
    allowed_from = [t for t in (stated.si if stated else None, window.lowest_temperature) if t is not None]
    charge_from = max(allowed_from, default=None)  # a management set lower does not change what the cells take
    vented = b.chemistry == "flooded"
    full, most, never = (v * b.cells for v in (window.charge_low, window.charge_high, window.maximum))
    temperature = ambient_of(build, b.at).nominal
    shift = law.charging_shift(b.chemistry, temperature, b.cells)
    full += max(shift, 0.0)
    warm_most = min(most + shift, never)
    if not volts:
        verdict = Window.NOTHING
    elif max(volts) > never * SAME:
        verdict = Window.NEVER
    elif max(volts) > max(most, warm_most) * SAME:
        verdict = Window.ABOVE
    elif max(s.set_point.low for s in chargers) > warm_most * SAME:
        verdict = Window.WARM
    elif max(volts) < full / SAME:
        verdict = Window.BELOW
    else:
        verdict = Window.WITHIN
    return WindowRow(
        b.id,
        b.title,
        place.title,
        CHEMISTRY_WORDS[b.chemistry],
        min(volts, default=None),
        max(volts, default=None),
        full,
        warm_most,
        never,
        charge_from,
        place.coldest.si if place.coldest else None,
        HYDROGEN_PER_COULOMB * OVERCHARGE_A * 3600.0 * b.cells / 6.0 if vented else None,
        verdict,
        temperature,
        shift,
        b.open_circuit.nominal,
    )


def _bank(build: Build, states: Mapping[str, Running], b: Bank) -> BankRow:
    chargers = bus_chargers(build, states, b.at)
    volts = max((s.set_point.nominal for s in chargers), default=build.vehicle.system.si * 1.2)
    declared = build.capacitor_banks[b.id]
    cell = volts / b.series
    spread = declared.capacitance.tolerance
    width = spread / declared.capacitance.si if spread else SPREAD
    balanced = declared.balancing in ("passive", "active")
    if b.series == 1:
        worst = cell
    elif balanced:
        worst = cell * (1.0 + BALANCED)
    else:  # one small cell among large ones: equal charge, voltage as 1/C
        worst = volts * (1.0 + width) / (b.series + width)
    farads, esr = b.capacitance.nominal, b.esr.low
    ohms = declared.precharge.si if declared.precharge else PRECHARGE_OHM
    return BankRow(
        b.id,
        b.title,
        farads,
        volts,
        b.series,
        cell,
        worst,
        b.cell_rated.nominal,
        BALANCED if balanced else width,
        declared.balancing or "not stated",
        capacitors.stored_energy(farads, volts),
        volts / esr,
        ohms,
        declared.precharge is not None,
        capacitors.resistor_power(ohms, volts),
        declared.precharge_power.si if declared.precharge_power else None,
        capacitors.charge_time(ohms, farads, volts, 0.05 * volts),
        capacitors.charge_time(ohms, farads, volts, 0.01 * volts),
        BLEED_OHM,
        capacitors.resistor_power(BLEED_OHM, volts),
        capacitors.charge_time(BLEED_OHM, farads, volts, SAFE_V),
        capacitors.charge_time(BLEED_OHM, farads, volts, min(capacitors.voltage_at_energy(farads, SAFE_J), volts)),
    )


def _live(build: Build) -> tuple[LiveRow, ...]:
    """Every location as it is when the batteries that start the engine are taken off."""
    left = {id_: b for id_, b in build.batteries.items() if not b.starts_engine}
    if len(left) == len(build.batteries):
        return ()
    rows = []
    for id_, place in build.locations.items():
        bus = joined(build, id_)
        names = [b.title for b in left.values() if b.at in bus]
        names += [c.title for c in build.capacitor_banks.values() if c.at in bus]
        if names:
            rows.append(LiveRow(id_, place.title, tuple(names)))
    return tuple(rows)


def _dumps(build: Build, fit: Installed, states: Mapping[str, Running]) -> Iterable[DumpRow]:
    """Fuses between an alternator and the batteries, and managements, that may open while the alternator charges."""
    alternators = [s for s in build.supplies.values() if s.kind == "alternator"]
    drawing = {a.at for a in build.amplifiers.values()} | {build.vehicle.base_load_at or home(build)}
    for cable in build.cables.values():
        if cable.role != "feed" or not cable.fuses:
            continue
        without = replace(build, cables={k: c for k, c in build.cables.items() if k != cable.id})
        lost = [s for s in alternators if _stores(build, s.at) and not _stores(without, s.at)]
        found = lost or [s for s in alternators if s.at in (cable.start, cable.end)]
        if not found:
            continue
        left = _stores(without, found[0].at)
        live = bool(joined(without, found[0].at) & drawing)
        words = "the rest of the bus takes it"
        if lost:
            hit = "all that stays on its bus gets it" if live else "the alternator gets it, all else is cut off"
            words = f"{LOAD_DUMP}; {hit}"
        given, buffer = sum(most_output(s) for s in found), " and ".join(left) or "nothing"
        yield DumpRow(f"fuse of {cable.title} opens", given, buffer, words, Opens.FUSE, bool(lost) and live)
    lithium = [b for b in fit.batteries.values() if b.trip is not None]
    for b in lithium:
        others = [o for o in fit.batteries.values() if o.id != b.id and o.at in joined(build, b.at)]
        buffers = [o.title for o in others if o.trip is None]
        buffers += [c.title for c in fit.banks.values() if c.at in joined(build, b.at)]
        given = sum(
            s.limit.nominal for s in bus_chargers(build, {"cruise": states["cruise"]}, b.at) if s.kind == "alternator"
        )
        if given > 0.0:
            yield DumpRow(
                f"management of {b.title} opens",
                given,
                " and ".join(buffers) or "nothing",
                "the rest of the bus takes it" if buffers else LOAD_DUMP,
                Opens.MANAGEMENT,
                not buffers,
            )


def _stores(build: Build, location: str) -> list[str]:
    """Batteries and banks on the bus of a location, in words."""
    bus = joined(build, location)
    return [t.title for things in (build.batteries, build.capacitor_banks) for t in things.values() if t.at in bus]


def _relays(
    build: Build, fit: Installed, states: Mapping[str, Running], cases: tuple[LoadCaseResult, ...]
) -> Iterable[RelayRow]:
    cruise = states.get("cruise")
    alternators = (
        [s.set_point.nominal for s in cruise.supplies if s.running and s.kind == "alternator"] if cruise else []
    )
    highest = max(alternators, default=0.0)
    for joining in fit.couplings.values():
        if joining.closes is None or joining.opens is None:
            continue
        low, case = _lowest([c for c in cases if not _stands_still(build, c)], joining.coupling.start)
        closes, opens = joining.closes.nominal, joining.opens.nominal
        if highest and highest < closes:
            does = Does.RARELY_CLOSES
        elif low is not None and low < opens:
            does = Does.OPENS_UNDER_BASS if highest >= closes else Does.OPEN
        else:
            does = Does.STAYS_CLOSED
        yield RelayRow(
            joining.id, joining.coupling.title, "voltage_sensing_relay", closes, opens, highest, low, case, does
        )
    for s in cruise.supplies if cruise else ():
        if s.kind != "dc_dc" or s.minimum_input is None:
            continue
        low, case = _lowest([c for c in cases if _runs(build, s.id, c, states)], s.input_from)
        stops = s.minimum_input.nominal
        does = Does.STOPS if low is not None and low < stops else Does.RUNS
        yield RelayRow(s.id, s.title, "dc_dc", stops, stops, highest, low, case, does)


def _stands_still(build: Build, case: LoadCaseResult) -> bool:
    """Whether the engine stands still in a load case, by the key or by itself."""
    return build.load_cases[case.id].engine.state in ("stopped", "auto_stop")


def _runs(build: Build, supply: str, case: LoadCaseResult, states: Mapping[str, Running]) -> bool:
    """Whether a supply works in the engine state of a load case."""
    run = states.get(build.load_cases[case.id].engine.state)
    return run is not None and any(s.id == supply and s.running for s in run.supplies)


def _lowest(cases: Iterable[LoadCaseResult], location: str) -> tuple[float | None, str]:
    """Lowest mean voltage of a location in load cases, and in which."""
    seen = [
        (place.mean_minimum.volts, case.title)
        for case in cases
        for place in case.locations
        if place.id == location
        and place.mean_minimum.volts is not None
    ]
    return min(seen, default=(None, ""))
