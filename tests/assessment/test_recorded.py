"""Measurements against predictions, exposure, settings, due dates: closed forms and published tables."""

from __future__ import annotations

from functools import lru_cache

import pytest

from dossier.assessment.assess import assess_nominal
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.diagnostic import Severity
from dossier.results.overview import Results
from dossier.results.recorded import Ceiling

BASE = """\
format: 1
record: {number: T, title: t, stage: STAGE, date: 2026-10-03, revision: B}
vehicle: {description: v, base_load: {at: bay, idle: 20 A, cruise: 25 A}}
locations: {bay: {}, boot: {}}
supplies: {main: {kind: alternator, at: bay, charging_voltage: 14.2 V, rated_current: 90 A}}
batteries: {starter: {at: bay, chemistry: agm, capacity: 70 Ah, starts_engine: true}}
amplifiers: {mono: {at: boot, supply: regulated, rated: {1 ohm: 2200 W}, settings: {gain_target: 46.9 V}}}
speakers: {sub: {amplifier: mono, coil_impedance: 1 ohm}}
cables:
  feed: {role: feed, from: bay, to: boot, size: 70 mm2, length: 4 m, insulation: 105 degC}
  body: {role: return, from: boot, to: bay, chassis: true}
load_cases:
  tone: {engine: cruise, level: 10 %, signal: {tone: 40 Hz, for: 1 s}}
  music: {engine: cruise, level: 10 %, signal: {music: {crest_factor: 9 dB}, for: 5 s}}
instruments: {meter: {kind: multimeter}, peak: {kind: multimeter_peak}, sound_meter: {kind: sound_level_meter},
              phone: {kind: phone}}
revisions:
  - {revision: A, date: 2026-05-02, changed: First.}
  - {revision: B, date: 2026-10-03, changed: Second.}
"""


@lru_cache(maxsize=64)
def results(more: str = "", stage: str = "design") -> Results:
    """Results of the base build with more sections."""
    return assess_nominal(read_build_text((BASE.replace("STAGE", stage) + more).encode(), "t", "t.yaml"))


def run_of(words: str) -> Results:
    """Results with one sound-level run."""
    return results(f"measurements: {{sound: {{r: {{position: seat, instrument: sound_meter, {words}}}}}}}\n")


@pytest.mark.published
@pytest.mark.parametrize(
    ("level", "hours"), [(85, 8.0), (88, 4.0), (91, 2.0), (94, 1.0), (97, 0.5), (100, 0.25), (103, 0.125)]
)
@pytest.mark.sweep(3)
def test_permitted_time_is_the_published_table(level: int, hours: float) -> None:
    """NIOSH 98-126, Table 1-1: 85 dB(A) for 8 h, 3 dB exchange."""
    [row] = run_of(f"level: {level} dB, weighting: A, frequency: 1000 Hz").recorded.sound
    niosh = next(one for one in row.permitted if one.criterion.startswith("NIOSH"))
    assert niosh.seconds == pytest.approx(hours * 3600.0)


@pytest.mark.published
def test_low_tone_is_converted() -> None:
    """IEC 61672-1 table, 40 Hz: A is -34.6 dB and C is -2.0 dB, so 130 dB(C) is 97.4 dB(A)."""
    [row] = run_of("level: 130 dB, weighting: C, frequency: 40 Hz").recorded.sound
    assert row.a_weighted == pytest.approx(97.4, abs=0.1)


