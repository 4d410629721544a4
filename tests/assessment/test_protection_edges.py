"""Outside the tables and at the edges of a build: refused or clamped on the safe side, never silent, never a crash."""

from __future__ import annotations

import re
from math import exp, log
from typing import Any

import pytest
from small_builds import BASE, build_of, computed, found

from dossier.buildfile.options import merge_patch
from dossier.buildfile.source import BuildFileError
from dossier.diagnostic import Severity
from dossier.results.overview import Results


def feed(**fields: Any) -> dict[str, Any]:
    """A patch of the feed."""
    return {"cables": {"feed": fields}}


def fuse(**fields: Any) -> dict[str, Any]:
    """A patch of its front fuse."""
    return feed(fuses={"front": fields})


def allowed(patch: dict[str, Any]) -> float | None:
    """What one run of the feed may carry."""
    return next(r.allowed for r in computed(patch).schedule if r.id == "feed")


def worst(results: Results, code: str) -> Severity | None:
    """Worst severity of a code."""
    return max((f.severity for f in found(results, code)), default=None)


@pytest.mark.published
@pytest.mark.parametrize(
    ("insulation", "amperes"),
    [(60, 195), (75, 230), (80, 245), (90, 245), (95, 245), (104, 245), (105, 285), (125, 305), (150, 305), (200, 325)],
)
def test_every_rating_of_insulation(insulation: int, amperes: int) -> None:
    """33 CFR 183.425 Table 5, 1/0 AWG: each column, and between two columns the lower one."""
    patch = feed(size="1/0 AWG", insulation=f"{insulation} degC", ambient="30 degC")
    assert allowed(patch) == pytest.approx(amperes)


@pytest.mark.published
@pytest.mark.parametrize(
    ("mm2", "low", "high"),
    [(10, (8.366, 80), (13.3, 120)), (50, (42.41, 245), (53.48, 285)), (95, (85.01, 385), (107.2, 445))],
)
def test_metric_sizes_lie_between_their_gauges(mm2: float, low: tuple[float, float], high: tuple[float, float]) -> None:
    """Metric sizes by log-log interpolation on area between two published rows of 33 CFR 183.425, 105 degC column."""
    expected = exp(log(low[1]) + log(high[1] / low[1]) * log(mm2 / low[0]) / log(high[0] / low[0]))
    assert allowed(feed(size=f"{mm2} mm2", ambient="30 degC")) == pytest.approx(expected, rel=2e-3)


@pytest.mark.published
def test_sizes_above_the_table_count_as_its_largest() -> None:
    """Nothing above 4/0 AWG is published: 150 and 300 mm2 get its 445 A and no more."""
    for size in ("150 mm2", "300 mm2"):
        assert allowed(feed(size=size, ambient="30 degC")) == pytest.approx(445.0)


@pytest.mark.published
def test_sizes_below_the_table_get_no_current() -> None:
    """Thinner than 18 AWG nothing is published: a caution, and a stop once even 18 AWG would be overloaded."""
    small = {"amplifiers": {"amp": {"rated": {"2 ohm": "20 W"}}}}
    blade = {"rating": "3 A", "style": "blade", "breaking_capacity": "2 kA"}
    quiet = computed(merge_patch(small, feed(size="0.5 mm2", fuses={"front": blade})))
    assert allowed(feed(size="0.5 mm2")) is None
    assert worst(quiet, "conductor-outside-tables") is Severity.CAUTION
    assert worst(quiet, "fuse-above-ampacity") is Severity.CAUTION
    assert worst(computed(feed(size="0.5 mm2")), "fuse-above-ampacity") is Severity.STOP
    loud = computed(feed(size="0.75 mm2", length="0.3 m"))
    assert worst(loud, "conductor-overloaded") is Severity.STOP


