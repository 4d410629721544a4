"""A small build with everything a record keeps, for the tests of editions, photos, verify and extract."""

from __future__ import annotations

import contextlib
import io
from pathlib import Path

from PIL import Image

from dossier.cli.main import main

BUILD = """\
format: 1
record:
  number: T-001
  title: Small test build
  stage: as_built
  date: 2026-10-03
  revision: B
  workshop: Test bench
  customer: Hidden Customer
  identity: {plate: HIDE 123, vehicle_number: HIDDENVIN, odometer: 1000 km, masked: true}
vehicle: {description: Test vehicle, base_load: {at: bay, stopped: 3 A, idle: 20 A, cruise: 25 A}}
locations: {bay: {ambient: 60 degC}, boot: {ambient: 35 degC}}
supplies: {main: {kind: alternator, at: bay, charging_voltage: 14.2 V, rated_current: 90 A, serial: SN 1}}
batteries: {starter: {at: bay, chemistry: agm, capacity: 70 Ah, starts_engine: true,
             internal_resistance: {value: 5 mohm, basis: measured}}}
amplifiers: {mono: {at: boot, supply: regulated, rated: {2 ohm: 300 W}, settings: {gain_target: 24 V, low_pass: 80 Hz}}}
speakers: {sub: {amplifier: mono, coil_impedance: 2 ohm}}
cables:
  feed: {role: feed, from: bay, to: boot, size: 25 mm2, length: 4.5 m, insulation: 105 degC,
         fuses: {main: {near: bay, distance: 150 mm, style: bolt_in, rating: 80 A, breaking_capacity: 10 kA}}}
  body: {role: return, from: boot, to: bay, chassis: true}
load_cases: {tone: {title: Short tone, engine: cruise, signal: {tone: 40 Hz, for: 2 s}}}
limits: {amplifier: {mean: 11.5 V}}
people: {fitter: {name: Fitter 2, role: fitted it}, owner: {name: Hidden Owner}}
instruments: {meter: {kind: multimeter}, sound_meter: {kind: sound_level_meter}, phone: {kind: phone}}
measurements:
  readings:
    before: {voltage: 12.9 V, amplifier: mono, load_case: tone, instrument: meter, revision: A,
             predicted: 12.8 V}
    after: {voltage: 13.2 V, amplifier: mono, load_case: tone, instrument: meter, date: 2026-10-02, by: fitter}
  sound:
    run: {position: headrest, level: 120 dB, weighting: C, frequency: 40 Hz, duration: 5 s, target: 123 dB,
          load_case: tone,
          instrument: sound_meter}
    bare: {position: headrest, level: 120 dB, instrument: sound_meter}
    phone: {position: headrest, level: 120 dB, weighting: A, frequency: 40 Hz, instrument: phone}
checklist: {restraint: {state: pass, by: fitter, date: 2026-10-03},
            fuse_rating: {state: limitation, note: One rating is read off the box.}}
photos: {front: {file: pictures/front.png, caption: Front fuse.}}
advice: {monitor: {advice: Fit a battery monitor., answer: declined}}
revisions:
  - {revision: A, date: 2026-05-02, changed: First installation.}
  - {revision: B, date: 2026-10-03, changed: Larger feed.}
handover: {date: 2026-10-03, odometer: 1000 km, by: fitter, to: owner,
           maintenance: {retighten: {task: Tighten., every_months: 5}}}
"""


def place(folder: Path, text: str = BUILD) -> Path:
    """The build file with its photo in ``folder``."""
    (folder / "pictures").mkdir(parents=True, exist_ok=True)
    Image.new("RGB", (320, 240), "teal").save(folder / "pictures" / "front.png")
    path = folder / "small.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def run(*words: str | Path) -> tuple[int, str]:
    """A command's exit code and everything it printed."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            code = main([str(word) for word in words])
        except SystemExit as end:
            code = int(end.code or 0)
    return code, out.getvalue()
