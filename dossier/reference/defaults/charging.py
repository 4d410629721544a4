"""Defaults of alternators, DC-DC converters and chargers, for a 12 V system."""

from __future__ import annotations

from typing import Final

from dossier.reference.defaults.entry import default
from dossier.reference.source import MEMORY, PRACTICE, Source, Status

_REG = Source("service data of two marine and two passenger-car alternators", "", "", Status.READ_SECOND_HAND)
_HOT = Source("marine 50 A service manual, hot and cold output", "", "", Status.READ_SECOND_HAND)

CHARGING: Final = (
    default(
        "alternator.idle_fraction",
        "alternator: output at engine idle over rated current",
        (0.25, 0.45, 0.65),
        "",
        Source("three alternator measurements at idle speed and pulley ratio", "", "", Status.DERIVED),
        "hot; see the table against shaft speed",
    ),
    default(
        "alternator.hot",
        "alternator: hot over cold output at the same speed",
        (0.67, 0.82, 0.95),
        "",
        _HOT,
        "worst at low speed: 0.67 at 1300, 0.82 at 2500, 0.96 at 5000 r/min of its shaft",
    ),
    default(
        "alternator.set_point",
        "alternator: regulated voltage at 25 °C",
        (13.7, 14.4, 14.85),
        "V",
        _REG,
        "controlled alternators wander from about 12.2 to 15.2 V",
        per_system=1,
    ),
    default("alternator.temperature_slope", "alternator: regulator slope", (-12, -7, 0), "mV/K", _REG),
    default(
        "alternator.droop",
        "alternator: regulated voltage lost from light to full load",
        (0.1, 0.3, 0.6),
        "V",
        MEMORY,
        per_system=1,
    ),
    default(
        "alternator.tau",
        "alternator: output current time constant",
        (0.05, 0.12, 0.3),
        "s",
        MEMORY,
        "only a bound of 1 s was read",
    ),
    default(
        "alternator.load_response",
        "alternator: rise of current that load response allows below 1000 engine r/min",
        (5, 10, 40),
        "A/s",
        Source("descriptions of load-response control", "", "", Status.READ_SECOND_HAND),
        "typical read, band not checked against the document; a 0.4 s burst gets a few amperes",
    ),
    default(
        "alternator.pulley_ratio",
        "alternator: shaft speed over engine speed",
        (2.2, 2.8, 3.3),
        "",
        Source("alternator pulley articles", "", "", Status.READ_SECOND_HAND),
    ),
    default(
        "alternator.maximum_speed",
        "alternator: continuous maximum shaft speed",
        (15000, 18000, 18000),
        "r/min",
        Source("three alternator data sheets and articles", "", "18000 r/min", Status.READ_SECOND_HAND),
        "low end not checked against the document; take it where exceeding is the danger",
    ),
    default(
        "alternator.efficiency",
        "alternator: electrical over mechanical power",
        (0.50, 0.60, 0.70),
        "",
        Source("NREL ADVISOR alternator map; EU baseline 67 % at half load", "", "", Status.READ),
        "full load 0.6 up to 4000, 0.52 at 8000 r/min of its shaft",
    ),
    default("engine.idle", "engine: warm idle speed", (550, 750, 900), "r/min", MEMORY),
    default("engine.cruise", "engine: speed while driving", (1800, 2200, 3000), "r/min", PRACTICE),
    default("dc_dc.efficiency", "DC-DC converter: output over input power", (0.82, 0.87, 0.93), "", MEMORY),
    default("dc_dc.output", "DC-DC converter: output voltage", (13.8, 14.4, 14.6), "V", MEMORY, per_system=1),
    default(
        "dc_dc.minimum_input", "DC-DC converter: lowest input voltage", (10.5, 11.5, 12.5), "V", MEMORY, per_system=1
    ),
    default("dc_dc.resistance", "DC-DC converter or charger: slope of its output", (0.5, 2.0, 10.0), "mΩ", MEMORY),
    default("charger.output", "bench charger: output voltage", (13.6, 14.4, 14.8), "V", MEMORY, per_system=1),
)