@pytest.mark.published
def test_insulation_below_the_table_gets_no_current() -> None:
    """Insulation rated below 60 degC has no column; a fuse above what 60 degC would allow is at least a caution."""
    results = computed(feed(insulation="50 degC"))
    assert allowed(feed(insulation="50 degC")) is None
    assert worst(results, "fuse-above-ampacity") is Severity.CAUTION
    assert worst(computed(merge_patch(feed(insulation="50 degC"), fuse(rating="250 A"))), "fuse-above-ampacity") is (
        Severity.STOP
    )


@pytest.mark.analytic
@pytest.mark.parametrize(("insulation", "air"), [(75, 75), (105, 105), (105, 130), (60, 90)])
def test_air_as_hot_as_the_insulation_allows_nothing(insulation: int, air: int) -> None:
    """Air at or above the insulation's rating: no current, so load and fuse are both a stop."""
    patch = feed(insulation=f"{insulation} degC", ambient=f"{air} degC")
    assert allowed(patch) == 0.0
    results = computed(patch)
    assert worst(results, "conductor-overloaded") is Severity.STOP
    assert worst(results, "fuse-above-ampacity") is Severity.STOP


@pytest.mark.published
def test_hot_insulation_is_no_crash() -> None:
    """Insulation rated 150, 200 or more is thermoset: the adiabatic limit ends at 250 degC (BS 7671 Table 43.1)."""
    points = {"135 A": "1800 s", "200 A": "100 s", "600 A": "1 s"}
    for insulation in (125, 150, 200, 300):
        results = computed(merge_patch(feed(insulation=f"{insulation} degC"), fuse(opens_within=points)))
        curve = results.protection.curves[0]
        assert all(t > 0.0 for _, t in curve.damage)
        ends = "160" if insulation <= 125 else "250"
        assert results.protection.fuses[0].survives.words.endswith(f"{ends} °C")


@pytest.mark.published
def test_clad_and_plain_aluminium_carry_less() -> None:
    """ASTM B566 classes and 61 % IACS: sqrt of the conductivity, 0.79, 0.80 and 0.78 of copper."""
    copper = allowed(feed(ambient="30 degC"))
    assert copper is not None
    for material, factor in (("cca_10", 0.790), ("cca_15", 0.800), ("aluminium", 0.778)):
        assert allowed(feed(material=material, ambient="30 degC")) == pytest.approx(factor * copper, rel=5e-3)


@pytest.mark.published
@pytest.mark.parametrize(
    ("bundled", "factor"), [(1, 1.0), (2, 1.0), (3, 0.7), (4, 0.6), (7, 0.5), (24, 0.45), (41, 0.35)]
)
def test_bundles(bundled: int, factor: float) -> None:
    """The lower of NEC 310.15(B)(3)(a) and 33 CFR 183.425 note 2 (not checked), by loaded conductors together."""
    alone = allowed(feed(ambient="30 degC"))
    assert alone is not None
    assert allowed(feed(ambient="30 degC", bundled=bundled)) == pytest.approx(factor * alone)


@pytest.mark.analytic
def test_a_stated_bundle_weighs_what_silence_does() -> None:
    """Three runs side by side touch, stated or not; stated apart they are alone."""
    silent = allowed(feed(ambient="30 degC", runs=3))
    assert allowed(feed(ambient="30 degC", runs=3, bundled=3)) == silent
    alone = allowed(feed(ambient="30 degC"))
    assert alone is not None
    assert allowed(feed(ambient="30 degC", runs=3, bundled=1)) == pytest.approx(alone)


@pytest.mark.published
def test_parallel_runs_each_fused_or_shared() -> None:
    """BS 7671 433.1.1 by run: 150 A suits 25 mm2 nowhere; a shared 250 A fuse is judged against one run, not two."""
    each = computed(merge_patch(feed(runs=2), fuse(rating="125 A")))
    assert worst(each, "fuse-above-ampacity") is None
    shared = computed(merge_patch(feed(runs=2), fuse(rating="250 A", shared=True)))
    assert worst(shared, "fuse-above-ampacity") is Severity.STOP
    assert next(r.rms for r in each.schedule if r.id == "feed") < 40.0  # half of 58 A


