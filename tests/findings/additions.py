"""What several cases add to the sound build, as merge patches."""

from __future__ import annotations

TABLE5 = "33 CFR 183.425, Table 5, 30 °C of air"

LOUD = """
amplifiers: {amp: {rated: {2 ohm: 600 W}}}
"""
LOUD_MUSIC = f"""{LOUD}
load_cases: {{note: {{signal: {{tone: null, music: {{crest_factor: 9 dB}}, for: 5 s}}}}}}
"""
MUSIC_TAKES = "music of 9 dB takes a quarter of a sine's power: 600 W / 0.8 / 12.5 V / 4 are 15 A and more"

REAR_BATTERY = """
locations: {tray: {ambient: 25 degC, zone: boot}}
batteries: {rear: {at: tray, chemistry: agm, capacity: 80 Ah, mass: 20 kg, vent_outside: true}}
cables:
  jumper: {role: feed, from: tray, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m,
           fuses: {rear: {near: tray, distance: 150 mm, style: bolt_in, rating: 100 A, breaking_capacity: 20 kA}}}
  jumper_back: {role: return, from: tray, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}
"""
REAR_LITHIUM = (
    REAR_BATTERY.replace("chemistry: agm", "chemistry: lifepo4, cells: 4")
    .replace(", vent_outside: true", "")
    .replace("ambient: 25 degC", "ambient: 54 degC, coldest: 0 degC")
)
BANK = """
locations: {tray: {}}
capacitor_banks:
  bank: {at: tray, series: 6, balancing: active, mass: 5 kg, precharge: {resistance: 4.7 ohm, power: 43 W},
         cell: {capacitance: 3000 F, esr: 0.3 mohm, rated_voltage: 2.7 V}}
cables:
  jumper: {role: feed, from: tray, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m,
           fuses: {rear: {near: tray, distance: 150 mm, style: bolt_in, rating: 100 A, breaking_capacity: 20 kA}}}
  jumper_back: {role: return, from: tray, to: boot, size: 4 AWG, insulation: 105 degC, length: 1 m}
"""
