"""Defaults of batteries: resistance, polarisation, surface charge, bulk, ageing."""

from __future__ import annotations

from typing import Final

from dossier.reference.defaults.entry import default
from dossier.reference.source import MEMORY, PRACTICE, Source, Status

_NREL = Source("NREL ADVISOR 12 V lead-acid modules, 12 to 104 Ah", "2003", "", Status.DERIVED)
_CRANK = Source(
    "cold-cranking definition and temperature adjuster", "", "5.3 V / CCA at -18 degC over 1.64", Status.DERIVED
)
_SURFACE = Source("estimate behind the sag model, no citable measured value found", "", "", Status.ASSUMPTION)
_LFP = Source("lithium iron phosphate cells, one cell limit read", "", "", Status.MEMORY)
_LTO = Source("40 Ah lithium titanate cell data and a note on scaling", "", "", Status.READ_SECOND_HAND)
_JACKEY = Source("SAE 2007-01-0778 parameter files", "2007", "", Status.MEMORY)
_PEUKERT = Source("Peukert reference pages", "", "", Status.READ_SECOND_HAND)
_SELF = Source("lead-acid self-discharge pages", "", "", Status.READ_SECOND_HAND)

_PULSE_NOTE = ("value of a 1 to 10 s pulse near full at 25 °C; use the high end for sag, the low end for fault current")
_R1_NOTE = "slow part beyond the pulse value; see split_pulse_resistance so that it is not counted twice"
_CS_NOTE = (
    "400 to 500 F for a 70 to 80 Ah AGM; x0.5 to x2. Worth up to 1 V in bursts of 0.4 to 5 s, nothing after 20 s"
)