@pytest.mark.published
@pytest.mark.parametrize(
    ("words", "peak", "times"),
    [
        ("level: 137.9 dB, weighting: C, frequency: 42 Hz", 140.9, set()),  # 137.9 + 3.0 above 140
        ("level: 136.9 dB, weighting: C, frequency: 42 Hz", 139.9, {"NIOSH", "EU"}),  # OSHA: unweighted 141.7
        ("level: 147 dB, weighting: Z, frequency: 42 Hz", 148.2, set()),  # C at 42 Hz is -1.8 dB
        ("level: 116 dB, weighting: A, frequency: 1000 Hz", 119.0, {"NIOSH", "EU"}),  # above 115 dB(A)
        ("level: 115 dB, weighting: A, frequency: 1000 Hz", 118.0, {"NIOSH", "OSHA", "EU"}),
        ("level: 141 dB, weighting: C, frequency: 42 Hz, detector: peak", 141.0, set()),
    ],
)
@pytest.mark.sweep(3)
def test_no_time_above_a_ceiling(words: str, peak: float, times: set[str]) -> None:
    """Above 140 dB(C) peak (Directive 2003/10/EC) nobody permits a time, above 115 dB(A) OSHA does not (1910.95)."""
    [row] = run_of(words).recorded.sound
    assert row.peak == pytest.approx(peak, abs=0.1)
    assert {one.criterion.split()[0] for one in row.permitted if one.seconds is not None and not one.action} == times
    assert row.over_peak is (not times)


@pytest.mark.published
def test_action_values_are_told_apart() -> None:
    """Directive 2003/10/EC: 88 dB(A) reaches 80 after 1.26 h, 85 after 4 h, and 87 at the ear after 6.35 h (3 dB)."""
    [row] = run_of("level: 88 dB, weighting: A, frequency: 1000 Hz").recorded.sound
    lower, upper, limit = (one for one in row.permitted if one.criterion.startswith("EU"))
    assert [(one.action, one.at_ear) for one in (lower, upper, limit)] == [(True, False), (True, False), (False, True)]
    assert lower.seconds == pytest.approx(8 * 3600 / 2 ** (8 / 3))
    assert upper.seconds == pytest.approx(4 * 3600)
    assert limit.seconds == pytest.approx(8 * 3600 / 2 ** (1 / 3))


@pytest.mark.published
def test_a_peak_above_an_action_value_reaches_it_at_once() -> None:
    """135.5 dB(C) of peak is above the lower action value of 135 and below the upper of 137."""
    [row] = run_of("level: 132.5 dB, weighting: C, frequency: 42 Hz").recorded.sound
    over = {one.criterion for one in row.permitted if one.exceeds is Ceiling.PEAK}
    assert over == {"EU lower action value"}


def test_a_superseded_run_is_not_judged() -> None:
    """What revision A sounded like says nothing of the system as it is: no time, and nobody is asked for more."""
    found = results(
        "measurements: {sound: {r: {position: seat, instrument: sound_meter, revision: A, level: 147 dB, weighting: Z, "
        "frequency: 42 Hz}}}\n"
    )
    [row] = found.recorded.sound
    assert (row.permitted, row.current) == ((), False)
    assert "superseded" in row.refusal
    assert not {one.code for one in found.findings} & {"exposure-not-stated", "peak-above-limit", "exposure-exceeded"}


@pytest.mark.parametrize(
    ("words", "instrument", "reason"),
    [
        ("level: 120 dB, weighting: C, frequency: 40 Hz, load_case: music", "sound_meter", "music"),
        ("level: 120 dB, frequency: 40 Hz", "sound_meter", "weighting"),
        ("level: 120 dB, weighting: C", "sound_meter", "frequency"),
        ("level: 120 dB, weighting: A", "sound_meter", "frequency"),
        ("level: 120 dB, weighting: C, frequency: 40 Hz, detector: peak", "sound_meter", "peak"),
        ("level: 120 dB, weighting: A, frequency: 40 Hz", "phone", "phone"),
        ("level: 120 dB, weighting: A, frequency: 40 Hz", "meter", "sound level meter"),
    ],
)
@pytest.mark.sweep(3)
def test_exposure_is_refused(words: str, instrument: str, reason: str) -> None:
    """Without weighting or frequency, from a peak, a phone or a wrong instrument no time is stated; a note says so."""
    found = results(f"measurements: {{sound: {{r: {{position: seat, instrument: {instrument}, {words}}}}}}}\n")
    [row] = found.recorded.sound
    assert row.permitted == ()
    assert row.a_weighted is None
    assert reason in row.refusal
    assert "exposure-not-stated" in {one.code for one in found.findings}


