"""Builds that break and keep the rules on figures that cannot be true beside each other."""

from __future__ import annotations

from rule_case import Case

from dossier.diagnostic import Severity

CASES = (
    Case(
        "resistance-below-its-metal", Severity.CAUTION, "cables.feed.resistance",
        "cables.feed.resistance", "2.5 mohm", "3.5 mohm",
        "ASTM B258: 4 AWG has 0.2485 ohm per 1000 ft at 20 °C, 4 m 3.26 mΩ and at 0 °C 3.0 mΩ",
        "published",
    ),
)
