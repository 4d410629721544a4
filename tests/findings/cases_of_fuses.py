"""Builds that break and keep the rules on fuses, and the one on what is joined without a cable."""

from __future__ import annotations

from additions import REAR_BATTERY, TABLE5
from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

BRANCH = """
locations: {rack: {}}
amplifiers: {amp: {at: rack}}
cables:
  branch: {role: feed, from: boot, to: rack, size: 4 AWG, insulation: 105 degC, length: 1 m,
           fuses: {own: {near: boot, distance: 150 mm, style: cartridge, rating: 60 A, breaking_capacity: 20 kA,
                         opens_within: {81 A: 600 s, 120 A: 5 s, 360 A: 0.1 s}}}}
  branch_back: {role: return, from: rack, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}
"""

CASES = (
    Case(
        "fuse-above-ampacity", STOP, "cables.feed.fuses.front.rating",
        "cables.feed.fuses.front.rating", "125 A", "80 A",
        f"{TABLE5}: 8 AWG of 105 °C carries 80 A; BS 7671 433.1.1: no more than that; 33 CFR 183.455: 150 % = 120 A "
        "for short circuits only",
        "published", "cables: {feed: {size: 8 AWG}}",
    ),
    Case(
        "fuse-above-ampacity", CAUTION, "cables.feed.fuses.front.rating",
        "cables.feed.fuses.front.rating", "90 A", "80 A",
        "the same, between 100 % and 150 %",
        "published", "cables: {feed: {size: 8 AWG}}",
    ),
    Case(
        "fuse-below-load", CAUTION, "cables.feed.fuses.front.rating",
        "cables.feed.fuses.front.rating", "40 A", "60 A",
        "400 W / 0.8 / 12.1 V are 41 A of mean and less than 60 A rms; a fuse carries its rating, not more: BS 7671 "
        "433.1.1",
        "published",
    ),
    Case(
        "alternator-fuse-below-output", CAUTION, "cables.lead.fuses.link.rating",
        "cables.lead.fuses.link.rating", "110 A", "125 A",
        "120 A of output at 25 °C of air, no derating: 33 CFR 183.460 (not checked against the document)",
        "published",
    ),
    Case(
        "breaking-capacity-below-fault", STOP, "cables.feed.fuses.front.breaking_capacity",
        "cables.feed.fuses.front.breaking_capacity", "2 kA", "10 kA",
        "12.7 V / 5 mΩ are 2.5 kA after seconds, 7.6 kA at a third of that resistance in the first instant (from "
        "memory): BS 7671 434.5.1 (read second-hand) asks for more",
        "published",
    ),
    Case(
        "breaking-capacity-not-stated", CAUTION, "cables.feed.fuses.front",
        "cables.feed.fuses.front.breaking_capacity", None, "10 kA",
        "BS 7671 434.5.1 (read second-hand) asks for the number",
        "published",
    ),
    Case(
        "fuse-far-from-source", CAUTION, "cables.feed.fuses.front.distance",
        "cables.feed.fuses.front.distance", "178 mm", "177 mm",
        "33 CFR 183.455: 7 in are 177.8 mm",
        "published",
    ),
    Case(
        "fuse-far-from-source", STOP, "cables.feed.fuses.front.distance",
        "cables.feed.fuses.front.distance", "458 mm", "177 mm",
        "33 CFR 183.455: 7 in; and more than the trade's 18 in, 457.2 mm (common practice, no source)",
        "practice",
    ),
    Case(
        "fuse-distance-unknown", CAUTION, "cables.feed.fuses.front",
        "cables.feed.fuses.front.distance", None, "177 mm",
        "33 CFR 183.455 judges a distance",
        "published",
    ),
    Case(
        "conductor-burns-before-fuse", STOP, "cables.feed.fuses.front",
        "cables.feed.size", "14 AWG", "4 AWG",
        "IEC 60364-5-54, Annex A: (k S)² of copper with k about 115: 14 AWG (2.08 mm²) 0.06, 4 AWG (21.1 mm²) 5.9 "
        "million A²s; the fuse lets 350² · 10 s = 1.2 million through",
        "published", "cables: {feed: {fuses: {front: {opens_within: {200 A: null, 350 A: 10 s, 600 A: null}}}}}",
    ),
    Case(
        "fuse-slow-in-smallest-fault", NOTE, "cables.feed.fuses.front",
        "cables.feed.fuses.front.opens_within", "{54 A: 1800 s, 90 A: 12 s}", "{54 A: 1800 s, 90 A: 5 s}",
        "5 s, BS 7671 411.3.2.3 (not checked); 12 to 12.7 V over 100 mΩ of feed and 6 to 20 mΩ of battery and return "
        "are 100 to 120 A; beyond the last point I²t holds: 12 s become 6.7 s or more, 5 s become 4.1 s or less",
        "analytic", "cables: {feed: {resistance: {value: 100 mohm, tolerance: 1 %}, fuses: {front: {rating: 40 A}}}}",
    ),
    Case(
        "clearing-not-judged", CAUTION, "cables.feed.fuses.front",
        "cables.feed.fuses.front.opens_within", None, "{135 A: 1800 s, 200 A: 100 s, 350 A: 10 s, 600 A: 1 s}",
        "5 mΩ of battery and 17.6 mΩ of copper let 562 A through at most, less than six times 100 A: so slow a fuse "
        "is only known from its data sheet; common practice, no source",
        "practice", "cables: {feed: {length: 20 m}}",
    ),
    Case(
        "fuse-holder-exceeded", STOP, "cables.feed.fuses.front",
        "cables.feed.fuses.front.holder_rating", "99 A", "100 A",
        "a fuse of 100 A: ratings as the build file states them",
        "analytic",
    ),
    Case(
        "fuse-holder-exceeded", STOP, "cables.feed.fuses.front",
        "cables.feed.fuses.front.rated_voltage", "14 V", "15 V",
        "an alternator of 14.2 V: ratings as the build file states them",
        "analytic",
    ),
    Case(
        "breaker-voltage-not-stated", CAUTION, "cables.feed.fuses.front",
        "cables.feed.fuses.front.rated_voltage", None, "32 V",
        "common practice, no source",
        "practice", "cables: {feed: {fuses: {front: {style: breaker}}}}",
    ),
    Case(
        "main-opens-before-branch", CAUTION, "cables",
        "cables.feed.fuses.front.holds_for", "{110 A: 2 s, 300 A: 0.05 s}", "{135 A: 1000 s, 200 A: 30 s, 600 A: 1 s}",
        "points of both data sheets: at 120 A the branch takes up to 5 s; a main that holds 2 s may open first",
        "analytic", BRANCH,
    ),
    Case(
        "source-joined-without-cable", CAUTION, "batteries.starter.at",
        "supplies.mains", "{kind: charger, at: bay, charging_voltage: 14.2 V, rated_current: 10 A}", None,
        "a charger's lead is a conductor, too: 33 CFR 183.455; that it is recorded: common practice, no source",
        "practice",
    ),
    Case(
        "source-joined-without-cable", CAUTION, "couplings.link",
        "couplings.link", "{kind: switch, from: bay, to: boot, continuous: 100 A, peak: 200 A}", None,
        "a switch has cables to both its sides; that they are recorded: common practice, no source",
        "practice",
    ),
    Case(
        "source-joined-without-cable", CAUTION, "batteries.rear.at",
        "batteries.rear.at", "boot", "tray",
        "33 CFR 183.455 measures along a conductor; that one is recorded: common practice, no source",
        "practice", REAR_BATTERY,
    ),
)