@pytest.mark.analytic
def test_gap_in_power() -> None:
    """Ten decibels are ten times the power: 10^(10/10)."""
    [row] = run_of("level: 120 dB, target: 130 dB, load_case: tone").recorded.sound
    assert row.gap == pytest.approx(10.0)
    assert row.power_ratio == pytest.approx(10.0)
    assert row.power_needed == pytest.approx(10.0 * (row.power_now or 0.0))


@pytest.mark.analytic
def test_millivolts_to_milliohms() -> None:
    """One millivolt at 100 A is 0.01 mohm (Ohm's law); over 0.1 V at the peak current is a finding."""
    found = results(
        "measurements: {joints: {good: {drop: 1 mV, current: 100 A, cable: feed, instrument: meter},"
        " bad: {drop: 400 mV, current: 10 A, cable: feed, instrument: meter}}}\n"
    )
    good, bad = found.recorded.joints
    assert good.resistance == pytest.approx(1e-5)
    assert good.at_peak == pytest.approx(1e-5 * (good.peak or 0.0))
    assert [one.path for one in found.findings if one.code == "joint-drop-high"] == ["measurements.joints.bad"]
    assert bad.at_peak is not None


@pytest.mark.analytic
def test_gain_target() -> None:
    """V = sqrt(P Z): 2200 W into 1 ohm is 46.9 V."""
    [row] = results().recorded.settings
    assert row.computed == pytest.approx(46.904, abs=1e-3)
    assert row.above_db == pytest.approx(0.0, abs=0.01)


def test_reading_beside_its_own_figure() -> None:
    """Each reading is compared with the figure its instrument sees; difference is reading minus prediction."""
    found = results(
        "measurements: {readings: {"
        "mean: {voltage: 13.0 V, amplifier: mono, load_case: tone, instrument: meter},"
        "trough: {voltage: 12.0 V, shows: trough, amplifier: mono, load_case: tone, instrument: peak},"
        "blind: {voltage: 12.0 V, shows: trough, amplifier: mono, load_case: tone, instrument: meter},"
        "rest: {voltage: 14.1 V, amplifier: mono, load_case: tone, moment: rest, instrument: meter},"
        "loose: {voltage: 12.7 V, at: bay, instrument: meter}}}\n"
    )
    [sag] = found.load_cases[0].amplifiers
    rows = {one.id: one for one in found.recorded.readings}
    assert rows["mean"].predicted == sag.mean_minimum.volts
    assert rows["mean"].difference == pytest.approx(13.0 - (sag.mean_minimum.volts or 0.0))
    assert sag.trough_minimum is not None
    assert rows["trough"].predicted == sag.trough_minimum.volts
    assert rows["rest"].predicted == sag.rest
    assert rows["blind"].predicted is None
    assert rows["loose"].predicted is None
    assert "no load case" in rows["loose"].remark
    assert [one.path for one in found.findings if one.code == "reading-beyond-instrument"] == [
        "measurements.readings.blind.shows"
    ]


def test_revisions_side_by_side() -> None:
    """The same reading on two revisions stands side by side, oldest first, each with its own prediction."""
    found = results(
        "measurements: {readings: {"
        "b: {voltage: 13.0 V, amplifier: mono, load_case: tone, instrument: meter},"
        "a: {voltage: 11.0 V, amplifier: mono, load_case: tone, instrument: meter, revision: A, predicted: 11.2 V}}}\n"
    )
    [row] = found.recorded.beside
    assert [(one.revision, one.measured) for one in row.entries] == [("A", 11.0), ("B", 13.0)]
    assert row.entries[0].predicted == 11.2


