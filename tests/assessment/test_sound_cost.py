"""What a missed target level takes in power, and whether the electrical system could feed it."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import build_of, computed

from dossier.assessment.options.sound_cost import closing_gaps
from dossier.assessment.options.variants import variants
from dossier.assessment.sag.full_level_tone import note_case, play_note
from dossier.buildfile.model import Build
from dossier.circuit.sampler import nominal
from dossier.equipment.installed import installed, running
from dossier.results.options import TargetGap


def missing(decibels: float, **run: Any) -> dict[str, Any]:
    """A sound run that misses its target by so much, as a patch of the small build."""
    taken = {
        "position": "seat",
        "level": "120 dB",
        "target": f"{120 + decibels} dB",
        "load_case": "note",
        "instrument": "meter",
        **run,
    }
    return {"instruments": {"meter": {"kind": "sound_level_meter"}}, "measurements": {"sound": {"run": taken}}}


def battery(milliohm: float) -> dict[str, Any]:
    """A patch that gives the battery another resistance."""
    return {"batteries": {"starter": {"internal_resistance": f"{milliohm} mohm"}}}


def gaps_of(build: Build) -> tuple[TargetGap, ...]:
    """What it takes on the build as it stands."""
    case, own = note_case(build), variants(build)[0]
    fit = installed(build)
    note = play_note(build, fit, running(build, case.engine), case, nominal)
    return closing_gaps(build, case, [(own, fit, note)])


@pytest.mark.analytic
def test_a_gap_takes_its_power_and_current() -> None:
    """Three decibels are 10^0.3 = 1.995 times the power: of 500 W 998 W, at 12.5 V and the efficiency 1.995 times.

    The larger amplifier idles on more, too.
    """
    build = build_of(missing(3.0))
    [gap] = [one for one in gaps_of(build) if "target" in one.words]
    assert gap.gap_db == pytest.approx(3.0)
    assert gap.amplifier_w == pytest.approx(500.0 * 10.0**0.3)
    amplifier = installed(build).amplifiers["amp"]
    taken = 500.0 / amplifier.efficiency.nominal + amplifier.idle.nominal
    assert gap.input_a == pytest.approx(taken * 10.0**0.3 / 12.5)


@pytest.mark.practice
def test_at_part_level_the_current_follows_the_amplifier() -> None:
    """At an eighth of rated output an amplifier draws more than an eighth of what it draws at full."""
    quiet = {"load_cases": {"note": {"level": "-9 dB"}}}
    [full], [soft] = ([g for g in gaps_of(build_of({**missing(3.0), **p})) if "target" in g.words] for p in ({}, quiet))
    assert 10.0**-0.9 * 1.1 < soft.input_a / full.input_a < 0.5


@pytest.mark.practice
def test_a_stiff_battery_feeds_what_a_weak_one_cannot() -> None:
    """1.5 dB more, 700 W of a regulated amplifier: from 5 milliohm it is fed; 40 milliohm cannot deliver it at all."""
    [fed] = computed(missing(1.5)).recorded.sound
    assert fed.fed == "yes, to 20 s"
    [starved] = computed({**missing(1.5), **battery(40.0)}).recorded.sound
    assert starved.fed == "no: as it stands it cannot hold even a short note"


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("patch", "limit", "allowed"),
    [
        ({"cables": {"feed": {"fuses": {"front": {"rating": "60 A"}}}}}, "fuse", 60.0),
        ({"cables": {"feed": {"size": "8 mm2", "insulation": "60 degC", "length": "1 m"}}}, "conductor", None),
    ],
)
def test_a_fuse_and_a_conductor_forbid_what_the_battery_could_feed(
    patch: dict[str, Any], limit: str, allowed: float | None
) -> None:
    """Some 85 A for 700 W: a 60 A fuse may not carry them for 20 s, nor a thin wire; numbers say which and how much."""
    [row] = computed({**missing(1.5), **battery(5.0), **patch}).recorded.sound
    assert row.feed is not None
    assert row.feed.limit == limit
    assert row.feed.amperes is not None
    assert row.feed.allowed is not None
    assert row.feed.amperes > 0.9 * 708.0 / 14.0
    assert allowed is None or row.feed.allowed == allowed
    assert f"{row.feed.allowed:.0f} A" in row.fed


@pytest.mark.parametrize("run", [{"target": "119 dB"}, {"revision": "old"}, {"load_case": "other"}])
def test_nothing_is_said_of_other_runs(run: dict[str, Any]) -> None:
    """Nothing on supply where the target is reached, or was missed on another revision or in an unknown load case."""
    if "load_case" in run:
        patch = missing(3.0)
        del patch["measurements"]["sound"]["run"]["load_case"]
    else:
        patch = missing(3.0, **run)
    [row] = computed(patch).recorded.sound
    assert row.fed == ""


def test_a_conductor_that_may_carry_nothing_feeds_nothing() -> None:
    """In air as hot as its insulation bears the feed may carry 0 A: that is the answer, not an error."""
    hot = {"locations": {"bay": {"ambient": "110 degC"}, "boot": {"ambient": "110 degC"}}}
    found = gaps_of(build_of({**missing(1.0), **battery(1.0), **hot}))
    assert any("may carry 0 A" in one.words for gap in found for one in gap.answers)
