"""Builds that break and keep the rules on alternators."""

from __future__ import annotations

from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

TWO_ALTERNATORS = """
supplies:
  second: {kind: alternator, at: engine, output_at_shaft: {1800 rpm: 80 A, 6000 rpm: 120 A}, output_is_hot: true,
           pulley_ratio: 2.5, maximum_speed: 18000 rpm}
"""
BEHIND_A_CONVERTER = """
locations: {tray: {ambient: 25 degC, zone: boot}, rack: {}}
supplies: {converter: {kind: dc_dc, from: boot, at: tray, charging_voltage: 14.2 V, rated_current: 40 A}}
batteries: {rear: {at: tray, chemistry: agm, capacity: 80 Ah, mass: 20 kg, vent_outside: true}}
amplifiers: {amp: {at: rack}}
cables:
  own: {role: feed, from: tray, to: rack, size: 4 AWG, insulation: 105 degC, length: 1 m,
        fuses: {rear: {near: tray, distance: 150 mm, style: bolt_in, rating: 100 A, breaking_capacity: 20 kA}}}
  own_back: {role: return, from: rack, to: tray, size: 4 AWG, insulation: 105 degC, length: 1 m}
  rear_back: {role: return, from: tray, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}
"""

CASES = (
    Case(
        "no-charging-source", CAUTION, "load_cases.note.engine",
        "load_cases.note.engine", "idle", "stopped",
        "common practice, no source",
        "practice", "supplies: null\ncables: {lead: null, strap: null}\nlocations: {engine: null}",
    ),
    Case(
        "alternator-deficit", NOTE, "vehicle.idle",
        "vehicle.base_load.idle", "90 A", "60 A",
        "800 rpm · 2.5 = 2000 rpm of the shaft: between 80 A and 82 A; music of an eighth of 400 W takes some 5 A "
        "more",
        "analytic",
    ),
    Case(
        "alternator-deficit", CAUTION, "vehicle.cruise",
        "vehicle.base_load.cruise", "120 A", "90 A",
        "2000 rpm · 2.5 = 5000 rpm of the shaft: between 110 A and 112 A",
        "analytic",
    ),
    Case(
        "alternator-deficit", NOTE, "vehicle.idle",
        "supplies.converter.runs_in", "[cruise]", "[idle, cruise]",
        "a converter of 40 A is all that charges the amplifier's battery; at an eighth of 400 W it takes some 5 A",
        "analytic", BEHIND_A_CONVERTER,
    ),
    Case(
        "alternator-overspeed", STOP, "supplies.alternator.pulley_ratio",
        "supplies.alternator.pulley_ratio", "3.7", "3.5",
        "5000 rpm · 3.7 = 18500, · 3.5 = 17500; 18000 stated",
        "analytic",
    ),
    Case(
        "alternator-overspeed", CAUTION, "supplies.alternator.pulley_ratio",
        "supplies.alternator.pulley_ratio", "3.1", "2.9",
        "15000 r/min where nothing is stated (low end of data sheets, not checked against the document)",
        "practice", "supplies: {alternator: {maximum_speed: null}}",
    ),
    Case(
        "belt-changes-with-pulley", NOTE, "supplies.alternator.belt",
        "supplies.alternator.belt.replaced_pulley", "60 mm", None,
        "wrap/2 · Δd: a smaller pulley needs a shorter belt; nothing was replaced, nothing changes",
        "analytic", "supplies: {alternator: {belt: {pulley: 50 mm, wrap: 150 deg}}}",
    ),
    Case(
        "alternators-share-unequally", NOTE, "supplies",
        "supplies.second.charging_voltage", "{value: 14.5 V, tolerance: 10 mV}", "{value: 14.2 V, tolerance: 10 mV}",
        "ΔV over the sum of their droops: 0.3 V over some milliohms are tens of amperes of 120 A, no difference is "
        "none",
        "analytic", TWO_ALTERNATORS,
    ),
    Case(
        "external-regulator", NOTE, "supplies.alternator.regulation",
        "supplies.alternator.regulation", "external", "internal",
        "common practice, no source",
        "practice",
    ),
    Case(
        "belt-torque-at-idle", CAUTION, "vehicle.idle",
        "supplies.alternator.output_at_shaft", "{1800 rpm: 200 A, 6000 rpm: 300 A}", "{1800 rpm: 80 A, 6000 rpm: 90 A}",
        "at 800 r/min 205 A · 14.2 V are 2.9 kW; with 55 % that is 63 N m of the engine; 81 A take less than half; 50 "
        "N m: common practice, no source",
        "practice",
    ),
    Case(
        "supply-at-its-limit", CAUTION, "supplies.alternator",
        "vehicle.base_load.cruise", "80 A", "60 A",
        "110 A at 5000 rpm of the shaft; the run-down 80 Ah take some 35 A and music of an eighth of 400 W some 7 A "
        "more: 122 A are asked, or 102 A",
        "analytic",
    ),
    Case(
        "supply-at-its-limit", NOTE, "supplies.converter",
        "supplies.converter.rated_current", "20 A", "40 A",
        "a rear battery of 40 Ah takes some 24 A and the music some 7 A: 20 A are not enough, 40 A are",
        "analytic", BEHIND_A_CONVERTER.replace("80 Ah", "40 Ah"),
    ),
)
