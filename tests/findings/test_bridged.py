"""What is laid past a contact or around a converter is told; what is wired as it should be is not."""

from __future__ import annotations

import pytest

from dossier.assessment.assess import assess
from dossier.buildfile.reader import read_build_text

RELAY = "  split: {kind: ignition_relay, from: relay_in, to: relay_out}\n"
CONVERTER = (
    "  charger: {kind: dc_dc, from: relay_in, at: relay_out, charging_voltage: 14.4 V, rated_current: 30 A}\n"
)
BESIDE = "  beside: {role: feed, from: relay_in, to: relay_out, size: 25 mm2, length: 0.3 m, insulation: 105 degC}\n"


def build(supplies: str = "", couplings: str = "", cables: str = "") -> str:
    """Two batteries with something between their sides, as text."""
    fuse = "fuses: {one: {near: NEAR, distance: 100 mm, style: bolt_in, rating: 100 A, breaking_capacity: 10 kA}}"
    return f"""
format: 1
record: {{number: T-1, title: Two batteries, stage: design, date: 2026-01-01}}
vehicle: {{description: Test vehicle}}
locations: {{bay: {{ambient: 60 degC}}, relay_in: {{}}, relay_out: {{}}, rear: {{}}, boot: {{}}}}
supplies:
  alternator: {{kind: alternator, at: bay, charging_voltage: 14.3 V,
               output_at_shaft: {{2000 rpm: 70 A, 6000 rpm: 140 A}}}}
{supplies}
batteries:
  front: {{at: bay, chemistry: agm, capacity: 70 Ah, starts_engine: true}}
  second: {{at: rear, chemistry: agm, capacity: 70 Ah}}
amplifiers: {{bass: {{at: boot, supply: regulated, rated: {{4 ohm: 300 W}}}}}}
speakers: {{sub: {{amplifier: bass, coil_impedance: 4 ohm}}}}
{"couplings:" if couplings else ""}
{couplings}
cables:
  to_relay: {{role: feed, from: bay, to: relay_in, size: 25 mm2, length: 0.5 m, insulation: 105 degC,
              {fuse.replace("NEAR", "bay")}}}
  to_rear: {{role: feed, from: relay_out, to: rear, size: 25 mm2, length: 3 m, insulation: 105 degC,
             {fuse.replace("NEAR", "rear")}}}
  to_amplifier: {{role: feed, from: rear, to: boot, size: 25 mm2, length: 0.5 m, insulation: 105 degC,
                  {fuse.replace("NEAR", "rear")}}}
  body: {{role: return, chassis: true, from: boot, to: bay}}
  earth: {{role: return, from: rear, to: boot, size: 25 mm2, length: 0.5 m, insulation: 105 degC}}
  relay_earth: {{role: return, chassis: true, from: relay_out, to: bay}}
{cables}
load_cases:
  note: {{engine: cruise, signal: {{tone: 40 Hz, for: 5 s}}}}
"""


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (build(couplings=RELAY), set()),
        (build(couplings=RELAY, cables=BESIDE), {"contact-bridged"}),
        (build(supplies=CONVERTER), set()),
        (build(supplies=CONVERTER, couplings=RELAY), {"converter-in-a-ring"}),
        (build(supplies=CONVERTER, cables=BESIDE), {"converter-in-a-ring"}),
        (build(supplies=CONVERTER, couplings=RELAY.replace("ignition_relay", "switch, closed: false")), set()),
    ],
)
def test_what_goes_past_it(text: str, told: set[str]) -> None:
    """A cable beside a relay bridges it; a relay or a cable beside a converter makes it feed itself."""
    findings = assess(read_build_text(text.encode(), "two", "two.yaml"), options=False).findings
    assert {one.code for one in findings} & {"contact-bridged", "converter-in-a-ring"} == told
