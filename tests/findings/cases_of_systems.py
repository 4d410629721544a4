"""Builds that break and keep the rules on what fits a vehicle's system, and on supplies that give nothing."""

from __future__ import annotations

from additions import REAR_LITHIUM
from cases_of_sources import CONVERTER
from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

SECOND = """
supplies:
  second: {kind: alternator, at: engine, output_at_shaft: {1800 rpm: 80 A, 6000 rpm: 120 A}, output_is_hot: true,
           pulley_ratio: 2.5, maximum_speed: 18000 rpm}
"""
CUT = """
locations: {post: {ambient: 25 degC}}
couplings: {cut: {kind: switch, from: post, to: bay, continuous: 200 A, peak: 400 A}}
cables: {lead: {to: post, fuses: {link: {near: post}}}}
"""
SIXTEEN = """
vehicle: {system: 16 V}
batteries: {starter: {open_circuit_voltage: null}}
"""

CASES = (
    Case(
        "supply-gives-nothing", STOP, "supplies.alternator.charging_voltage",
        "supplies.alternator.charging_voltage", "12.3 V", "12.6 V",
        "a battery that rests at 12.7 V carries 25 A through some 10 mohm: it stays above 12.4 V, and what is set "
        "lower never gives; Ohm's law",
        "analytic",
    ),
    Case(
        "supply-gives-nothing", CAUTION, "supplies.alternator.output_at_shaft",
        "vehicle.idle", "400 rpm", "800 rpm",
        "400 rpm · 2.5 = 1000 rpm of the shaft, below the 1050 at which an alternator begins to give: common "
        "practice, no source",
        "practice",
    ),
    Case(
        "supply-gives-nothing", CAUTION, "supplies.converter.minimum_input",
        "supplies.converter.minimum_input", "14.4 V", "12 V",
        "an alternator of 14.2 V cannot give it 14.4 V",
        "analytic", CONVERTER,
    ),
    Case(
        "supply-gives-nothing", NOTE, "supplies.alternator.charging_voltage",
        "supplies.second.charging_voltage", "14.6 V", "14.25 V",
        "the one that is set 0.4 V higher holds the bus above the other until it gives all it can",
        "analytic", SECOND,
    ),
    Case(
        "supply-gives-nothing", STOP, "supplies.alternator.at",
        "couplings.cut.closed", "false", "true",
        "no current flows through an open switch",
        "analytic", CUT,
    ),
    Case(
        "battery-outside-its-temperatures", STOP, "locations.tray.ambient",
        "locations.tray.ambient", "61 degC", "60 degC",
        "lithium iron phosphate to 60 °C: common practice, no source",
        "practice", REAR_LITHIUM,
    ),
    Case(
        "battery-outside-its-temperatures", CAUTION, "locations.bay.coldest",
        "locations.bay.coldest", "-41 degC", "-40 degC",
        "lead-acid to -40 °C: common practice, no source",
        "practice",
    ),
    Case(
        "battery-not-of-this-system", STOP, "batteries.starter",
        "vehicle.system", "16 V", "12 V",
        "12.7 V at rest is 0.79 of 16 V, less than 0.9: common practice, no source",
        "practice",
    ),
    Case(
        "battery-not-of-this-system", STOP, "batteries.starter",
        "batteries.starter.cells", "6", "8",
        "eight cells of 2.06 V are 16.5 V, six 12.4 V: rest voltages read second-hand, 0.9 to 1.3 of 16 V "
        "common practice",
        "practice", SIXTEEN,
    ),
)
