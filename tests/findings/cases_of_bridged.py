"""Builds that break and keep the rules on what is laid past a contact or around a converter."""

from __future__ import annotations

from cases_of_sources import CONVERTER, RELAY
from rule_case import Case

from dossier.diagnostic import Severity

KIRCHHOFF = "Kirchhoff: current takes every way that is open to it"
FEED = "{{role: feed, from: {start}, to: {end}, size: 4 AWG, insulation: 105 degC, length: 0.3 m}}"

CASES = (
    Case(
        "contact-bridged", Severity.STOP, "couplings.relay",
        "cables.beside", FEED.format(start="boot", end="rear_side"), None,
        f"{KIRCHHOFF}: beside a relay it stays closed when the relay opens",
        "analytic", RELAY,
    ),
    Case(
        "contact-bridged", Severity.STOP, "couplings.relay",
        "cables.second_half", FEED.format(start="half_way", end="rear_side"), None,
        f"{KIRCHHOFF}: over two cables and a place between, too",
        "analytic", f"""{RELAY}
locations: {{rear_side: {{}}, half_way: {{}}}}
cables:
  rear_back: {{role: return, from: rear_side, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}}
  first_half: {FEED.format(start="boot", end="half_way")}
""",
    ),
    Case(
        "converter-in-a-ring", Severity.CAUTION, "supplies.converter",
        "couplings.past.closed", "true", "false",
        f"{KIRCHHOFF}: a closed switch joins what the converter gives to what it takes",
        "analytic", CONVERTER + "couplings: {past: {kind: switch, from: boot, to: tray, closed: false}}\n",
    ),
)
