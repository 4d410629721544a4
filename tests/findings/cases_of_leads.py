"""Builds that break and keep the rules on speaker leads, remote leads and couplings."""

from __future__ import annotations

from additions import LOUD_MUSIC, MUSIC_TAKES
from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

COUPLED = """
locations: {rack: {}}
amplifiers: {amp: {at: rack}}
couplings: {main_switch: {kind: switch, closed: true, from: boot, to: rack, continuous: 100 A, peak: 200 A}}
cables: {branch_back: {role: return, from: rack, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}}
"""

CASES = (
    Case(
        "speaker-lead-overloaded", STOP, "speakers.sub.lead",
        "speakers.sub.lead.size", "18 AWG", "16 AWG",
        "1000 W into 2 Ω are 22.4 A of tone and 11.2 A of music at 9 dB; 33 CFR 183.425, Table 5: 18 AWG of 60 °C "
        "carries 10 A, 16 AWG 15 A, at 40 °C √(20/30) of it: 8.2 A and 12.2 A",
        "published", "amplifiers: {amp: {rated: {2 ohm: 1000 W}}}",
    ),
    Case(
        "speaker-lead-overloaded", CAUTION, "speakers.sub.lead",
        "speakers.sub.lead.size", "0.75 mm2", "18 AWG",
        "400 W into 2 Ω are 7.1 A of music; 33 CFR 183.425, Table 5: 18 AWG carries 8.2 A at 40 °C, thinner nothing is "
        "published",
        "published",
    ),
    Case(
        "speaker-lead-loses-level", NOTE, "speakers.sub.lead",
        "speakers.sub.lead.length", "3.0 m", "2.6 m",
        "20 log(1 + R/Z) = 0.5 dB at R = 0.0593 · 2 Ω = 0.119 Ω; IEC 60228, class 5: 1 mm² of copper has 19.5 mΩ/m "
        "at 20 °C, 21.0 at 40 °C, both conductors so much at 2.8 m; that 0.5 dB is the limit: common practice, no "
        "source",
        "analytic", "speakers: {sub: {lead: {size: 1 mm2}}}",
    ),
    Case(
        "speaker-lead-overloaded", STOP, "speakers.sub.lead",
        "speakers.sub.lead.size", "0.5 mm2", "16 AWG",
        "11.2 A of music; thinner than 18 AWG it may carry less than the 8.2 A of that: known, and exceeded",
        "published", "amplifiers: {amp: {rated: {2 ohm: 1000 W}}}",
    ),
    Case(
        "remote-lead-unprotected", CAUTION, "amplifiers.amp.remote",
        "amplifiers.amp.remote.fuse", None, "7.5 A",
        "33 CFR 183.455: every conductor, from its source",
        "published",
    ),
    Case(
        "remote-lead-unprotected", CAUTION, "amplifiers.amp.remote",
        "amplifiers.amp.remote", "{size: 1 mm2, length: 5 m}", "{size: 1 mm2, length: 5 m, fuse: 3 A}",
        "33 CFR 183.455; what its cure says, entered as printed, breaks nothing: 1 mm² and 3 A",
        "published",
    ),
    Case(
        "remote-lead-unprotected", STOP, "amplifiers.amp.remote",
        "amplifiers.amp.remote.fuse", "15 A", "7.5 A",
        "33 CFR 183.425, Table 5: 18 AWG of 60 °C carries 10 A, 8.2 A at 40 °C, 16 AWG 15 A and 12.2 A; 1 mm² lies "
        "between",
        "published",
    ),
    Case(
        "remote-lead-unprotected", CAUTION, "amplifiers.amp.remote",
        "amplifiers.amp.remote.size", "0.75 mm2", "18 AWG",
        "33 CFR 183.425, Table 5: thinner than 18 AWG nothing is published",
        "published",
    ),
    Case(
        "remote-lead-unprotected", CAUTION, "amplifiers.amp.remote",
        "amplifiers.amp.remote.fuse", "5 A", "3 A",
        "half a square millimetre with the 1 to 3 A that the cure asks for: common practice, no source",
        "practice", "amplifiers: {amp: {remote: {size: 0.5 mm2}}}",
    ),
    Case(
        "coupling-overloaded", STOP, "couplings.main_switch.continuous",
        "couplings.main_switch.continuous", "10 A", "60 A",
        f"{MUSIC_TAKES}, and less than the 63 A of the sine",
        "analytic", COUPLED + LOUD_MUSIC.replace("amp: {", "amp: {at: rack, "),
    ),
    Case(
        "coupling-overloaded", STOP, "couplings.main_switch.peak",
        "couplings.main_switch.peak", "40 A", "200 A",
        "400 W / 0.8 / 12.1 V are 41 A of mean, and a peak of at most twice the mean",
        "analytic", COUPLED,
    ),
    Case(
        "coupling-rating-not-stated", CAUTION, "couplings.main_switch",
        "couplings.main_switch.peak", None, "200 A",
        "the music of a 400 W amplifier peaks above what it draws for long: a rating for long alone does not tell",
        "practice", COUPLED.replace("continuous: 100 A", "continuous: 60 A"),
    ),
    Case(
        "coupling-rating-not-stated", CAUTION, "couplings.main_switch",
        "couplings.main_switch.continuous", None, "100 A",
        "common practice, no source",
        "practice", COUPLED,
    ),
)