@pytest.mark.published
def test_three_runs_need_fuses_at_both_ends() -> None:
    """IEC 60364-4-43 434.4 (not checked): three runs fused at one end feed a fault in one of them backwards."""
    assert worst(computed(feed(runs=3)), "parallel-runs-fused-at-one-end") is Severity.CAUTION
    assert worst(computed(feed(runs=2)), "parallel-runs-fused-at-one-end") is None


@pytest.mark.parametrize(
    ("patch", "code"),
    [
        (feed(length="0 m"), "out-of-range"),
        (fuse(distance="6 m"), "fuse-beyond-cable"),
        (
            {
                "cables": {
                    "back": {
                        "role": "return",
                        "from": "boot",
                        "to": "bay",
                        "size": "25 mm2",
                        "length": "5 m",
                        "fuses": {"pole": {"near": "bay", "style": "bolt_in", "rating": "60 A"}},
                    }
                }
            },
            "fuse-in-return",
        ),
    ],
)
def test_what_cannot_be_is_refused(patch: dict[str, Any], code: str) -> None:
    """No length, a fuse beyond its cable, a fuse in the second pole (it would leave the feed live): refused."""
    with pytest.raises(BuildFileError) as caught:
        build_of(patch)
    assert code in {d.code for d in caught.value.diagnostics}


@pytest.mark.analytic
def test_a_centimetre_of_cable() -> None:
    """A nearly zero-length cable computes; its end sees nearly the fault of the source, less its joints and fuse."""
    results = computed(feed(length="1 cm", fuses={"front": {"distance": "5 mm"}}))
    bay, boot = (next(p for p in results.protection.places if p.location == place) for place in ("bay", "boot"))
    assert 0.4 * bay.most < boot.most < bay.most


@pytest.mark.published
def test_a_fuse_at_the_wrong_end_protects_nothing() -> None:
    """33 CFR 183.455, at the source of power: the fuse at the far end leaves the whole cable to the battery."""
    results = computed(fuse(near="boot"))
    told = found(results, "conductor-unprotected")
    assert [f.severity for f in told] == [Severity.STOP]
    assert "bay" in told[0].headline
    remedy = next(r for r in results.protection.remedies if r.cable == "feed")
    assert remedy.patch is not None
    again = computed(merge_patch(fuse(near="boot"), dict(remedy.patch)))
    assert found(again, "conductor-unprotected") == []


REAR = {"batteries": {"rear": {"at": "boot", "chemistry": "agm", "capacity": "80 Ah"}}}


@pytest.mark.published
def test_both_ends_between_two_sources() -> None:
    """33 CFR 183.455 for each source: a fuse at one end only leaves the other end to the rear battery."""
    told = found(computed(REAR), "conductor-unprotected")
    assert [f.severity for f in told] == [Severity.STOP]
    assert "rear can feed it at boot" in told[0].headline
    second = {
        "near": "boot",
        "distance": "150 mm",
        "style": "bolt_in",
        "rating": "100 A",
        "breaking_capacity": "20 kA",
    }
    both = computed(merge_patch(REAR, feed(fuses={"rear": second})))
    assert found(both, "conductor-unprotected") == []
    assert {e.answer.verdict for e in both.protection.ends} == {"yes"}


