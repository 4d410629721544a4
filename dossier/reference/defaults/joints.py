"""Defaults of joints, fuses, switches, the body return, and cables that do not say enough."""

from __future__ import annotations

from typing import Final

from dossier.reference.defaults.entry import default
from dossier.reference.source import MEMORY, PRACTICE, Source, Status

_BOLTED = Source("bolted copper joints, measured 2 to 14 µΩ", "", "", Status.READ_SECOND_HAND)
_POST = Source("service limits for battery-post clamps", "", "0.10 V while cranking", Status.DERIVED)
_BODY = Source("spreading resistance of sheet steel and service limits", "", "", Status.DERIVED)
_DROP = Source("SAE maximum drops of switches, quoted by a training page", "", "", Status.MEMORY)
_FUSE = Source("fuse drop at rated current, one 10 A point read", "", "", Status.MEMORY)

JOINTS: Final = (
    default("joint.crimp", "one good crimp on 16 to 95 mm²", (0.01, 0.03, 0.1), "mΩ", MEMORY, "falls with area"),
    default("joint.lug", "bolted lug, clean and torqued", (0.005, 0.02, 0.1), "mΩ", _BOLTED),
    default("joint.lug_bad", "loose, painted or corroded lug", (0.2, 0.7, 5.0), "mΩ", MEMORY),
    default("joint.post", "battery post clamp", (0.03, 0.15, 0.5), "mΩ", _POST),
    default("joint.distribution", "distribution block, set-screw, in to out", (0.05, 0.15, 0.4), "mΩ", MEMORY),
    default(
        "joint.cable_ends",
        "both ends of one cable: two crimps and two bolted lugs",
        (0.03, 0.1, 0.4),
        "mΩ",
        Source("sum of two crimp and two lug defaults", "", "", Status.DERIVED),
    ),
    default("joint.spread", "spread on any sum of guessed joints", (0.5, 1.0, 2.5), "", MEMORY, "multiply the total"),
    default(
        "joint.body_return",
        "steel body: front battery to rear stud, with both studs and the strap",
        (0.5, 1.2, 3.0),
        "mΩ",
        _BODY,
        "distance barely matters, the stud does; aluminium and bonded bodies differ",
    ),
    default("joint.body_sheet", "steel body: sheet alone between two studs", (0.22, 0.4, 1.0), "mΩ", _BODY),
    default(
        "fuse.blade_drop",
        "blade fuse: drop at rated current",
        (70, 110, 170),
        "mV",
        _FUSE,
        "cold resistance is 0.6 to 0.75 of the hot one",
    ),
    default("fuse.bolt_drop", "strip or bolt-down fuse: drop at rated current", (50, 85, 130), "mV", _FUSE),
    default("fuse.cartridge_drop", "cartridge fuse: drop at rated current", (50, 85, 130), "mV", MEMORY),
    default("fuse.breaker_drop", "circuit breaker: drop at rated current", (80, 150, 300), "mV", MEMORY),
    default("fuse.holder", "fuse holder: both contacts", (0.02, 0.1, 0.5), "mΩ", MEMORY),
    default("coupling.relay", "heavy relay, contacts closed", (0.15, 0.4, 1.5), "mΩ", _DROP),
    default("coupling.switch", "battery disconnect switch, 200 to 500 A", (0.1, 0.25, 0.8), "mΩ", _DROP),
    default(
        "coupling.diode_drop",
        "diode isolator: forward drop",
        (0.3, 0.7, 1.0),
        "V",
        Source("diode isolators", "", "", Status.MEMORY),
    ),
    default(
        "coupling.closes",
        "voltage-sensing relay: closing voltage",
        (13.3, 13.3, 13.7),
        "V",
        Source("voltage-sensing relay descriptions", "", "", Status.READ_SECOND_HAND),
        per_system=1,
    ),
    default(
        "coupling.opens",
        "voltage-sensing relay: opening voltage",
        (12.6, 12.8, 12.9),
        "V",
        Source("voltage-sensing relay descriptions", "", "", Status.READ_SECOND_HAND),
        "it may open under bass",
        per_system=1,
    ),
    default("coupling.delay", "voltage-sensing relay: opening delay", (0.0, 5.0, 30.0), "s", MEMORY),
    default(
        "cable.insulation",
        "insulation rating of a cable that does not say",
        (60, 60, 105),
        "°C",
        PRACTICE,
        "the lowest column of the table: the safe side",
    ),
    default(
        "ambient.engine_bay",
        "air in an engine bay",
        (50, 70, 90),
        "°C",
        MEMORY,
        "33 CFR 183.425 takes 50 °C in the engine spaces of boats",
    ),
    default("ambient.cabin", "air in a cabin or boot in summer", (25, 40, 60), "°C", MEMORY),
)
