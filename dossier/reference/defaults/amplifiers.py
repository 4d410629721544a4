"""Defaults of amplifiers and loudspeakers."""

from __future__ import annotations

from typing import Final

from dossier.reference.defaults.entry import default
from dossier.reference.source import MEMORY, PRACTICE, Source, Status

_CLASS_D = Source("class-D output-stage data and converter losses", "", "", Status.DERIVED)
_CLASS_D_PART = Source("power table of one mains-fed professional amplifier", "", "", Status.READ_SECOND_HAND)
_CLASS_AB = Source("magazine article: ideal 78.5 %, practical about 50 %", "", "", Status.READ)
_CLASS_AB_PART = Source("class-B law pi/4 sqrt(P/Pmax) with converter 0.88", "", "", Status.DERIVED)
_COIL = Source("voice-coil resistance by rated impedance, general audio page", "", "", Status.READ_SECOND_HAND)
_COPPER = Source("power-compression article, copper 20 to 200 degC", "", "", Status.DERIVED)

AMPLIFIERS: Final = (
    default(
        "amplifier.d.efficiency",
        "class D amplifier: efficiency at full power",
        (0.72, 0.80, 0.88),
        "",
        _CLASS_D,
        "5 to 10 points less into half the load impedance",
    ),
    default("amplifier.d.efficiency_third", "class D: efficiency at 1/3 power", (0.62, 0.72, 0.82), "", _CLASS_D_PART),
    default("amplifier.d.efficiency_eighth", "class D: efficiency at 1/8 power", (0.45, 0.58, 0.72), "", _CLASS_D_PART),
    default(
        "amplifier.ab.efficiency", "class AB amplifier: efficiency at full power", (0.48, 0.56, 0.65), "", _CLASS_AB
    ),
    default(
        "amplifier.ab.efficiency_third", "class AB: efficiency at 1/3 power", (0.28, 0.36, 0.42), "", _CLASS_AB_PART
    ),
    default(
        "amplifier.ab.efficiency_eighth", "class AB: efficiency at 1/8 power", (0.15, 0.21, 0.26), "", _CLASS_AB_PART
    ),
    default(
        "amplifier.idle",
        "amplifier: idle input power over rated output",
        (0.005, 0.015, 0.05),
        "",
        Source("one professional amplifier and one audio circuit", "", "", Status.READ_SECOND_HAND),
        "end points read; at least about 0.5 A each",
    ),
    default("amplifier.idle_floor", "amplifier: least idle current", (0.3, 0.5, 1.0), "A", MEMORY),
    default(
        "amplifier.undervoltage",
        "amplifier: low-voltage shutdown",
        (8.0, 9.5, 10.5),
        "V",
        MEMORY,
        "the high end is the safe side for play, the low end for battery and wiring",
    ),
    default("amplifier.restart_hysteresis", "amplifier: restart above shutdown", (0.3, 1.0, 1.5), "V", MEMORY),
    default("amplifier.restart_delay", "amplifier: restart delay", (0.2, 1.0, 5.0), "s", MEMORY),
    default("amplifier.overvoltage", "amplifier: highest supply voltage", (15.5, 16.0, 18.0), "V", MEMORY),
    default("amplifier.lowest", "amplifier: supply voltage below which it cannot work", (6.0, 8.0, 9.0), "V", MEMORY),
    default(
        "amplifier.rated_at",
        "amplifier: supply voltage of its rating",
        (13.8, 14.4, 14.4),
        "V",
        Source("ANSI/CTA-2006", "2003", "primary power", Status.READ_SECOND_HAND),
    ),
    default(
        "amplifier.regulated",
        "regulated amplifier: exponent of output power on supply voltage",
        (0.0, 0.0, 1.0),
        "",
        MEMORY,
        "its current rises as voltage falls",
    ),
    default(
        "amplifier.unregulated",
        "unregulated amplifier: the same exponent",
        (1.0, 2.0, 2.0),
        "",
        MEMORY,
        "many are mixed",
    ),
    default(
        "amplifier.ripple",
        "amplifier: supply-current ripple over mean, at twice the tone",
        (0.1, 0.6, 1.0),
        "",
        Source("sine power and storage in the rail capacitors", "", "", Status.DERIVED),
        "1.0 is the upper bound: no storage in the amplifier",
    ),
    default("amplifier.input_capacitance", "amplifier: capacitance on its supply", (3, 10, 30), "mF/kW", MEMORY),
    default(
        "speaker.minimum_impedance",
        "loudspeaker: lowest impedance over rated",
        (0.8, 0.85, 1.0),
        "",
        Source("IEC 60268-5", "", "rated impedance, 80 %", Status.READ_SECOND_HAND),
    ),
    default("speaker.resistance", "voice coil: direct-current resistance over rated", (0.6, 0.8, 1.0), "", _COIL),
    default(
        "speaker.impedance_rise",
        "loudspeaker: impedance under power over nominal",
        (1.0, 1.0, 2.0),
        "",
        PRACTICE,
        "the nominal load draws most: the safe side for conductors, fuses and limits",
    ),
    default("speaker.compression", "loudspeaker: power compression at rated power", (1.5, 3.0, 4.7), "dB", _COPPER),
    default(
        "signal.crest_music",
        "music: crest factor, full range",
        (8, 12, 20),
        "dB",
        Source("crest-factor references", "", "", Status.READ_SECOND_HAND),
    ),
    default("signal.crest_bass", "music: crest factor below 100 Hz", (5, 8, 12), "dB", MEMORY),
)