@pytest.mark.published
def test_sources_at_three_places() -> None:
    """Three batteries in a row: every unfused end is named, and the middle sees the sum of all three."""
    patch = merge_patch(
        REAR,
        {
            "locations": {"shelf": {}},
            "batteries": {"third": {"at": "shelf", "chemistry": "agm", "capacity": "60 Ah"}},
            "cables": {
                "link": {"role": "feed", "from": "boot", "to": "shelf", "size": "35 mm2", "length": "2 m"},
                "back": {"role": "return", "from": "shelf", "to": "boot", "size": "35 mm2", "length": "2 m"},
            },
        },
    )
    results = computed(patch)
    assert {f.headline.split(",")[0] for f in found(results, "conductor-unprotected")} == {
        "feed: rear and third can feed it at boot",
        "link: rear can feed it at boot",
        "link: third can feed it at shelf",
    }
    boot = next(p for p in results.protection.places if p.location == "boot")
    assert {s.title for s in boot.shares} == {"starter", "rear", "third"}
    assert sum(s.amperes for s in boot.shares) == pytest.approx(boot.most, rel=1e-3)


@pytest.mark.analytic
def test_an_alternator_adds_its_whole_output_at_its_own_place() -> None:
    """A source of current into a bolted fault where it stands: all of its 120 A, in the largest and the likely set."""
    supply = {"kind": "alternator", "at": "bay", "rated_current": "120 A", "charging_voltage": "14.4 V"}
    place = next(p for p in computed({"supplies": {"a": supply}}).protection.places if p.location == "bay")
    assert next(s.amperes for s in place.shares if s.title == "a") == pytest.approx(120.0, rel=0.02)


@pytest.mark.analytic
def test_a_bank_of_very_low_resistance() -> None:
    """14.4 V over a bank of a fifth of a milliohm is 70 kA and more: no class of fuse surely breaks that.

    With 50 kA of class J (not checked against the document) 14.4 V need 0.29 milliohm in all: some 0.1 more.
    """
    bank = {"at": "boot", "series": 6, "cell": {"capacitance": "3000 F", "esr": "0.01 mohm", "rated_voltage": "2.7 V"}}
    results = computed({"capacitor_banks": {"bank": bank}})
    remedy = next(r for r in results.protection.remedies if r.cable == "feed")
    assert remedy.patch is None
    more = re.search(r"below 50 kA: ([\d.]+) mΩ more", remedy.words)
    assert more is not None
    assert 0.05 < float(more[1]) < 0.29
    boot = next(p for p in results.protection.places if p.location == "boot")
    assert boot.least is not None
    assert boot.least < 1000.0  # the bank may be empty: it counts for breaking, not for clearing


@pytest.mark.published
def test_a_thin_branch_is_judged_by_what_the_main_lets_through() -> None:
    """46 CFR 111.50-5(a)(3): no fuse of its own while the main protects it; above that a caution, from 150 % a stop."""

    def branch(size: str, rating: str) -> Severity | None:
        patch = {
            "locations": {"rack": {}},
            "amplifiers": {"amp": {"at": "rack"}},
            "cables": {
                "feed": {"fuses": {"front": {"rating": rating}}},
                "branch": {
                    "role": "feed",
                    "from": "boot",
                    "to": "rack",
                    "size": size,
                    "insulation": "105 degC",
                    "length": "1 m",
                },
                "back": {"role": "return", "chassis": True, "from": "rack", "to": "boot"},
            },
        }
        results = computed(patch)
        return max(
            (f.severity for f in found(results, "conductor-unprotected") if f.path == "cables.branch"), default=None
        )

    assert branch("16 mm2", "100 A") is None
    assert branch("10 mm2", "100 A") is Severity.CAUTION
    assert branch("4 mm2", "100 A") is Severity.STOP


@pytest.mark.practice
def test_a_thin_conductor_behind_a_slow_fuse() -> None:
    """Shell model and recalled bands: from 12 AWG up a fuse within its ampacity saves it at a bolted fault, below not.

    So below it a slow fuse is a caution until its data sheet says how fast it is; a small blade is quick.
    """
    small: dict[str, Any] = {"amplifiers": {"amp": {"rated": {"2 ohm": "40 W"}}}}

    def judged(size: str, **fields: Any) -> bool:
        patch = merge_patch(small, feed(size=size, length="1 m", fuses={"front": {"rating": "10 A", **fields}}))
        check = computed(patch).protection.fuses[0]
        assert check.least is not None
        assert check.least > 6.0 * check.rating
        return bool(found(computed(patch), "clearing-not-judged"))

    assert judged("16 AWG", style="bolt_in")
    assert not judged("16 AWG", style="blade", breaking_capacity="2 kA")
    assert not judged("12 AWG", style="bolt_in")