def test_unknown_revision_and_point_are_refused() -> None:
    """A measurement of a revision nobody recorded, and a checklist point nobody knows, are errors with their place."""
    for more, code in (
        ("measurements: {continuity: {c: {state: pass, revision: Z}}}\n", "unknown-revision"),
        ("checklist: {fuse_distanse: {state: pass}}\n", "unknown-checklist-item"),
        ("checklist: {restraint: {state: pass, by: nobody}}\n", "unknown-person"),
        ("measurements: {joints: {j: {drop: 1 mV, current: 1 A, instrument: none}}}\n", "unknown-instrument"),
    ):
        with pytest.raises(BuildFileError) as caught:
            results(more)
        assert code in {one.code for one in caught.value.diagnostics}


def test_as_built_lists_what_is_missing() -> None:
    """A record of what was built asks for measurement, restraint, torque and the rest; a plan does not."""
    missing = {one.code for one in results("", "as_built").findings if one.code.startswith("record-without")}
    assert missing == {
        f"record-without-{what}"
        for what in ("measurement", "restraint", "routing", "torque", "continuity", "insulation", "person")
    }
    assert not [one for one in results().findings if one.code.startswith("record-without")]
    full = (
        "people: {p: {name: P}}\n"
        "measurements: {joints: {j: {drop: 1 mV, current: 100 A, instrument: meter}}, torque: {t: {torque: 9 Nm}},"
        " continuity: {c: {state: pass}}, insulation: {i: {resistance: 5 Mohm, instrument: meter}}}\n"
        "checklist: {restraint: {state: pass, by: p, date: 2026-10-03}, routing: {state: pass}}\n"
    )
    assert not [one for one in results(full, "as_built").findings if one.code.startswith("record-without")]


def test_failures_weigh_what_they_should() -> None:
    """A failed continuity, low insulation and a failed point of the cables say stop; a wrong torque is a caution."""
    found = results(
        "measurements: {torque: {t: {torque: 6 Nm, asked: 9 Nm}}, continuity: {c: {state: fail}},"
        " insulation: {i: {resistance: 200 kohm, instrument: meter}}}\n"
        "checklist: {fuse_distance: {state: fail}, extinguisher: {state: fail}}\n"
    )
    weight = {(one.code, one.path): one.severity for one in found.findings}
    assert weight["continuity-failed", "measurements.continuity.c"] is Severity.STOP
    assert weight["insulation-low", "measurements.insulation.i"] is Severity.STOP
    assert weight["torque-off", "measurements.torque.t"] is Severity.CAUTION
    assert weight["checklist-failed", "checklist.fuse_distance"] is Severity.STOP
    assert weight["checklist-failed", "checklist.extinguisher"] is Severity.CAUTION


@pytest.mark.analytic
def test_due_by_date_or_distance() -> None:
    """Months are counted on the calendar, distances from the handover; whichever the build file states."""
    found = results(
        "handover: {date: 2026-08-31, odometer: 1000 km, maintenance: {"
        "a: {task: A., every_months: 6}, b: {task: B., every_distance: 500 km},"
        " c: {task: C., due_at: 2000 km, due_date: 2026-09-01}}}\n"
    )
    a, b, c = found.recorded.due
    assert (a.due_date, a.due_at, a.every) == ("2027-02-28", None, "6 months")
    assert (b.due_date, b.due_at, b.every) == ("", 1_500_000.0, "500 km")
    assert (c.due_date, c.due_at) == ("2026-09-01", 2_000_000.0)


@pytest.mark.practice
def test_customary_maintenance() -> None:
    """Without a schedule the customary one is printed: joints after 500 to 1000 km or a month, then yearly."""
    rows = results("handover: {date: 2026-10-03, odometer: 1000 km}\n").recorded.due
    assert rows[0].due_at == 1_750_000.0
    assert [row.due_date for row in rows] == ["2026-11-03", "2027-10-03", "2027-10-03"]
    assert all(not row.stated for row in rows)
