"""Builds that break and keep the rules on amplifiers."""

from __future__ import annotations

from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

CASES = (
    Case(
        "load-below-rated-impedance", STOP, "amplifiers.amp.rated",
        "speakers.sub.coil_impedance", "1 ohm", "2 ohm",
        "rated down to 2 Ω: data sheet, as the build file states it",
        "analytic",
    ),
    Case(
        "load-below-rated-impedance", STOP, "amplifiers.amp.rated",
        "speakers.sub.operating_impedance", "1.9 ohm", "2.1 ohm",
        "measured under power it counts, whatever is printed on the loudspeaker",
        "analytic",
    ),
    Case(
        "supply-above-maximum", STOP, "amplifiers.amp.rated_at",
        "amplifiers.amp.rated_at", "9.4 V", "12.5 V",
        "14.2 V is 1.51 times 9.4 V: made for another system; common practice, no source",
        "practice", "amplifiers: {amp: {maximum_supply: null}}",
    ),
    Case(
        "rating-beyond-its-fuses", CAUTION, "amplifiers.amp.onboard_fuses",
        "amplifiers.amp.onboard_fuses", "20 A", "35 A",
        "amperes · 14.4 V · 80 % (common practice, no source): 20 A support 230 W, 35 A 403 W; rated 400 W",
        "practice",
    ),
    Case(
        "supply-above-maximum", STOP, "amplifiers.amp.maximum_supply",
        "amplifiers.amp.maximum_supply", "14.1 V", "14.3 V",
        "an alternator of 14.2 V: data sheet, as the build file states it",
        "analytic",
    ),
    Case(
        "supply-maximum-not-known", CAUTION, "amplifiers.amp",
        "supplies.alternator.charging_voltage", "15.3 V", "15.1 V",
        "15.2 V, the most that lead-acid charging gives: common practice, no source",
        "practice", "amplifiers: {amp: {maximum_supply: null}}",
    ),
    Case(
        "terminals-above-50-volts", NOTE, "amplifiers.amp",
        "amplifiers.amp.rated", "{4 ohm: 630 W}", "{4 ohm: 620 W}",
        "√(P Z): √(630 W · 4 Ω) = 50.2 V, √(620 W · 4 Ω) = 49.8 V; 50 V, IEC 60364-4-41 (not checked)",
        "published", "speakers: {sub: {coil_impedance: 4 ohm}}",
    ),
    Case(
        "rating-is-no-continuous-power", CAUTION, "amplifiers.amp.rating_basis",
        "amplifiers.amp.rating_basis", "maximum", "continuous",
        "a maximum has no conditions: common practice, no source",
        "practice",
    ),
    Case(
        "driver-above-its-power", CAUTION, "speakers.sub.rated_power",
        "speakers.sub.rated_power", "390 W", "400 W",
        "a tone at full level into one driver: all of the 400 W; continuous rating of its data sheet",
        "analytic",
    ),
    Case(
        "driver-above-its-power", CAUTION, "speakers.sub.rated_power",
        "speakers.sub.rated_power", "99 W", "101 W",
        "music of 9 dB crest factor has a quarter of the sine's power, 10^(-(9 - 3.01)/10) = 0.252",
        "analytic", "load_cases: {note: {signal: {tone: null, music: {crest_factor: 9 dB}, for: 5 s}}}",
    ),
    Case(
        "load-cannot-be-wired", NOTE, "amplifiers.amp.rated",
        "amplifiers.amp.rated", "{1 ohm: 800 W}", "{2 ohm: 400 W}",
        "two drivers with two coils of 2 Ω make 0.5, 2 or 8 Ω: coils and drivers in series or in parallel",
        "analytic", "speakers: {sub: {drivers: 2, voice_coils: 2, coils_in: series, drivers_in: parallel}}",
    ),
)