BATTERIES: Final = (
    default(
        "agm.resistance",
        "AGM battery: internal resistance times capacity",
        (150, 300, 600),
        "mΩ·Ah",
        _NREL,
        _PULSE_NOTE,
    ),
    default(
        "flooded.resistance",
        "flooded starter battery: internal resistance times capacity",
        (170, 260, 400),
        "mΩ·Ah",
        MEMORY,
        _PULSE_NOTE,
    ),
    default(
        "lifepo4.resistance",
        "lithium iron phosphate energy cell: 10 s resistance times capacity, per cell",
        (40, 80, 130),
        "mΩ·Ah",
        _LFP,
        "a 1 kHz label is only 40 to 60 % of it",
    ),
    default(
        "lifepo4.management",
        "management electronics, shunt and busbars of a packaged lithium iron phosphate battery",
        (1.0, 3.0, 8.0),
        "mΩ",
        _LFP,
        "only a ceiling was read: 20 mΩ for a whole 100 Ah pack",
    ),
    default(
        "lto.resistance",
        "lithium titanate cell: 10 s resistance times capacity, per cell",
        (12, 28, 40),
        "mΩ·Ah",
        _LTO,
        "add the interconnects",
    ),
    default(
        "lto.interconnect",
        "interconnects of a lithium titanate block",
        (0.05, 0.2, 0.8),
        "mΩ",
        Source("six bolted joints and links, after the joint defaults", "", "", Status.ASSUMPTION),
    ),
    default(
        "lead.resistance_cca",
        "lead-acid: internal resistance at 25 °C times cold-cranking current (SAE label)",
        (2.2, 2.9, 3.6),
        "V",
        _CRANK,
        "an EN label counts 5.0/5.3 of it, a DIN label 3.5/5.3",
    ),
    default(
        "lead.resistance_cca_worn",
        "lead-acid: the same product at the failing limit of a load test",
        (5.5, 6.0, 6.4),
        "V",
        Source("half cold-cranking current for 15 s, 9.6 V at 21 degC", "", "", Status.DERIVED),
    ),
    default(
        "lead.cca_per_capacity",
        "lead-acid: cold-cranking current per capacity",
        (6, 9, 13),
        "A/Ah",
        MEMORY,
        "deep-cycle batteries 4 to 7",
    ),
    default("lead.r1", "lead-acid: slow polarisation over ohmic resistance", (0.3, 0.7, 1.5), "", _JACKEY, _R1_NOTE),
    default("lead.tau1", "lead-acid: slow polarisation time constant", (10, 40, 120), "s", _JACKEY),
    default("lifepo4.r1", "LiFePO4: polarisation over ohmic resistance", (0.3, 0.5, 0.8), "", MEMORY, _R1_NOTE),
    default("lifepo4.tau1", "LiFePO4: polarisation time constant", (2, 8, 30), "s", MEMORY),
    default("lto.r1", "LTO: polarisation over ohmic resistance", (0.3, 0.6, 1.5), "", MEMORY, _R1_NOTE),
    default("lto.tau1", "LTO: polarisation time constant", (1, 5, 20), "s", MEMORY),
    default(
        "lead.surface_charge", "lead-acid: surface charge as a capacitance", (3, 6, 12), "F/Ah", _SURFACE, _CS_NOTE
    ),
    default(
        "lifepo4.surface_charge",
        "LiFePO4: surface charge as a capacitance",
        (7.5, 15, 30),
        "F/Ah",
        _SURFACE,
        "1500 F taken for 100 Ah; x0.5 to x2",
    ),
    default(
        "lead.surface_discharge",
        "lead-acid: resistance that holds rest voltage under discharge, times capacity",
        (38, 75, 150),
        "mΩ·Ah",
        _SURFACE,
        "0.8 to 1.2 mΩ for a 70 to 80 Ah AGM",
    ),
    default(
        "lead.surface_charging",
        "lead-acid: resistance that limits charging above rest voltage, times capacity",
        (14, 28, 56),
        "Ω·Ah",
        _SURFACE,
        "0.35 to 0.40 Ω for a 70 to 80 Ah AGM: 3 to 4 A at 14.2 V when full",
    ),
    default(
        "lifepo4.surface_discharge",
        "LiFePO4: resistance that holds rest voltage under discharge, times capacity",
        (25, 50, 100),
        "mΩ·Ah",
        _SURFACE,
    ),
    default(
        "lifepo4.surface_charging",
        "LiFePO4: resistance that limits charging above rest voltage, times capacity",
        (15, 30, 60),
        "Ω·Ah",
        _SURFACE,
    ),
    default(
        "lead.bulk", "lead-acid: slope of rest voltage as a capacitance, 12 V block", (2200, 2900, 3600), "F/Ah", _NREL
    ),
    default(
        "lto.bulk",
        "LTO: slope of rest voltage as a capacitance, six cells",
        (900, 1400, 1900),
        "F/Ah",
        Source("usual rest-voltage curve, 2.12 to 2.47 V per cell from 10 to 90 %", "", "", Status.MEMORY),
    ),
    default(
        "lifepo4.bulk",
        "LiFePO4: slope of rest voltage as a capacitance, four cells, 20 to 90 %",
        (4000, 6500, 10000),
        "F/Ah",
        Source("LiFePO4 rest-voltage table, 12.85 V at 20 % to 13.24 V at 90 %", "", "", Status.DERIVED),
    ),
    default("agm.peukert", "AGM: Peukert exponent", (1.05, 1.1, 1.15), "", _PEUKERT),
    default("flooded.peukert", "flooded: Peukert exponent", (1.15, 1.25, 1.4), "", _PEUKERT, "two pages disagree"),
    default("lifepo4.peukert", "LiFePO4: Peukert exponent", (1.0, 1.03, 1.05), "", _PEUKERT),
    default("lto.peukert", "LTO: Peukert exponent", (1.0, 1.03, 1.05), "", MEMORY, "taken as LiFePO4"),
    default("agm.self_discharge", "AGM: self-discharge at 25 °C", (1, 3, 10), "%/month", _SELF, "doubles each 10 K"),
    default(
        "flooded.self_discharge", "flooded: self-discharge at 25 °C", (4, 8, 40), "%/month", _SELF, "doubles each 10 K"
    ),
    default(
        "lifepo4.self_discharge",
        "LiFePO4: self-discharge at 25 °C with its management",
        (0.5, 2, 3),
        "%/month",
        Source("12.8 V 100 Ah pack specification", "", "", Status.READ_SECOND_HAND),
    ),
    default("lto.self_discharge", "LTO: self-discharge at 25 °C", (0.5, 2, 4), "%/month", MEMORY),
    default(
        "battery.fault",
        "lithium: ohmic part in the first milliseconds over the 1 to 10 s resistance",
        (0.4, 0.6, 0.8),
        "",
        MEMORY,
        "take the low end, of a low resistance, for breaking capacity",
    ),
    default(
        "lead.fault",
        "lead-acid: ohmic part in the first milliseconds over the 1 to 10 s resistance",
        (0.6, 0.8, 0.95),
        "",
        MEMORY,
        "a conductance tester reads 2.6 to 3 V over the cold-cranking current, a pulse 2.9 V; the low end for breaking",
    ),
    default(
        "lead.age",
        "resistance of a worn but starting battery over new",
        (1.3, 1.6, 2.2),
        "",
        Source("service load-test limits", "", "", Status.DERIVED),
    ),
    default(
        "lead.charge_acceptance",
        "lead-acid: sustained charging current at 14.4 V",
        (0.05, 0.2, 0.6),
        "A/Ah",
        MEMORY,
        "half at 0 °C; 0.02 to 0.05 above 95 % state of charge",
    ),
    default(
        "lifepo4.charge_acceptance",
        "LiFePO4: charging current",
        (0.2, 0.5, 1.0),
        "A/Ah",
        MEMORY,
        "its management limits it",
    ),
    default("lto.charge_acceptance", "LTO: charging current", (1.0, 3.0, 6.0), "A/Ah", MEMORY),
    default(
        "lifepo4.continuous",
        "LiFePO4: continuous discharge over capacity",
        (0.67, 1.0, 1.0),
        "A/Ah",
        Source("two packaged 12.8 V battery specifications", "", "", Status.READ_SECOND_HAND),
        "its management opens, it does not sag",
    ),
    default(
        "lifepo4.peak",
        "LiFePO4: 3 to 5 s discharge over capacity",
        (2.0, 3.5, 4.0),
        "A/Ah",
        Source("two packaged 12.8 V battery specifications", "", "", Status.READ_SECOND_HAND),
        "above it take an open circuit",
    ),
    default(
        "battery.charge_state",
        "state of charge of a battery in service",
        (0.6, 0.8, 1.0),
        "",
        Source("vehicle batteries in service", "", "", Status.MEMORY),
    ),
    default(
        "battery.temperature",
        "temperature of a battery whose place states no air, or the air around a running engine",
        (10, 25, 40),
        "°C",
        PRACTICE,
        "in frost a lead-acid battery has a fifth to two thirds more resistance: state `ambient` where it is parked",
    ),
    default(
        "battery.starter_reserve", "share of a starter battery to leave for starting", (0.4, 0.5, 0.6), "", PRACTICE
    ),
    default(
        "lead.least_charge",
        "share of charge below which a lead-acid battery in service is not drawn",
        (0.4, 0.5, 0.6),
        "",
        PRACTICE,
        "deeper discharges cost life with every one of them",
    ),
    default(
        "lifepo4.least_charge",
        "share of charge below which a lithium iron phosphate battery is not drawn",
        (0.1, 0.2, 0.3),
        "",
        PRACTICE,
    ),
    default(
        "lto.least_charge",
        "share of charge below which a lithium titanate battery is not drawn",
        (0.05, 0.1, 0.2),
        "",
        PRACTICE,
    ),
)
