"""Builds that break and keep the rules on the record: what it lacks, and what measurements and checklist say."""

from __future__ import annotations

from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

PRACTICE = "common practice, no source"
READING = "measurements: {readings: {one: {voltage: 12.1 V, amplifier: amp, load_case: note, instrument: meter}}}"
RIPPLE = """
measurements:
  readings:
    ac: {voltage: 200 mV, shows: ripple_rms, amplifier: amp, load_case: note, instrument: meter}
    dc: {voltage: 12.1 V, amplifier: amp, load_case: note, instrument: meter}
"""
EXCLUDING = """
measurements:
  readings:
    one: {voltage: 12.66 V, amplifier: amp, load_case: note, moment: rest, instrument: meter}
    two: {voltage: 12.67 V, amplifier: amp, load_case: note, moment: rest, instrument: meter}
    three: {voltage: 12.65 V, amplifier: amp, load_case: note, moment: rest, instrument: meter}
"""
RUN = """
measurements:
  sound:
    run: {position: seat, level: 100 dB, weighting: A, detector: slow, frequency: 1000 Hz, duration: 14 min,
          instrument: sound_meter}
"""

LACKING = (
    Case(
        "record-without-measurement", CAUTION, "record.stage",
        "measurements.joints", None, "{lug: {cable: feed, at: bay, drop: 40 mV, current: 40 A, instrument: meter}}",
        PRACTICE,
        "practice",
    ),
    Case(
        "record-without-measurement", CAUTION, "record.stage",
        "record.stage", "as_built", "design",
        f"a plan has nothing to measure: {PRACTICE}",
        "practice", "measurements: {joints: null}",
    ),
    Case(
        "record-without-restraint", CAUTION, "record.stage",
        "checklist.restraint", None, "{state: pass, by: fitter, date: 2026-01-02, note: Pulled by hand.}",
        "order of UN R67, R100 and R110 (not checked against the document)",
        "published",
    ),
    Case(
        "record-without-routing", CAUTION, "record.stage",
        "checklist.routing", None, "{state: pass}",
        f"what nobody looked at is open: {PRACTICE}",
        "practice",
    ),
    Case(
        "record-without-torque", NOTE, "record.stage",
        "measurements.torque", None, "{posts: {torque: 8.2 Nm, asked: 9 Nm, instrument: wrench}}",
        PRACTICE,
        "practice",
    ),
    Case(
        "record-without-continuity", NOTE, "record.stage",
        "measurements.continuity", None, "{back: {cable: back, state: pass, instrument: meter}}",
        PRACTICE,
        "practice",
    ),
    Case(
        "record-without-insulation", NOTE, "record.stage",
        "measurements.insulation", None, "{feed: {cable: feed, resistance: 1.01 Mohm, instrument: meter}}",
        PRACTICE,
        "practice",
    ),
    Case(
        "record-without-person", NOTE, "record.stage",
        "checklist.restraint.by", None, "fitter",
        PRACTICE,
        "practice",
    ),
    Case(
        "record-without-person", NOTE, "record.stage",
        "checklist.restraint.date", None, "2026-01-02",
        f"who without when is as little as nobody: {PRACTICE}",
        "practice",
    ),
    Case(
        "record-without-restraint", CAUTION, "record.stage",
        "checklist.restraint.state", "not_applicable", "pass",
        "there is a battery in it, so it applies: order of UN R67, R100 and R110 (not checked against the document)",
        "practice",
    ),
    Case(
        "revision-without-history", NOTE, "record.revision",
        "record.revision", "B", "A",
        "a second revision without any history; a first one needs none: common practice, no source",
        "practice",
    ),
    Case(
        "revision-without-history", NOTE, "record.revision",
        "record.revision", "B", "A",
        PRACTICE,
        "practice", "revisions: [{revision: A, date: 2026-01-02, changed: First.}]",
    ),
)

