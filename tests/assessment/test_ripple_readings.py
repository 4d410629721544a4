"""Ripple fractions from a multimeter: which readings count, what they narrow, and what an option keeps."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from dossier.assessment.assess import assess
from dossier.assessment.options.variants import variants
from dossier.assessment.proof.ripple_readings import Explained, with_measured_ripple
from dossier.assessment.sag.full_level_tone import note_case, play_note, reading
from dossier.buildfile.model import Basis, Build
from dossier.buildfile.reader import read_build_text
from dossier.circuit.sampler import Samples
from dossier.equipment.installed import installed, running
from dossier.results.overview import Results
from dossier.results.ripple import RippleReading

ONE = Path(__file__).parents[1] / "fitting" / "data" / "one_battery.yaml"
AC, DC = 0.36, 12.5


def built(*, dc: bool = True, ac: float = AC, tone: str = "40 Hz", changes: dict[str, Any] | None = None) -> Build:
    """One battery, one amplifier of unknown ripple, and what a multimeter showed of it."""
    tree = yaml.safe_load(ONE.read_text())
    del tree["amplifiers"]["bass"]["ripple_fraction"]
    tree["load_cases"]["tone"]["signal"]["tone"] = tone
    tree["people"] = {"me": {"name": "Somebody"}}
    tree["instruments"] = {"meter": {"kind": "multimeter", "title": "Multimeter"}}
    about = {"amplifier": "bass", "load_case": "tone", "instrument": "meter", "date": "2026-03-01", "by": "me"}
    tree["measurements"] = {"readings": {"ac": {"voltage": f"{ac} V", "shows": "ripple_rms", **about}}}
    if dc:
        tree["measurements"]["readings"]["dc"] = {"voltage": f"{DC} V", **about}
    tree["options"] = {
        "copper": {"title": "More copper", "changes": {"cables": {"feed": {"runs": 2}}}},
        "other": {"title": "Another amplifier", "changes": {"amplifiers": {"bass": {"efficiency": "70 %"}}}},
    }
    for path, value in (changes or {}).items():
        *way, last = path.split(".")
        part = tree
        for key in way:
            part = part[key]
        part[last] = value
    return read_build_text(yaml.safe_dump(tree, sort_keys=False).encode(), "test", "test.yaml")


@cache
def computed() -> Results:
    """Nominal results of the plain case."""
    return assess(built(), options=False)


def said(build: Build) -> RippleReading:
    """What its one reading said."""
    return with_measured_ripple(build)[1][0]


def test_the_fraction_is_a_measured_input() -> None:
    """It stands among the inputs as measured, with its band, and the predicted ripple is the one that was read."""
    row = next(i for i in computed().inputs if i.path == "amplifiers.bass.ripple_fraction")
    assert row.basis == "measured"
    found = computed().recorded.ripples[0]
    assert found.fraction is not None
    assert found.lowest is not None
    assert found.highest is not None
    assert found.lowest < found.fraction < found.highest < 1.0
    one = computed().load_cases[0].amplifiers[0]
    assert one.trough_minimum is not None
    assert one.trough_minimum.volts is not None
    assert one.mean_minimum.volts is not None
    ripple = (one.mean_minimum.volts - one.trough_minimum.volts) / np.sqrt(2.0)
    assert ripple == pytest.approx(AC * one.mean_minimum.volts / DC, rel=0.05)  # of a rail that has fallen further


def test_the_reading_is_not_compared_with_what_was_made_of_it() -> None:
    """The reading itself has no prediction; the mean beside it has one."""
    rows = {r.id: r for r in computed().recorded.readings}
    assert rows["ac"].predicted is None
    assert "worked out from it" in rows["ac"].remark
    assert rows["dc"].predicted is not None


def test_the_band_of_the_trough_gets_narrower() -> None:
    """The ripple is known to some hundredths: the trough's band is hardly wider than that of the mean."""
    build, _ = with_measured_ripple(built())
    case = note_case(build)
    width = {}
    for name, one, draw in (("read", build, Explained(build, 96, 1)), ("assumed", built(dc=False), Samples(96, 1))):
        note = play_note(one, installed(one), running(one, case.engine), case, draw)
        k = note.index(5.0)
        for statistic in ("mean", "trough"):
            band = reading(getattr(note, statistic)[k], 5.0, note.inputs).band
            assert band is not None
            assert band.low is not None
            assert band.high is not None
            width[name, statistic] = band.high - band.low
    assert width["read", "trough"] < 0.75 * width["assumed", "trough"]
    assert width["read", "trough"] < 1.1 * width["read", "mean"]


def test_an_option_keeps_the_fraction_of_the_amplifier_it_keeps() -> None:
    """Twice the copper changes nothing about the amplifier; another amplifier has an assumed fraction again."""
    build, _ = with_measured_ripple(built())
    made = {v.id: v.build.amplifiers["bass"].ripple_fraction for v in variants(build)}
    assert made["copper"] == made["build"] == made["one_size_up"]
    assert made["copper"] is not None
    assert made["copper"].basis is Basis.MEASURED
    assert made["other"] is None


def test_a_lower_tone_gets_more_and_a_higher_one_no_credit() -> None:
    """Storage smooths a higher ripple more: a load case of 20 Hz raises the fraction, one of 80 Hz leaves it."""
    fractions = []
    for tone in ("40 Hz", "20 Hz", "80 Hz"):
        more = {"engine": "cruise", "signal": {"tone": tone, "for": "5 s"}}
        fraction = said(built(changes={"load_cases.more": more})).fraction
        assert fraction is not None
        fractions.append(fraction)
    plain, low, high = fractions
    assert high == pytest.approx(plain)
    x = np.sqrt(1.0 / plain**2 - 1.0)
    assert low == pytest.approx(1.0 / np.sqrt(1.0 + (0.5 * x) ** 2), rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"dc": False}, "mean volts"),
        ({"tone": "15 Hz"}, "40 Hz"),
        ({"changes": {"amplifiers.bass.ripple_fraction": "70 %"}}, "states the ripple fraction itself"),
    ],
)
def test_a_reading_that_does_not_tell_is_not_used(changes: dict[str, Any], words: str) -> None:
    """Without mean volts, below the meter's range, or beside a stated fraction: not used, and it says why."""
    build = built(**changes)
    after, rows = with_measured_ripple(build)
    assert rows[0].fraction is None
    assert words in rows[0].words
    assert after.amplifiers["bass"].ripple_fraction == build.amplifiers["bass"].ripple_fraction
    found = [f for f in assess(build, options=False).findings if f.code == "ripple-reading-unclear"]
    assert found
    assert words in found[0].headline


def test_more_ripple_than_the_resistances_explain_is_told() -> None:
    """Two volts of ripple cannot come from these resistances: 1 is used, and a caution says so."""
    assert said(built(ac=2.0)).fraction == pytest.approx(1.0)
    cautions = {f.code for f in assess(built(ac=2.0), options=False).findings}
    assert "ripple-reading-unclear" in cautions
    assert "ripple-reading-unclear" not in {f.code for f in computed().findings}
