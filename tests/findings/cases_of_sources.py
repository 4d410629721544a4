"""Builds that break and keep the rules on batteries and voltage-controlled units that share a bus."""

from __future__ import annotations

from additions import BANK, REAR_BATTERY, REAR_LITHIUM
from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

RELAY = """
amplifiers: {amp: {rated: {2 ohm: 600 W}}}
locations: {rear_side: {}}
couplings: {relay: {kind: voltage_sensing_relay, from: boot, to: rear_side, opens: 13.5 V, closes: 14.1 V,
                    continuous: 200 A, peak: 400 A}}
batteries: {rear: {at: rear_side, chemistry: agm, capacity: 80 Ah, mass: 20 kg}}
cables: {rear_back: {role: return, from: rear_side, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}}
load_cases: {note: {engine: cruise}}
"""
CONVERTER = """
amplifiers: {amp: {rated: {2 ohm: 600 W}}}
locations: {tray: {ambient: 25 degC, zone: boot}}
supplies: {converter: {kind: dc_dc, from: boot, at: tray, charging_voltage: 14.2 V, rated_current: 20 A}}
batteries: {rear: {at: tray, chemistry: agm, capacity: 80 Ah, mass: 20 kg, vent_outside: true}}
cables: {rear_back: {role: return, from: tray, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}}
load_cases: {note: {engine: cruise}}
"""
ONLY_LITHIUM = """
batteries: {starter: {chemistry: lifepo4, open_circuit_voltage: null, internal_resistance: 3 mohm,
                      management: {continuous: 100 A, peak: 200 A, peak_time: 10 s}}}
"""
MATE = "{kind: dc_dc, from: boot, at: rear_side, charging_voltage: 14.2 V, rated_current: 20 A}"
BANK_ENTRY = "{at: tray, series: 6, cell: {capacitance: 3000 F, esr: 0.3 mohm, rated_voltage: 2.7 V}}"
WINDOW = "lead-acid 2.3 to 2.45 V per cell at 25 °C, general practice (not checked against the document)"

