"""Bands: what the samples are, how well their edges repeat, and what is said when samples collapse."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from dossier.assessment.options.options import CARRIED, music_case, play_music
from dossier.assessment.sag.bands import with_bands
from dossier.assessment.sag.excerpt import worst_stretch
from dossier.assessment.sag.full_level_tone import Note, note_case, play_note, reading
from dossier.assessment.sag.load_cases import play
from dossier.assessment.sag.programmes import programme_of
from dossier.assessment.sag.samples import BATCH, SAMPLES, Play, band_of, edges_in_time
from dossier.assessment.sag.surrogate import resampled
from dossier.buildfile.model import Build
from dossier.buildfile.reader import option_build, read_build, read_build_text
from dossier.circuit import programme
from dossier.circuit.elements import Values
from dossier.circuit.sampler import Samples, nominal
from dossier.circuit.settings import Settings
from dossier.equipment.installed import installed, running
from dossier.equipment.value import Value
from dossier.results.sag import LoadCaseResult

DEMOS = Path(__file__).parents[2] / "demo_builds"
MEAN_REPEATS_V, TROUGH_REPEATS_V = 0.2, 0.3  # the promise
SEEDS = (1, 2, 3)


@cache
def build_of(option: str = "", name: str = "pickup-plan") -> Build:
    """A demo build, or one of its options."""
    build = read_build(DEMOS / f"{name}.yaml")
    return option_build(build, option) if option else build


def note_of(build: Build, seed: int, count: int = SAMPLES) -> Note:
    """The note of a build with one seed."""
    fit, case = installed(build), note_case(build)
    return play_note(build, fit, running(build, case.engine), case, Samples(count, seed))


def edges_of(note: Note) -> dict[tuple[str, float], tuple[float, float]]:
    """Statistic and length -> both edges of the band [V]; a collapsed edge counts as 0 V."""
    found = {}
    for seconds in (1.0, 20.0):
        for name in ("mean", "trough"):
            band = reading(getattr(note, name)[note.index(seconds)], seconds, note.inputs).band
            assert band is not None
            found[name, seconds] = (band.low or 0.0, band.high or 0.0)
    return found


BANDED = [("pickup-plan", o) for o in ("", "copper", "second_agm", "bank", "alternator_250")]
BANDED += [(name, "") for name in ("estate-handover", "hatchback-first-amp", "unsafe-findings", "van-competition")]


@pytest.mark.long
@pytest.mark.parametrize(("name", "option"), BANDED)
def test_band_edges_repeat_between_seeds(name: str, option: str) -> None:
    """Edges of the bands of every demo build differ by at most 0.2 V (means) and 0.3 V (troughs) between seeds."""
    found = [edges_of(note_of(build_of(option, name), seed)) for seed in SEEDS]
    for key in found[0]:
        spread = np.ptp(np.array([one[key] for one in found]), axis=0)
        allowed = MEAN_REPEATS_V if key[0] == "mean" else TROUGH_REPEATS_V
        assert (spread <= allowed).all(), (key, spread)


@pytest.mark.long
@pytest.mark.parametrize(("name", "option"), BANDED)
def test_band_edges_of_music_repeat_between_seeds(name: str, option: str) -> None:
    """So do those of the music beside the options: 0.2 V for its mean, 0.3 V for its trough."""
    build = build_of(option, name)
    case, fit = music_case(build), installed(build)
    stretch = worst_stretch(replace(programme_of(case), tone_hz=40.0))
    found = []
    for seed in SEEDS:
        played = play_music(build, fit, case, stretch, Samples(SAMPLES, seed))
        bands = [one.band for one in (played.mean, played.trough)]
        found.append([(band.low or 0.0, band.high or 0.0) for band in bands if band is not None])
    spread = np.ptp(np.array(found), axis=0)
    assert (spread <= [[MEAN_REPEATS_V], [TROUGH_REPEATS_V]]).all(), spread


@pytest.mark.long
@pytest.mark.parametrize("name", ["pickup-plan", "estate-handover", "hatchback-first-amp"])
def test_band_edges_are_not_narrower_than_those_of_full_sampling(name: str) -> None:
    """Edges from few samples lie no more than 0.1 V, what is printed, inside those of 500 samples by themselves."""
    few, full = note_of(build_of("", name), 1), note_of(build_of("", name), 99, 500)
    for (statistic, seconds), (low, high) in edges_of(few).items():
        values = getattr(full, statistic)[full.index(seconds)][1:]
        true = band_of(values, np.isnan(values))
        assert low <= (true.low or 0.0) + 0.1, (statistic, seconds)
        assert high >= (true.high or 0.0) - 0.1, (statistic, seconds)


class One:
    """InputSampler of a single sample of many."""

    def __init__(self, samples: Samples, k: int) -> None:
        self.samples, self.k = samples, k

    def __call__(self, value: Value) -> Values:
        """The number that sample has."""
        drawn = self.samples(value)
        return float(drawn[self.k]) if isinstance(drawn, np.ndarray) else drawn


def test_a_sample_of_a_batch_is_a_run_of_its_own() -> None:
    """A sample played with 15 others and played alone agree within 10 mV, a tenth of what is printed."""
    build = build_of("bank")
    fit, case = installed(build), note_case(build)
    samples = Samples(15, 5)
    batch = play_note(build, fit, running(build, case.engine), case, samples)
    for k in (0, 4, 11):
        alone = play_note(build, fit, running(build, case.engine), case, One(samples, k))
        assert np.nanmax(np.abs(batch.mean[:, k] - alone.mean[:, 0])) < 0.010
        assert np.nanmax(np.abs(batch.trough[:, k] - alone.trough[:, 0])) < 0.010


def test_samples_are_stratified_and_keyed_by_path() -> None:
    """Every input has one draw in each stratum; the same path has the same draws whatever else is there."""
    value = Value("batteries.a.internal_resistance", "a", "r", "ohm", 2.0, 1.0, 4.0, "datasheet")
    drawn = np.asarray(Samples(40, 3)(value))
    assert drawn[0] == 2.0
    assert np.array_equal(np.sort(np.floor(Samples(40, 3).strata(value.path) * 40)), np.arange(40))
    assert (drawn[1:] < 2.0).sum() == 20
    assert np.array_equal(drawn, np.asarray(Samples(40, 3)(replace(value, quantity="other"))))
    assert not np.array_equal(drawn, np.asarray(Samples(40, 3)(replace(value, path="x"))))


def test_the_lower_edge_is_a_collapse_where_too_many_samples_collapse() -> None:
    """More than 5 % of collapsed samples leave no lower edge, more than 95 % leave none at all."""
    values = np.linspace(10.0, 12.0, 100)
    few, more, most = (np.arange(100) < n for n in (4, 6, 96))
    assert band_of(values, few).low is not None
    assert band_of(values, more).low is None
    assert band_of(values, more).high is not None
    assert band_of(values, more).collapse_share == pytest.approx(0.06)
    assert band_of(values, most) == replace(band_of(values, most), low=None, high=None)


def test_edges_in_time_end_where_they_collapse() -> None:
    """An edge in time is NaN from the instant at which its share of the samples has collapsed."""
    values = np.broadcast_to(np.linspace(10.0, 12.0, 100), (3, 100))
    failed = np.stack([np.arange(100) < n for n in (0, 5, 50)])
    low, high = edges_in_time(values, failed)
    assert low[0] == pytest.approx(10.1, abs=0.05)
    assert np.isnan(low[2])
    assert np.isfinite(high).all()


@pytest.mark.analytic
def test_the_surrogate_finds_closed_form_quantiles() -> None:
    """Of y = u + v^2 (u, v uniform, four idle inputs) the 5 and 95 % quantiles come out within 0.03."""
    # P(u + v^2 < y) for y < 1 is y^1.5 2/3 (area under 1 - ... of the curve u = y - v^2): q05 = (0.05 * 3/2)^(2/3)
    exact_low = (0.05 * 1.5) ** (2.0 / 3.0)
    samples = Samples(96, 9)
    inputs = np.stack([samples.strata(name) for name in "uvabcd"], axis=1)
    found = resampled(inputs[:, 0] + inputs[:, 1] ** 2, inputs).values
    assert np.quantile(found, 0.05) == pytest.approx(exact_low, abs=0.03)
    # for y > 1: 1 - P = integral from sqrt(y-1) to 1 of (1 - y + v^2) dv; solved for 0.05
    y = np.linspace(1.0, 2.0, 100001)
    a = np.sqrt(y - 1.0)
    beyond = (1.0 - y) * (1.0 - a) + (1.0 - a**3) / 3.0
    assert np.quantile(found, 0.95) == pytest.approx(float(np.interp(-0.05, -beyond, y)), abs=0.03)


@pytest.mark.parametrize("crest", [9.0, 12.0])
def test_the_stretch_of_music_has_the_lowest_voltage_of_the_whole(crest: float) -> None:
    """The thinned piece of music reaches the lowest mean of the whole piece within 0.05 V."""
    build = build_of()
    fit, case = installed(build), music_case(build)
    run = running(build, case.engine)
    piece = programme.music(crest, 40.0)
    whole = Play(build, fit, run, case, piece, nominal, settings=Settings(detail=False)).batch().worst()[0]
    short = Play(build, fit, run, case, worst_stretch(piece).programme, nominal).batch().worst()[0]
    assert float(short.min()) == pytest.approx(float(whole.min()), abs=0.05)


@pytest.mark.long
@pytest.mark.parametrize(
    ("name", "option", "crest"),
    [
        ("pickup-plan", "", 9.0),
        ("pickup-plan", "", 12.0),
        ("pickup-plan", "bank", 12.0),
        ("estate-handover", "", 9.0),
        ("van-competition", "", 12.0),
    ],
)
def test_the_stretch_of_music_is_as_low_as_the_whole_in_every_sample(name: str, option: str, crest: float) -> None:
    """Lowest mean and trough of a whole minute come out of the stretch within 0.1 V, sample by sample.

    A weak charger has its worst moment elsewhere than the nominal one, near the end of the piece.
    """
    build = build_of(option, name)
    fit, case = installed(build), music_case(build)
    run, few = running(build, case.engine), Samples(15, 5)
    piece = programme.music(crest, 60.0, 40.0)
    whole = Play(build, fit, run, case, piece, few, settings=replace(BATCH, phases=7, tol_v=1e-3, tol_i=0.5)).batch()
    at = float(whole.transient.t[int(np.nanargmin(whole.worst()[0][:, 0]))]) - programme.LEAD_IN_S
    short = Play(build, fit, run, case, worst_stretch(piece, at).programme, few, settings=CARRIED).batch()
    for ours, exact in zip(short.worst()[:2], whole.worst()[:2], strict=True):
        assert np.abs(np.nanmin(ours, axis=0) - np.nanmin(exact, axis=0)).max() < 0.1


def test_a_load_case_gets_bands_around_its_own_values() -> None:
    """Every reading and trace of a played load case lies within its band."""
    build = build_of()
    case = build.load_cases["long_note"]
    fit, run = installed(build), running(build, case.engine)
    result = with_bands(build, fit, run, case, play(build, fit, run, case).result, Samples(64, 1))
    for one in result.amplifiers:
        for found in (one.mean_minimum, one.minimum_100ms, one.trough_minimum):
            assert found is not None
            assert found.volts is not None
            assert found.band is not None
            assert found.band.low is not None
            assert found.band.high is not None
            assert found.band.low <= found.volts <= found.band.high
        assert one.band is not None
        inside = np.interp(one.band.t, result.t, one.mean)
        # both are thinned: at the two edges of the note their straight lines may cross within milliseconds
        away = np.abs(one.band.t[:, None] - np.array([[0.0, result.sound_ends]])).min(1) > 0.05
        assert (one.band.low <= inside + 0.02)[away].all()
        assert (one.band.high >= inside - 0.02)[away].all()


def banded(text: str, case_id: str = "long_note", count: int = 48) -> LoadCaseResult:
    """A load case of a build with its bands, from few samples."""
    build = read_build_text(text.encode(), "changed", "changed.yaml")
    case = build.load_cases[case_id]
    fit, run = installed(build), running(build, case.engine)
    return with_bands(build, fit, run, case, play(build, fit, run, case).result, Samples(count, 1))


def test_each_amplifier_has_its_own_share() -> None:
    """An amplifier that shuts down at 11 V does so in some samples; its neighbour at 9 V plays on in all of them."""
    text = (DEMOS / "pickup-plan.yaml").read_text()
    text = text.replace("low_voltage_shutdown: 9.0 V", "low_voltage_shutdown: 10.8 V", 1)
    result = banded(text)
    left, right = result.amplifiers
    assert left.mean_minimum.band is not None
    assert right.mean_minimum.band is not None
    assert 0.05 < left.mean_minimum.band.collapse_share < 0.95
    assert left.mean_minimum.band.low is None
    assert right.mean_minimum.band.collapse_share == 0.0
    assert right.mean_minimum.band.low is not None
    assert left.band is not None
    assert right.band is not None
    assert np.isnan(left.band.low).any()
    assert np.isfinite(right.band.low).all()


def test_locations_have_bands_and_limits_the_share_that_keeps_them() -> None:
    """Every location has a band around its lowest mean; a limit at its lower edge is kept by about 95 %."""
    text = (DEMOS / "pickup-plan.yaml").read_text()
    edges = {}
    for place in banded(text, count=96).locations:
        found = place.mean_minimum
        assert found.volts is not None
        assert found.band is not None
        assert found.band.low is not None
        assert found.band.high is not None
        assert found.band.low <= found.volts <= found.band.high
        edges[place.id] = found.band
    stated = text.replace("vehicle: {mean: 11.5 V}", f"vehicle: {{mean: {edges['bay'].low:.3f} V}}")
    limits = next(p for p in banded(stated, count=96).locations if p.id == "bay").limits
    assert [check.statistic for check in limits] == ["mean"]
    assert limits[0].kept_share == pytest.approx(0.95, abs=0.04)


def test_a_place_without_devices_is_read_from_its_nodes() -> None:
    """The estate's converter output has no battery or load across its poles: its lowest mean has a band, too."""
    build = read_build(DEMOS / "estate-handover.yaml")
    case = build.load_cases["long_note"]
    fit, run = installed(build), running(build, case.engine)
    result = with_bands(build, fit, run, case, play(build, fit, run, case).result, Samples(16, 1))
    assert all(place.mean_minimum.band is not None for place in result.locations)
    assert {"boot_output", "engine_bay"} <= {place.id for place in result.locations}
