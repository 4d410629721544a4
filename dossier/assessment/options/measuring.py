"""Measurements people can make with what they own, and which inputs each of them tells."""

from __future__ import annotations

import re

from dossier.frozen import dataclass

STOP_V = "10.5 V (14 V in a 16 V system, 21 V in a 24 V one)"  # stop below this; common practice, no source
LOADED_V = "13.5 V (18 V in a 16 V system, 27 V in a 24 V one)"
CLAMP = "DC clamp meter (Hall type; many clamps read AC only), rated above the current expected, zeroed first"
METER = "multimeter, DC volts, leads fused and of category III"


@dataclass(frozen=True, slots=True)
class Method:
    """One measurement: ``how`` says it in one sentence.

    Attributes:
        paths: pattern on the inputs that it narrows.
        fields: fields of the build file that its result is written into.
    """

    title: str
    instruments: str
    paths: str
    how: str
    steps: tuple[str, ...]
    fields: tuple[str, ...] = ()

    def tells(self, path: str) -> bool:
        """Whether it tells the input at this path."""
        return re.fullmatch(self.paths, path) is not None


# In order of preference where two would do. All common practice in the trade; no published source.
METHODS = (
    Method(
        "Battery resistance from a known step of load",
        f"{METER}; {CLAMP}",
        r"batteries\.[^.]+\.(internal_resistance|ohmic_share|capacity|slow_share|slow_tau)",
        "volts on the posts before, less volts 5 s into a known load of 50 to 150 A, divided by its current",
        (
            "Engine off, battery rested for an hour or more. Probe on the posts themselves, not on the clamps.",
            "Switch on a steady load of 50 to 150 A (heated screen, lamps and blower, or a load tester); read "
            "volts before.",
            "Read volts after 1 s and after 5 s, and the current with the clamp. (Volts before − volts after 5 s) "
            "/ current.",
            f"Stop at once below {STOP_V}. Write it as internal_resistance with basis: measured.",
        ),
        ("batteries.*.internal_resistance",),
    ),
    Method(
        "Temperature of the battery",
        "contact thermometer, or infrared on matt tape",
        r"batteries\.[^.]+\.temperature|locations\.[^.]+\.ambient",
        "degrees at the side of its case, engine off, in the season that is computed",
        (
            "Read it at the side of the case, not at the posts, before the engine has run.",
            "Write it as ambient of its location, and the coldest morning as coldest.",
        ),
        ("locations.*.ambient", "locations.*.coldest"),
    ),
    Method(
        "Millivolts along the whole path at a known current",
        f"{METER} with a 200 mV range; {CLAMP}",
        r"cables\.[^.]+\.(resistance|joints|length)|cables\..*\.fuses\..*\.resistance|cables\.[^.]+\.fuses\.[^.]+\.(resistance|rating)"
        r"|couplings\.[^.]+\.resistance|batteries\.[^.]+\.terminals",
        "millivolts from the battery post to the amplifier terminal, each pole, at a known current: 1 mV at 100 A "
        "is 0.01 mΩ",
        (
            "Play a steady tone at a level that draws 50 to 100 A by the clamp on the amplifier's feed; ears "
            "protected.",
            "Read millivolts from battery post + to amplifier terminal +, then from amplifier − to battery post −.",
            "Then joint by joint: post to lug, lug to cable, each side of every fuse, stud to body. Same current "
            "throughout.",
            "Millivolts divided by amperes is milliohms. Write the whole path as the cable's resistance, basis: "
            "measured.",
        ),
        ("cables.*.resistance",),
    ),
    Method(
        "Charging voltage and hot output at idle and cruise",
        f"{METER}; {CLAMP}",
        r"supplies\..*",
        f"volts at the battery warm, and the clamp on the charging lead with load added until {LOADED_V}, at idle and "
        "at cruise speed",
        (
            "Outdoors or with the exhaust led out (carbon monoxide); wheels chocked; nothing loose near belt and fan.",
            "Engine warm for 20 minutes. Read volts at the battery at idle and at cruise speed with little load.",
            f"Clamp on the charging lead. Add load (lamps, screen, a tone) until the battery falls to {LOADED_V}; read "
            "amperes.",
            "Write charging_voltage and output_at_shaft with output_is_hot: true, basis: measured.",
        ),
        ("supplies.*.charging_voltage", "supplies.*.output_at_shaft"),
    ),
    Method(
        "Amplifier input current and output voltage with a tone",
        f"{METER}, true rms; {CLAMP}",
        r"amplifiers\.[^.]+\.(rated|efficiency|rated_at|idle_current|supply)(\..*)?",
        "input volts and amperes against output volts squared over the measured load, for 5 s of tone",
        (
            "Ears protected, loudspeakers watched: they may not stand full power for long. Tone at the tuning of "
            "the box.",
            "For 5 s read volts at the supply terminals, amperes by the clamp, and AC volts at the loudspeaker "
            "terminals.",
            "Terminals above 50 V AC are dangerous to touch: clip on with the amplifier off.",
            "Output is volts² over the impedance under power; efficiency is output over input.",
            f"Stop below {STOP_V}.",
        ),
        ("amplifiers.*.rated", "amplifiers.*.efficiency"),
    ),
    Method(
        "Impedance of the loudspeakers under power",
        f"{METER}, true rms, AC volts; clamp meter for AC, true rms at the tone's frequency",
        r"speakers\.[^.]+\.(impedance_rise|operating_impedance)",
        "AC volts over AC amperes at the amplifier's output during a tone, in its box",
        (
            "Amplifier off: put the clamp round a speaker lead, voltmeter clipped on. Above 50 V AC the terminals "
            "are dangerous to touch.",
            "Play the tone that matters at the level that matters for 3 to 5 s, ears protected; read AC volts and AC "
            "amperes within the same seconds.",
            "Volts over amperes is the impedance under power. Read it at the tuning of the box and beside it; "
            "take the lowest.",
            "Write it as operating_impedance, basis: measured.",
        ),
        ("speakers.*.operating_impedance", "speakers.*.impedance_rise"),
    ),
    Method(
        "Ripple at the amplifier with a multimeter",
        f"{METER}, AC volts coupled (shows AC on top of DC)",
        r"amplifiers\.[^.]+\.ripple_fraction",
        "AC volts at the amplifier's supply terminals during a tone: the ripple fraction follows from it",
        (
            "Play a tone of 20 Hz or more (AC ranges begin at 40 Hz, the ripple has twice the tone); ears protected.",
            "Read DC volts, then AC volts, at the amplifier's supply terminals within the same few seconds.",
            f"Stop below {STOP_V}. Lowest instant: about DC volts − 1.41 × AC volts.",
            "Write both under measurements: readings: with the amplifier and the load case, one that shows: mean, one "
            "that shows: ripple_rms.",
        ),
        ("amplifiers.*.ripple_fraction",),
    ),
    Method(
        "Surface charge from a log of the first seconds",
        "a voltage logger or a film of the meter, 10 readings a second or more",
        r"batteries\.[^.]+\.(surface_charge|charging_resistance)",
        "log volts at the battery post through the first 5 s of a long tone on a freshly charged battery, and fit it",
        (
            "Drive for 20 minutes, stop at cruise speed in neutral, start the log 2 s before the tone.",
            "Play 5 to 10 s at full level, ears protected, and let the log run 5 s longer.",
            f"Stop below {STOP_V}.",
            "Log at the battery post and at the amplifier at once if you can. Then: dossier fit.",
        ),
        ("batteries.*.surface_charge",),
    ),
    Method(
        "Rested voltage",
        METER,
        r"batteries\.[^.]+\.(state_of_charge|open_circuit_voltage|bulk)",
        "volts on the posts after 12 hours of rest",
        (
            "Read volts on the posts after 12 hours with everything off. Write it as open_circuit_voltage, basis: "
            "measured.",
        ),
        ("batteries.*.open_circuit_voltage",),
    ),
    Method(
        "The vehicle's own load",
        CLAMP,
        r"vehicle\..*",
        "clamp on the battery negative, engine off, with lamps and blower on; add what the running engine takes",
        (
            "Clamp round the battery negative (all its cables together), engine off, lamps, screen and blower on.",
            "Engine running, clamp on the charging lead and on the battery: the difference is the vehicle's load.",
        ),
        tuple(f"vehicle.base_load.{state}" for state in ("stopped", "auto_stop", "idle", "cruise")),
    ),
    Method(
        "Series resistance of the capacitor bank",
        f"{METER}; {CLAMP}",
        r"capacitor_banks\..*",
        "the jump of its terminal voltage at the start of a known current, divided by the current",
        (
            "Bank charged and alone with a known load of 50 to 100 A. The first jump divided by the current is its "
            "resistance.",
            "The fall per second after that gives the capacitance: current over volts per second.",
        ),
        ("capacitor_banks.*.cell.esr",),
    ),
)


def method_for(path: str) -> Method | None:
    """The measurement that tells the input at a path; None where nothing people own does."""
    return next((m for m in METHODS if m.tells(path)), None)


def method_of(field: str) -> Method | None:
    """The measurement whose result is written into a field; None where there is none."""
    return next((m for m in METHODS if field in m.fields), None)
