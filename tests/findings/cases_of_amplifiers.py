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
        "√(P Z): √(630 W · 4 Ω) = 50.2 V, √(620 W · 4 Ω) = 49.8 V; 50 V, IEC 60364-4-41 (from memory)",
        "published", "speakers: {sub: {coil_impedance: 4 ohm}}",
    ),
)
