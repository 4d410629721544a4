"""Builds that break and keep the rules on reserve, key-off drain, cranking and mass."""

from __future__ import annotations

from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

ASLEEP = """
locations: {rear_side: {}}
couplings: {relay: {kind: ignition_relay, from: boot, to: rear_side, continuous: 200 A, peak: 400 A}}
batteries: {rear: {at: rear_side, chemistry: lifepo4, capacity: 80 Ah, mass: 10 kg, state_of_charge: 100 %,
                   management: {continuous: 200 A, peak: 400 A, peak_time: 1 s}}}
cables: {rear_back: {role: return, from: rear_side, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}}
"""
STARTER = """
locations: {motor: {ambient: 40 degC, zone: engine_bay}}
vehicle: {starter_at: motor}
cables:
  starter_lead: {role: feed, from: bay, to: motor, size: 35 mm2, insulation: 105 degC, length: 1 m}
  starter_strap: {role: return, from: motor, to: bay, size: 35 mm2, insulation: 105 degC, length: 1 m}
"""
STARTS_ON_LITHIUM = """
batteries: {starter: {chemistry: lifepo4, cells: 4, internal_resistance: 3 mohm, open_circuit_voltage: 13.2 V,
                      management: {continuous: 200 A, peak_time: 3 s}}}
"""

CASES = (
    Case(
        "fuse-opens-while-cranking", STOP, "cables.lead.fuses.link.rating",
        "vehicle.cranking_current", "500 A", "60 A",
        "by its points 440 A open the link within 10 s; 120 A, twice 60 A in the cold, it carries for ever",
        "analytic", "vehicle: {starter_at: engine}",
    ),
    Case(
        "fuse-opens-while-cranking", CAUTION, "cables.lead.fuses.link.rating",
        "cables.lead.fuses.link.holds_for", None, "{200 A: 60 s, 400 A: 12 s}",
        "200 A, in the cold 400 A, of the starter on a link of 125 A: only a data sheet says that it holds 10 s",
        "analytic", "vehicle: {starter_at: engine, cranking_current: 200 A}",
    ),
    Case(
        "starter-cable-too-thin", CAUTION, "cables.starter_lead",
        "cables.starter_lead.size", "16 mm2", "25 mm2",
        "IEC 60364-5-54, Annex A: from 40 to 105 °C k = 226 √ln(339.5/274.5) = 104; 800 A √10 s / 16 mm² are 158, over "
        "25 mm² 101",
        "published", STARTER,
    ),
    Case(
        "starter-cable-too-thin", CAUTION, "cables.starter_lead",
        "cables.starter_lead.length", "20 m", "2 m",
        "SAE J537 ends at 7.2 V; 12.7 V less 400 A over 5 mΩ leave 10.7 V, of which 20 m of 35 mm² (0.55 mΩ/m) take "
        "4.4 V, 2 m 0.4 V",
        "published", STARTER,
    ),
    Case(
        "cranking-voltage-low", CAUTION, "batteries",
        "batteries.starter.management.peak", "300 A", "900 A",
        "400 A of the starter, 800 A in the cold (common practice, no source), against what its management passes",
        "practice", STARTS_ON_LITHIUM,
    ),
    Case(
        "cranking-voltage-low", NOTE, "batteries",
        "batteries.starter.management.peak", "600 A", "900 A",
        "between the two currents it starts the warm engine and not the cold one: common practice, no source",
        "practice", STARTS_ON_LITHIUM,
    ),
    Case(
        "conductor-unprotected", STOP, "cables.starter_lead",
        "vehicle.starter_at", None, "motor",
        "46 CFR 111.15-25 (read) and 33 CFR 183.455 except cranking conductors: what leads to no starter is a feed",
        "published", STARTER,
    ),
    Case(
        "key-off-drain", CAUTION, "batteries",
        "vehicle.key_off_current", "95 mA", "85 mA",
        "80 Ah · (90 % − 50 % kept for the starter) = 32 Ah over 14 days (common practice, no source) are 95 mA, a "
        "few of them self-discharge",
        "practice",
    ),
    Case(
        "key-off-drain", NOTE, "batteries",
        "batteries.rear.management.own_current", "250 mA", "25 mA",
        "behind an open relay on its own 80 Ah, of which 14 days at 250 mA are 84 Ah: 14 days are common practice, "
        "no source",
        "practice", ASLEEP,
    ),
    Case(
        "cranking-voltage-low", CAUTION, "batteries",
        "vehicle.cranking_current", "750 A", "400 A",
        "SAE J537 ends at 7.2 V; half charged 12.4 V; 5 mΩ are at 0 °C 6 mΩ (cold-cranking adjuster, +20 %) and half "
        "charged at least 7.2 mΩ: 750 A leave 7.0 V, 400 A even over 10 mΩ 8.4 V",
        "published",
    ),
    Case(
        "payload-exceeded", STOP, "vehicle.payload",
        "vehicle.payload", "23 kg", "24 kg",
        "4 kg of amplifier and 20 kg of speaker",
        "analytic",
    ),
    Case(
        "mass-not-stated", NOTE, "amplifiers.amp",
        "amplifiers.amp.mass", None, "4 kg",
        "common practice, no source",
        "practice",
    ),
    Case(
        "start-stop-drain", CAUTION, "vehicle.start_stop",
        "vehicle.start_stop.stops", "40", "5",
        "47 A and more for 40 min of an hour are 31 Ah, which 20 min on an 80 Ah battery do not give back; 5 min are 4 "
        "Ah, which 55 min do: common practice, no source",
        "practice", "vehicle: {start_stop: {each: 60 s}, base_load: {auto_stop: 40 A}}",
    ),
    Case(
        "restart-dip", CAUTION, "vehicle.start_stop",
        "vehicle.cranking_current", "1200 A", "700 A",
        "SAE J537 ends at 7.2 V; 12.7 V less 1240 A over 5 mΩ and more leave 6.5 V or less, 750 A leave 8 V or more",
        "published",
        """
vehicle: {start_stop: {stops: 5}, base_load: {auto_stop: 40 A}}
amplifiers: {amp: {low_voltage_shutdown: 6 V}}
""",
    ),
    Case(
        "restart-dip", NOTE, "vehicle.start_stop",
        "amplifiers.amp.low_voltage_shutdown", "11.5 V", "6 V",
        "12.7 V less 440 A over 5 mΩ and more leave 10.5 V or less: the amplifier shuts down, the engine starts",
        "analytic", "vehicle: {start_stop: {stops: 5}, base_load: {auto_stop: 40 A}}",
    ),
)