CASES = (
    Case(
        "charging-above-window", CAUTION, "batteries.starter",
        "supplies.alternator.charging_voltage", "14.75 V", "14.65 V",
        f"{WINDOW}: six cells of AGM take 14.7 V at most",
        "practice",
    ),
    Case(
        "charging-above-window", STOP, "batteries.rear",
        "supplies.alternator.charging_voltage", "14.65 V", "14.55 V",
        "3.65 V per cell, two 12.8 V pack specifications (read second-hand): four cells 14.6 V",
        "published", REAR_LITHIUM,
    ),
    Case(
        "charging-above-window", NOTE, "batteries.starter",
        "locations.bay.ambient", "50 degC", "40 degC",
        f"{WINDOW}; −3.9 mV/K per cell (encyclopaedia, itself uncited): at 50 °C 14.1 V at most, at 40 °C 14.35 V; "
        "14.2 V less 50 mV of tolerance",
        "practice",
    ),
    Case(
        "charging-below-window", NOTE, "batteries.starter",
        "supplies.alternator.charging_voltage", "13.75 V", "13.85 V",
        f"{WINDOW}: six cells take 13.8 V to get full",
        "practice",
    ),
    Case(
        "relay-never-closes", CAUTION, "couplings.relay",
        "supplies.mate", None, MATE,
        "the alternator holds 14.2 V, the relay closes at 14.3 V: a converter beside it charges what is behind",
        "analytic", RELAY.replace("closes: 14.1 V", "closes: 14.3 V"),
    ),
    Case(
        "relay-never-closes", CAUTION, "couplings.relay",
        "couplings.relay.closes", "14.3 V", "14.1 V",
        "the alternator holds 14.2 V",
        "analytic", RELAY,
    ),
    Case(
        "relay-opens-under-bass", CAUTION, "couplings.relay",
        "couplings.relay.opens", "13.9 V", "13.5 V",
        "14.1 V at the battery at rest; 600 W / 0.8 / 13.8 V = 54 A over some 6 mΩ of feed, fuse, joints and return "
        "take 0.3 V to the boot",
        "analytic", RELAY,
    ),
    Case(
        "converter-input-too-low", CAUTION, "supplies.converter",
        "supplies.converter.minimum_input", "13.9 V", "13.2 V",
        "14.1 V at the battery at rest; 600 W / 0.8 / 13.7 V = 55 A of amplifier and some 24 A of converter over "
        "some 6 mΩ of feed, fuse, joints and return take 0.5 V to the boot",
        "analytic", CONVERTER,
    ),
    Case(
        "converter-input-too-low", CAUTION, "supplies.converter",
        "load_cases.note.engine", "cruise", "idle",
        "a converter that rests at idle cannot stop there",
        "analytic", CONVERTER.replace("20 A", "20 A, minimum_input: 13.9 V, runs_in: [cruise]"),
    ),
    Case(
        "lithium-in-engine-bay", CAUTION, "batteries.rear.at",
        "locations.tray.zone", "engine_bay", "boot",
        "common practice, no source",
        "practice", REAR_LITHIUM,
    ),
    Case(
        "lithium-in-engine-bay", CAUTION, "batteries.rear.at",
        "locations.tray.ambient", "55 degC", "54 degC",
        "55 °C stands for an engine bay: common practice, no source",
        "practice", REAR_LITHIUM,
    ),
    Case(
        "lithium-charged-in-the-cold", STOP, "batteries.rear",
        "locations.tray.coldest", "-1 degC", "0 degC",
        "no charging below 0 °C, 12.8 V pack specifications (read second-hand)",
        "published", REAR_LITHIUM,
    ),
    Case(
        "lithium-charged-in-the-cold", NOTE, "batteries.rear",
        "locations.tray.coldest", "-1 degC", "0 degC",
        "the same with a management that blocks it",
        "published", REAR_LITHIUM.replace("lifepo4", "lifepo4, management: {coldest_charge: 0 degC}"),
    ),
    Case(
        "lithium-charged-in-the-cold", STOP, "batteries.rear",
        "locations.tray.coldest", "-1 degC", "0 degC",
        "a management that blocks from -40 °C only does not change what the cells take: the warmer limit holds",
        "published", REAR_LITHIUM.replace("lifepo4", "lifepo4, management: {coldest_charge: -40 degC}"),
    ),
    Case(
        "lithium-charged-in-the-cold", CAUTION, "batteries.rear",
        "locations.tray.coldest", None, "0 degC",
        "how cold it gets is not known, and nothing blocks it: unknown is a caution",
        "practice", REAR_LITHIUM,
    ),
    Case(
        "gas-in-the-cabin", NOTE, "batteries.starter",
        "batteries.starter.chemistry", "flooded", "agm",
        "where the place is not stated a starter battery is taken to be under the bonnet: it is said",
        "practice", "locations: {bay: {zone: null}}",
    ),
    Case(
        "gas-in-the-cabin", STOP, "batteries.rear",
        "batteries.rear.vent_outside", None, "true",
        "hydrogen burns from 4 % in air (trade notes, not checked): liquid acid inside needs a tube to the outside",
        "practice", REAR_BATTERY.replace("agm", "flooded"),
    ),
    Case(
        "gas-in-the-cabin", CAUTION, "batteries.rear",
        "batteries.rear.vent_outside", None, "true",
        "AGM gives off gas only in overcharge: common practice, no source",
        "practice", REAR_BATTERY,
    ),
    Case(
        "gas-in-the-cabin", CAUTION, "batteries.rear",
        "batteries.rear.vent_outside", None, "true",
        "where no zone says that it is outside or beside the engine, it may be inside: the safe side",
        "practice", REAR_BATTERY.replace("agm", "flooded").replace(", zone: boot", ""),
    ),
    Case(
        "battery-not-of-this-system", STOP, "batteries.rear",
        "batteries.rear.cells", "7", "6",
        "0.9 to 1.3 times 12 V, 10.8 to 15.6 V: common practice, no source; half charged titanate rests at "
        "2.27 V a cell (not checked against the document): 15.9 V and 13.6 V, and is not refused for being full",
        "practice", REAR_LITHIUM.replace("lifepo4, cells: 4", "lto, cells: 6, state_of_charge: 100 %"),
    ),
    Case(
        "battery-not-of-this-system", STOP, "batteries.rear",
        "batteries.rear.cells", "3", "4",
        "the same below: iron phosphate rests at 3.3 V a cell (read second-hand): 9.9 V and 13.2 V",
        "practice", REAR_LITHIUM,
    ),
    Case(
        "mixed-chemistries", CAUTION, "batteries.starter.chemistry",
        "batteries.rear.chemistry", "flooded", "agm",
        "one chemistry on one bus: common practice, no source",
        "practice", REAR_BATTERY,
    ),
    Case(
        "mixed-chemistries", STOP, "batteries.starter.chemistry",
        "batteries.rear",
        "{at: tray, chemistry: lifepo4, capacity: 80 Ah}",
        "{at: tray, chemistry: agm, capacity: 80 Ah}",
        "lead-acid joined directly with lithium iron phosphate: common practice, no source",
        "practice", REAR_BATTERY,
    ),
    Case(
        "lithium-without-management", STOP, "batteries.rear",
        "batteries.rear.management", "{fitted: false}", "{continuous: 200 A}",
        "stated to have none: nothing opens; common practice, no source",
        "practice", REAR_LITHIUM,
    ),
    Case(
        "lithium-without-management", CAUTION, "batteries.rear",
        "batteries.rear.management", None, "{continuous: 200 A}",
        "not stated is not known: a caution",
        "practice", REAR_LITHIUM,
    ),
    Case(
        "live-without-the-starter-battery", NOTE, "batteries",
        "batteries.rear", "{at: tray, chemistry: agm, capacity: 80 Ah, mass: 20 kg, vent_outside: true}", None,
        "a second source feeds the front over the feed, whoever takes the first off: common practice, no source",
        "practice", REAR_BATTERY,
    ),
    Case(
        "load-dump", CAUTION, "batteries",
        "capacitor_banks.bank", None, BANK_ENTRY,
        "a lead-acid battery or a bank that stays on the bus takes the current: ISO 16750-2 (not checked)",
        "published", BANK + ONLY_LITHIUM,
    ),
    Case(
        "batteries-stand-apart", CAUTION, "batteries.rear",
        "batteries.rear.open_circuit_voltage", "11.1 V", "11.3 V",
        "12.7 V in front; more than 1.5 V apart: common practice, no source",
        "practice", REAR_BATTERY,
    ),
    Case(
        "old-beside-new-battery", CAUTION, "batteries.starter.in_service",
        "batteries.starter.in_service", "2024-06-01", "2025-03-01",
        "the rear one since 2026-01-02; more than a year apart: common practice, no source",
        "practice", REAR_BATTERY.replace("capacity: 80 Ah", "capacity: 80 Ah, in_service: 2026-01-02"),
    ),
)
