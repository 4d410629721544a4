"""Options: what the trade knows of them, where one overtakes another, and what is never printed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from dossier.assessment.assess import assess, assess_nominal
from dossier.assessment.options.crossover import overtaken
from dossier.assessment.options.measuring import method_for
from dossier.assessment.options.sensitivity import sensitivity
from dossier.assessment.options.variants import size_up, variants
from dossier.assessment.sag.full_level_tone import LENGTHS, Note, gain_band, note_case, play_note, reading
from dossier.assessment.sag.samples import SAMPLES
from dossier.buildfile.model import Build, Engine, Quantity
from dossier.buildfile.reader import BuildFileError, option_build, read_build, read_build_text
from dossier.circuit.sampler import InputSampler, Samples, nominal
from dossier.equipment.installed import installed, running
from dossier.results.overview import Results

DEMOS = Path(__file__).parents[2] / "demo_builds"

PICKUP = Path(__file__).parents[2] / "demo_builds" / "pickup-plan.yaml"


@cache
def pickup() -> Build:
    """The pick-up as it stands."""
    return read_build(PICKUP)


@cache
def quick() -> Results:
    """Its results without bands."""
    return assess(pickup())


def note_with(build: Build, draw: InputSampler = nominal, engine: str = "") -> Note:
    """The note of a build, in the engine state of its own or another."""
    case = note_case(build)
    if engine:
        case = replace(case, engine=Engine(engine, None))
    return play_note(build, installed(build), running(build, case.engine), case, draw)


def changed(*changes: tuple[str, str]) -> Build:
    """The pick-up with pieces of its text replaced."""
    text = PICKUP.read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return read_build_text(text.encode(), "changed", "changed.yaml")


def weak(milliohm: float) -> Build:
    """The pick-up on a battery of that resistance, with amplifiers that go on asking."""
    return changed(
        ("internal_resistance: {value: 4.4 mohm", f"internal_resistance: {{value: {milliohm} mohm"),
        ("supply: unregulated", "supply: regulated"),
    )


@pytest.mark.practice
def test_more_alternator_barely_moves_a_short_burst() -> None:
    """In a burst of 0.4 s a 250 A alternator is worth less than half of what a second battery is worth; practice."""
    base, more = note_with(pickup()), note_with(option_build(pickup(), "alternator_250"))
    battery = note_with(option_build(pickup(), "second_agm"))
    k = base.index(0.4)
    assert more.mean[k, 0] - base.mean[k, 0] < 0.5 * (battery.mean[k, 0] - base.mean[k, 0])


@pytest.mark.practice
def test_a_bank_wins_short_notes_and_a_battery_long_ones() -> None:
    """The bank holds at least as much as the battery up to 1 s, the battery at least 0.5 V more at 20 s; practice."""
    bank, battery = (note_with(option_build(pickup(), name)) for name in ("bank", "second_agm"))
    assert bank.mean[bank.index(1.0), 0] > battery.mean[battery.index(1.0), 0] - 0.05
    assert battery.mean[-1, 0] > bank.mean[-1, 0] + 0.5


@pytest.mark.practice
def test_a_bank_with_more_resistance_than_the_battery_never_wins() -> None:
    """A bank of 2 mohm a cell (12 mohm) is never ahead of a second battery; practice."""
    poor = changed(("esr: 0.29 mohm", "esr: 2.0 mohm"))
    bank, battery = (note_with(option_build(poor, name)) for name in ("bank", "second_agm"))
    assert (bank.mean[:, 0] <= battery.mean[:, 0] + 1e-6).all()


@pytest.mark.practice
def test_a_bank_only_delays_an_engine_off_collapse() -> None:
    """With a small tired battery and the engine off the note collapses, later with a bank, but still; practice."""
    tired = weak(8.0)
    alone, bank = note_with(tired, engine="stopped"), note_with(option_build(tired, "bank"), engine="stopped")
    assert np.isfinite(alone.fails[0])
    assert alone.fails[0] < bank.fails[0] < np.inf


def test_differences_are_sharper_than_levels() -> None:
    """The band of a gain is less than 70 % as wide as the band of the voltage: the samples are the same."""
    samples = Samples(SAMPLES, 1)
    base, copper = note_with(pickup(), samples), note_with(option_build(pickup(), "copper"), samples)
    gain = gain_band(copper.mean[-1], base.mean[-1], copper.inputs)
    assert gain is not None
    assert gain.low is not None
    assert gain.high is not None
    level = np.nanquantile(copper.mean[-1, 1:], [0.05, 0.95])
    assert gain.high - gain.low < 0.7 * float(np.ptp(level))


@pytest.mark.analytic
def test_a_crossover_is_found_where_two_straight_lines_meet() -> None:
    """Lines 13 - 0.3 s and 12.5 - 0.1 s meet at 2.5 s; a line that fails is overtaken; parallel ones never are."""
    early, late = 13.0 - 0.3 * LENGTHS, 12.5 - 0.1 * LENGTHS
    gone = np.where(LENGTHS < 4.0, 13.0, np.nan)
    a = np.stack([early, late, early, gone], axis=1)
    b = np.stack([late, early, early - 1.0, np.full_like(early, 12.0)], axis=1)
    found = overtaken(a, b)
    assert found[0] == pytest.approx(2.5, rel=0.02)
    assert np.isnan(found[1])
    assert np.isnan(found[2])
    assert found[3] == pytest.approx(4.0, rel=0.15)


def test_curves_that_touch_do_not_cross() -> None:
    """A lead of less than 0.05 V is no lead."""
    base = np.full_like(LENGTHS, 12.0)
    wobble = base + 0.02 * np.sin(np.linspace(0.0, 20.0, LENGTHS.size))
    assert np.isnan(overtaken(wobble[:, None], base[:, None])[0])


@pytest.mark.long
def test_every_option_and_every_free_row_stands_in_the_table() -> None:
    """The build, its four options in order, then copper, charging path, idle and asking less."""
    found = quick().options
    assert found is not None
    assert [r.id for r in found.rows] == [
        "build",
        "copper",
        "second_agm",
        "bank",
        "alternator_250",
        "one_size_up",
        "charging_path",
        "raised_idle",
        "asking_less",
    ]
    rows = {r.id: r for r in found.rows}
    assert rows["raised_idle"].balance_idle > rows["build"].balance_idle
    assert rows["alternator_250"].balance_cruise > rows["build"].balance_cruise
    assert rows["second_agm"].engine_off is not None
    assert rows["build"].engine_off is not None
    assert rows["second_agm"].engine_off > rows["build"].engine_off
    assert found.samples == 0
    assert all(r.long.mean.band is None for r in found.rows)
    assert any("Capacitor bank" in sentence for sentence in found.verdict)


@pytest.mark.long
def test_cost_per_volt_is_cost_over_gain() -> None:
    """320 EUR over the gain at 20 s; no price where nothing is gained."""
    found = quick().options
    assert found is not None
    rows = {r.id: r for r in found.rows}
    after, before = rows["second_agm"].long.mean.volts, rows["build"].long.mean.volts
    assert after is not None
    assert before is not None
    assert rows["second_agm"].cost_per_volt_long == pytest.approx(320.0 / (after - before))
    assert rows["bank"].cost_per_volt_long is None


@pytest.mark.long
def test_asking_less_leaves_no_amplifier_starved() -> None:
    """At the level of that row the output is what is asked within 0.3 dB; one dB louder it is not."""
    found = quick().options
    assert found is not None
    row = next(r for r in found.rows if r.id == "asking_less")
    level = float(row.title.split()[1])
    assert row.long.output_db == pytest.approx(-level, abs=0.3)
    case = note_case(pickup())
    louder = replace(case, level=Quantity(10.0 ** (-(level - 1.0) / 10.0), "", ""))
    note = play_note(pickup(), installed(pickup()), running(pickup(), case.engine), louder, nominal)
    assert 10.0 * np.log10(note.kept[-1, 0]) < -0.3


@pytest.mark.long
def test_after_a_collapse_no_voltage_is_stated() -> None:
    """A build that cannot hold the note has no voltage, no output and no gain from then on."""
    build, samples = weak(4.2), Samples(40, 1)
    base, bank = note_with(build, samples), note_with(option_build(build, "bank"), samples)
    fails = base.fails[0]
    assert 0.1 < fails < 20.0
    assert np.isnan(base.mean[fails <= LENGTHS, 0]).all()
    assert np.isfinite(base.mean[fails > LENGTHS, 0]).all()
    found = reading(base.mean[-1], 20.0, base.inputs)
    assert found.volts is None
    assert found.band is not None
    assert found.band.low is None
    assert found.band.collapse_share > 0.5
    assert np.isnan(base.kept[-1, 0])
    assert gain_band(bank.mean[-1], base.mean[-1], base.inputs) is None


def test_sizes_go_up_in_their_own_series() -> None:
    """1/0 AWG goes to 2/0 AWG, 35 mm2 to 50 mm2, twice 25 mm2 is 50 mm2, and 240 mm2 has no next."""

    def q(text: str, mm2: float) -> Quantity:
        return Quantity(mm2 * 1e-6, text, "")

    def name(found: Quantity | None) -> str:
        return found.text if found else ""

    assert name(size_up(q("1/0 AWG", 53.49))) == "2/0 AWG"
    assert name(size_up(q("35 mm2", 35.0))) == "50 mm2"
    assert name(size_up(q("25 mm2", 25.0), 2.0)) == "50 mm2"
    assert size_up(q("240 mm2", 240.0)) is None


def test_an_automatic_row_changes_only_what_it_says() -> None:
    """The charging path grows only the cables between alternator and battery, the feed only those to the amplifiers."""
    made = {v.id: v for v in variants(pickup())}
    now = pickup().cables
    path = made["charging_path"].build.cables
    assert {c for c in now if path[c].size != now[c].size} == {"alternator_lead", "engine_strap", "battery_strap"}
    feed = made["one_size_up"].build.cables
    assert {c for c in now if feed[c].size != now[c].size} == {"feed", "battery_strap"}


def test_the_largest_effects_come_first_and_unknowns_are_named() -> None:
    """Effects fall in size; more resistance lowers the voltage; what to measure is only estimated or assumed."""
    build = pickup()
    found = sensitivity(build, installed(build), assess_nominal(build))
    assert found is not None
    swings = [e.swing for e in found.effects]
    assert swings == sorted(swings, reverse=True)
    for effect in found.effects:
        if effect.path == "batteries.main.internal_resistance" or effect.path.startswith("cables."):
            assert effect.at_low is not None
            assert effect.at_high is not None
            assert effect.at_high < 0.0 < effect.at_low
    assert 1 <= len(found.measure_next) <= 5
    assert all(e.basis in ("estimated", "assumed") and e.how for e in found.measure_next)


@pytest.mark.analytic
@pytest.mark.parametrize("name", ["pickup-plan", "van-competition"])
@pytest.mark.sweep(2)
def test_measurements_narrow_the_band_one_after_the_other(name: str) -> None:
    """Independent swings add as squares: together they take what their squares are missing, none nothing."""
    build = read_build(PICKUP.with_name(f"{name}.yaml"))
    found = sensitivity(build, installed(build), assess_nominal(build))
    assert found is not None
    titles = {one.title for one in found.measurements}
    unknown = [e for e in found.effects if e.basis not in ("measured", "fitted")]
    told = [e for e in unknown if (method := method_for(e.path)) is not None and method.title in titles]
    whole = sum(e.swing**2 for e in found.effects)
    left = whole - sum(e.swing**2 for e in told)
    narrows = [one.narrows for one in found.measurements]
    assert sum(narrows) == pytest.approx(whole**0.5 - left**0.5)
    assert all(one >= 0.05 for one in narrows[1:])  # less would print as 0.0 V


def verdict_of(changes: str) -> str:
    """What is said of one option of the hatchback."""
    text = (DEMOS / "hatchback-first-amp.yaml").read_text(encoding="utf-8")
    build = read_build_text(f"{text}\noptions: {{o: {{title: Opt, changes: {changes}}}}}\n".encode(), "x", "x.yaml")
    options = assess(build, options=True).options
    assert options is not None
    return " ".join(options.verdict)


def test_a_worse_option_is_not_praised() -> None:
    """An alternator turned down holds less at every length; the verdict says that nothing is gained."""
    assert "No option holds more" in verdict_of("{supplies: {alternator: {charging_voltage: 12.8 V}}}")


def test_an_option_that_must_not_be_built_is_told_with_its_reason() -> None:
    """Thicker cable that has lost its only fuse holds more, and the first sentence is what says stop."""
    said = verdict_of("{cables: {feed: {size: 50 mm2, fuses: {main: null}}}}")
    assert said.startswith("“Opt” is not to be built as it is written: stop")


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ("{cables: {fead: null}}", "cables.fead"),
        ("{cables: {feed: {fuses: {mian: null}}}}", "cables.feed.fuses.mian"),
        ("{batteries: {starter: {mass: null}}}", ""),  # a field that is not stated is left out already
    ],
)
def test_what_is_not_there_cannot_be_taken_away(changes: str, told: str) -> None:
    """A mistyped name under null is refused: the option would silently change nothing."""
    text = (DEMOS / "hatchback-first-amp.yaml").read_text(encoding="utf-8")
    text = f"{text}\noptions: {{o: {{changes: {changes}}}}}\n"
    if not told:
        assert read_build_text(text.encode(), "x", "x.yaml").options
        return
    with pytest.raises(BuildFileError) as caught:
        read_build_text(text.encode(), "x", "x.yaml")
    assert [one.code for one in caught.value.diagnostics] == ["removes-nothing"]
    assert told in caught.value.diagnostics[0].headline