@pytest.mark.published
def test_the_strap_of_an_alternator_carries_its_output() -> None:
    """33 CFR 183.460 (not checked) for the way back: a 10 mm2 strap behind 250 A is a caution, 120 mm2 is not."""
    patch: dict[str, Any] = {
        "locations": {"block": {"ambient": "50 degC"}},
        "supplies": {"big": {"kind": "alternator", "at": "block", "rated_current": "250 A"}},
        "cables": {
            "lead": {"role": "feed", "from": "block", "to": "bay", "size": "120 mm2", "insulation": "105 degC",
                     "length": "1 m"},
            "strap": {"role": "return", "from": "block", "to": "bay", "size": "10 mm2", "insulation": "105 degC",
                      "length": "0.5 m"},
        },
    }  # fmt: skip
    told = [f for f in found(computed(patch), "alternator-lead-below-output") if f.path == "cables.strap"]
    assert [f.severity for f in told] == [Severity.CAUTION]
    assert "250 A" in told[0].headline
    patch["cables"]["strap"]["size"] = "120 mm2"
    assert [f for f in found(computed(patch), "alternator-lead-below-output") if f.path == "cables.strap"] == []


@pytest.mark.published
def test_none_is_said_where_it_is_true() -> None:
    """A feed along an exhaust, 130 degC of air: no insulation on sale here carries anything: relocate it."""
    results = computed(feed(ambient="130 degC"))
    remedy = next(r for r in results.protection.remedies if r.cable == "feed")
    assert remedy.patch is None
    assert remedy.drop_after is None
    assert remedy.words.startswith("none by more copper in 130 °C air: reroute it")
    assert all("reroute it" in f.fix for f in found(results, "fuse-above-ampacity"))


@pytest.mark.practice
def test_a_remedy_asks_for_what_a_collapse_has_hidden() -> None:
    """An amplifier starved by half a square millimetre draws nothing: the remedy still carries what it asks for."""
    starved = feed(size="0.5 mm2")
    remedy = next(r for r in computed(starved).protection.remedies if r.cable == "feed")
    assert remedy.patch is not None
    after = computed(merge_patch(starved, dict(remedy.patch)))
    assert found(after, "fuse-below-load") == []
    assert found(after, "conductor-overloaded") == []
    assert after.load_cases[0].amplifiers[0].outcome.sentence.startswith("plays on")


@pytest.mark.published
def test_a_return_grows_with_its_feed() -> None:
    """In a fault both carry the same current: a thicker feed with a larger fuse takes its own return along."""
    tree = merge_patch(
        BASE,
        {
            "cables": {
                "feed": {
                    "size": "10 mm2",
                    "insulation": "75 degC",
                    "length": "3 m",
                    "fuses": {"front": {"rating": "40 A"}},
                },
                "body": None,
                "back": {
                    "role": "return",
                    "from": "boot",
                    "to": "bay",
                    "size": "10 mm2",
                    "insulation": "75 degC",
                    "length": "3 m",
                },
            }
        },
    )
    results = computed({}, tree)
    assert found(results, "fuse-below-load")
    remedy = next(r for r in results.protection.remedies if r.cable == "feed")
    assert remedy.patch is not None
    assert set(remedy.patch["cables"]) == {"feed", "back"}
    after = computed(dict(remedy.patch), tree)
    assert found(after, "fuse-below-load") == []
    assert found(after, "return-below-fuse") == []