MEASURED = (
    Case(
        "readings-unexplained", CAUTION, "measurements.readings.three",
        "measurements.readings.three.voltage", "12.25 V", "12.65 V",
        "three readings of one voltage at rest: two agree, and a meter of 0.5 % is 0.06 V off at most; chi-square",
        "analytic", EXCLUDING,
    ),
    Case(
        "reading-beyond-instrument", CAUTION, "measurements.readings.one.shows",
        "instruments.meter.kind", "multimeter", "multimeter_peak",
        f"only a peak function of 1 ms or an oscilloscope shows a trough: {PRACTICE}",
        "practice", READING.replace("voltage: 12.1 V", "voltage: 11.9 V, shows: trough"),
    ),
    Case(
        "reading-off-prediction", CAUTION, "measurements.readings.one",
        "measurements.readings.one.voltage", "12.0 V", "12.3 V",
        f"12.7 V less 4 A · 5 mΩ = 12.68 V before the sound; 0.5 V apart asks for a look: {PRACTICE}",
        "practice", READING.replace("load_case: note", "load_case: note, moment: rest"),
    ),
    Case(
        "ripple-reading-unclear", NOTE, "measurements.readings.ac",
        "measurements.readings.dc", None, "{voltage: 12.1 V, amplifier: amp, load_case: note, instrument: meter}",
        f"AC volts tell the ripple of the current only beside the fall of the DC volts: {PRACTICE}",
        "practice", RIPPLE,
    ),
    Case(
        "ripple-reading-unclear", CAUTION, "measurements.readings.ac",
        "measurements.readings.ac.voltage", "1 V", "200 mV",
        "a sine of full swing around a fall of 0.6 V has 0.6 V / √2 = 0.42 V rms: more cannot come from the "
        "resistances",
        "analytic", RIPPLE,
    ),
    Case(
        "joint-drop-high", CAUTION, "measurements.joints.lug",
        "measurements.joints.lug.drop", "120 mV", "40 mV",
        "read at 40 A, carries 41 A of mean (400 W / 0.8 / 12.1 V) and at most twice that at the peak: 0.12 V or "
        f"more, 0.08 V or less; 0.1 V across one joint: {PRACTICE}",
        "practice",
    ),
    Case(
        "insulation-low", STOP, "measurements.insulation.feed",
        "measurements.insulation.feed.resistance", "0.99 Mohm", "1.01 Mohm",
        f"over 1 MΩ with a multimeter: {PRACTICE}",
        "practice",
    ),
    Case(
        "continuity-failed", STOP, "measurements.continuity.back",
        "measurements.continuity.back.state", "fail", "pass",
        PRACTICE,
        "practice",
    ),
    Case(
        "torque-off", CAUTION, "measurements.torque.posts",
        "measurements.torque.posts.torque", "8.0 Nm", "8.2 Nm",
        f"9 Nm asked, 10 % less are 8.1 Nm: maker's figure, the band is {PRACTICE}",
        "practice",
    ),
    Case(
        "torque-off", CAUTION, "measurements.torque.posts",
        "measurements.torque.posts.torque", "10.0 Nm", "9.8 Nm",
        "9 Nm asked, 10 % more are 9.9 Nm: the same",
        "practice",
    ),
)

SOUND = (
    Case(
        "exposure-not-stated", NOTE, "measurements.sound.run",
        "measurements.sound.run.weighting", None, "A",
        "IEC 61672-1: without its weighting a level says nothing of the ear",
        "published", RUN,
    ),
    Case(
        "exposure-exceeded", CAUTION, "measurements.sound.run",
        "measurements.sound.run.duration", "16 min", "14 min",
        "NIOSH 98-126, Table 1-1: 100 dB(A) for 15 min",
        "published", RUN,
    ),
    Case(
        "peak-above-limit", CAUTION, "measurements.sound.run",
        "measurements.sound.run.level", "137.5 dB", "136.5 dB",
        "Directive 2003/10/EC: 140 dB(C) of peak; that of a tone lies 3.0 dB above its rms, C is 0 dB at 1 kHz",
        "published", RUN.replace("duration: 14 min", "duration: 10 ms"),
    ),
)

CHECKLIST = (
    Case(
        "checklist-failed", STOP, "checklist.restraint",
        "checklist.restraint.state", "fail", "pass",
        PRACTICE,
        "practice",
    ),
    Case(
        "checklist-failed", CAUTION, "checklist.hearing",
        "checklist.hearing.state", "fail", "pass",
        f"what is no matter of cables, batteries or power-up can be put right later: {PRACTICE}",
        "practice",
    ),
    Case(
        "checklist-limited", NOTE, "checklist.restraint",
        "checklist.restraint.state", "limitation", "pass",
        PRACTICE,
        "practice",
    ),
    Case(
        "checklist-limited", NOTE, "checklist.restraint",
        "checklist.restraint.state", "not_verified", "pass",
        PRACTICE,
        "practice",
    ),
)

CASES = (*LACKING, *MEASURED, *SOUND, *CHECKLIST)

PICTURES = (
    Case(
        "photo-refused", CAUTION, "photos.front.file",
        "photos.front.file", "away.png", "there.png",
        "only one of the two files is there: our own bounds",
        "practice", "photos: {front: {caption: Front fuse.}}",
    ),
    Case(
        "logo-refused", CAUTION, "workshop.logo",
        "workshop.logo", "away.png", "there.png",
        "the same",
        "practice", "workshop: {name: Example yard}",
    ),
)
