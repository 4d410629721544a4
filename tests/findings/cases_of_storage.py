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

CASES = (
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
