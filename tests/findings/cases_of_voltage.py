"""Builds that break and keep the rules on the voltage that a load case leaves."""

from __future__ import annotations

from additions import REAR_LITHIUM
from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

MANAGED = REAR_LITHIUM.replace(
    "lifepo4", "lifepo4, internal_resistance: 3 mohm, management: {continuous: 200 A, peak: 400 A, peak_time: 1 s}"
)

CASES = (
    Case(
        "voltage-below-limit", CAUTION, "load_cases.note",
        "limits.amplifier.mean", "12.4 V", "11.6 V",
        "12.7 V at rest; 400 W / 0.8 / 12.1 V = 41 A over the battery's 5 mΩ and 5 to 10 mΩ of feed, fuse, joints "
        "and return take 0.4 to 0.7 V",
        "analytic",
    ),
    Case(
        "vehicle-voltage-below-limit", CAUTION, "load_cases.note",
        "limits.vehicle.mean", "12.6 V", "12.2 V",
        "12.7 V at rest; 41 A and 4 A over the battery's 5 mΩ take 0.2 V and a little for its discharge",
        "analytic",
    ),
    Case(
        "amplifier-shuts-down", CAUTION, "load_cases.note",
        "amplifiers.amp.low_voltage_shutdown", "12.4 V", "11.6 V",
        "the same voltage as of voltage-below-limit, 12.0 to 12.3 V",
        "analytic",
    ),
    Case(
        "voltage-collapses", STOP, "load_cases.note",
        "batteries.starter.internal_resistance", "90 mohm", "30 mohm",
        "P ≤ E²/4R; 400 W / 0.8 = 500 W are asked, at the peaks of the tone up to twice that; (12.7 V)² / 4 / 90 mΩ "
        "are 448 W, behind 30 mΩ and 10 mΩ of copper 1008 W",
        "analytic", "limits: null\namplifiers: {amp: {low_voltage_shutdown: 6 V, lowest_voltage: 5 V}}",
    ),
    Case(
        "battery-management-opens", CAUTION, "load_cases.note",
        "batteries.rear.management.continuous", "20 A", "80 A",
        "400 W / 0.8 / 13 V are 38 A, and the battery in the boot, of higher voltage and nearer, gives most of them: "
        "limits of its management, as stated",
        "analytic", MANAGED,
    ),
    Case(
        "voltage-not-judged", NOTE, "load_cases",
        "limits.amplifier", None, "{mean: 11.6 V}",
        "what is good enough is agreed before the work: common practice, no source",
        "practice",
    ),
    Case(
        "voltage-drop-above-limit", CAUTION, "limits.voltage_drop",
        "limits.voltage_drop", "0.1 V", "0.5 V",
        "4 m of 4 AWG (0.8 mΩ/m) there and of 1/0 AWG (0.33 mΩ/m) back have 4.7 mΩ; 41 A lose 0.19 V, with joints and "
        "fuse less than 0.5 V",
        "analytic",
    ),
)
