"""Builds that break and keep the rules on conductors."""

from __future__ import annotations

from additions import LOUD, LOUD_MUSIC, MUSIC_TAKES, REAR_BATTERY, TABLE5
from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

WAY = """{role: feed, from: bay, to: boot, size: 1/0 AWG, insulation: 105 degC, length: 4 m, fuses: {front: {near: bay,
          distance: 150 mm, style: bolt_in, rating: 100 A, breaking_capacity: 20 kA}}}"""
TAIL = f"""
locations: {{rack: {{ambient: 30 degC}}}}
cables:
  feed: {{size: 1/0 AWG}}
  second: {WAY}
  tail: {{role: feed, from: boot, to: rack, size: 2 AWG, insulation: 105 degC, length: 0.2 m}}
"""

CASES = (
    Case(
        "conductor-overloaded", STOP, "cables.feed",
        "cables.feed.size", "18 AWG", "10 AWG",
        f"{MUSIC_TAKES}; {TABLE5}: 18 AWG of 60 °C carries 10 A, 10 AWG 40 A",
        "published", LOUD_MUSIC + "cables: {feed: {insulation: 60 degC, length: 1 m}}",
    ),
    Case(
        "conductor-overloaded", STOP, "cables.feed",
        "cables.feed.size", "0.75 mm2", "10 AWG",
        f"{MUSIC_TAKES}; {TABLE5}: thinner than 18 AWG nothing is published, and that carries 10 A at 60 °C",
        "published", LOUD_MUSIC + "cables: {feed: {insulation: 60 degC, length: 1 m}}",
    ),
    Case(
        "conductor-warms-in-a-note", NOTE, "cables.feed",
        "cables.feed.size", "10 AWG", "6 AWG",
        f"600 W / 0.8 / 12 V are 63 A and more while the note lasts; {TABLE5}: 10 AWG of 105 °C carries 60 A, 6 AWG "
        "120 A",
        "published", LOUD,
    ),
    Case(
        "conductor-outside-tables", CAUTION, "cables.feed",
        "cables.feed.size", "0.75 mm2", "18 AWG",
        "33 CFR 183.425, Table 5 begins at 18 AWG, 0.82 mm²",
        "published", "amplifiers: {amp: {rated: {2 ohm: 20 W}}}",
    ),
    Case(
        "insulation-not-stated", CAUTION, "cables.feed",
        "cables.feed.insulation", None, "105 degC",
        f"25 A of music (see conductor-overloaded); {TABLE5}: 14 AWG carries 20 A at 60 °C and 35 A at 105 "
        "°C",
        "published", LOUD_MUSIC + "cables: {feed: {size: 14 AWG, length: 1 m}}",
    ),
    Case(
        "insulation-60-tables-differ", CAUTION, "cables.feed",
        "cables.feed.fuses.front.rating", "100 A", "60 A",
        f"{TABLE5}: 4 AWG of 60 °C carries 105 A; ISO 10133 (not checked against the document) 63 A",
        "published", "cables: {feed: {insulation: 60 degC}}",
    ),
    Case(
        "conductor-unprotected", STOP, "cables.feed",
        "cables.feed.fuses",
        None, "{front: {near: bay, distance: 150 mm, style: bolt_in, rating: 100 A, breaking_capacity: 10 kA}}",
        "33 CFR 183.455: protection at the source of power",
        "published",
    ),
    Case(
        "conductor-unprotected", STOP, "cables.feed",
        "cables.jumper.fuses.rear.rating", "250 A", "100 A",
        f"{TABLE5}: 4 AWG of 105 °C carries 160 A; 33 CFR 183.455: a second battery feeds the far end past the fuse "
        "of the first, and its own may let no more through, 150 % = 240 A for short circuits only",
        "published", REAR_BATTERY,
    ),
    Case(
        "conductor-unprotected", CAUTION, "cables.feed",
        "cables.jumper.fuses.rear.rating", "200 A", "100 A",
        "the same, between 100 % and 150 %",
        "published", REAR_BATTERY,
    ),
    Case(
        "conductor-unprotected", STOP, "cables.tail",
        "cables.third", WAY.replace("100 A", "125 A"), None,
        f"{TABLE5}: 2 AWG of 105 °C carries 210 A, 150 % are 315 A; three ways side by side let 100 + 100 + 125 A "
        "through: the smallest sum of fuses that parts the tail from the source (Ford and Fulkerson 1956)",
        "analytic", TAIL,
    ),
    Case(
        "conductor-unprotected", CAUTION, "cables.tail",
        "cables.tail.size", "8 AWG", "4 AWG",
        f"{TABLE5}: 8 AWG of 105 °C carries 80 A; a fault in one of its five runs is fed by all that the fuse of 100 A "
        "before them lets through",
        "published", """
locations: {rack: {}}
cables: {tail: {role: feed, from: boot, to: rack, size: 4 AWG, runs: 5, insulation: 105 degC, length: 0.2 m}}
""",
    ),
    Case(
        "alternator-lead-below-output", CAUTION, "cables.lead",
        "cables.lead.size", "6 AWG", "4 AWG",
        "120 A of output; 33 CFR 183.425, Table 5 and its note 1 (50 °C: 0.85 of the 105 °C column): 6 AWG carries "
        "102 A, 4 AWG 136 A; 33 CFR 183.460 (not checked against the document) asks for the whole output",
        "published",
    ),
    Case(
        "alternator-lead-below-output", CAUTION, "cables.strap",
        "cables.strap.size", "6 AWG", "4 AWG",
        "the same of the way back",
        "published",
    ),
    Case(
        "conductor-warmer-than-assumed", NOTE, "cables.feed",
        "cables.feed.length", "4 m", "0.5 m",
        "R = R₂₀ (1 + α (T − 20 °C)), IACS: the same metal at the same temperature costs eight times the voltage "
        "over eight times the length; 0.1 V is common practice, no source",
        "practice", LOUD + "load_cases: {note: {signal: {for: 60 s}}}\ncables: {feed: {size: 10 AWG}}",
    ),
    Case(
        "return-below-fuse", STOP, "cables.back",
        "cables.back.size", "8 AWG", "6 AWG",
        f"a fuse of 100 A in the feed; {TABLE5}: 8 AWG of 105 °C carries 80 A, 6 AWG 120 A; the smaller conductor "
        "decides, 46 CFR 111.50-5(a)(3) (read second-hand)",
        "published",
    ),
    Case(
        "return-below-fuse", STOP, "cables.tray_back",
        "cables.tray_back.size", "8 AWG", "6 AWG",
        f"the same at a place with two fused feeds: a fault of either comes back this way; {TABLE5}: 80 A and 120 A",
        "published", """
locations: {tray: {ambient: 30 degC}}
vehicle: {base_load: {at: tray}}
batteries: {starter: {at: tray}}
cables:
  lead: {to: tray, fuses: {link: {near: tray, rating: 100 A}}}
  feed: {from: tray, fuses: {front: {near: tray}}}
  tray_back: {role: return, from: tray, to: bay, size: 6 AWG, insulation: 105 degC, length: 0.5 m}
""",
    ),
    Case(
        "parallel-runs-fused-at-one-end", CAUTION, "cables.feed.runs",
        "cables.feed.runs", "3", "2",
        "IEC 60364-4-43, 434.4 (not checked against the document): from three runs on, fuses at both ends",
        "published",
    ),
)
