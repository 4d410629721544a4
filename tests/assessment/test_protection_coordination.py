"""The questions to a fuse: unknown is a caution, known and exceeded a stop; recalled bands judge nothing."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import computed, found

from dossier.assessment.conductors.schedule import needed_rating
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.diagnostic import Severity
from dossier.results.protection import FuseCheck

FAST = {"135 A": "100 s", "200 A": "1 s", "600 A": "0.1 s"}


def check_of(**fuse: object) -> FuseCheck:
    """The check of the front fuse with other fields."""
    return computed({"cables": {"feed": {"fuses": {"front": fuse}}}}).protection.fuses[0]


def severity(patch: dict[str, Any], code: str) -> Severity | None:
    """Worst severity of a code."""
    return max((f.severity for f in found(computed(patch), code)), default=None)


def fused(**fuse: object) -> dict[str, Any]:
    """A patch of the front fuse."""
    return {"cables": {"feed": {"fuses": {"front": fuse}}}}


@pytest.mark.published
def test_breaking_capacity() -> None:
    """BS 7671 434.5.1: enough is silent, not stated a caution, below the largest current a stop."""
    assert severity(fused(breaking_capacity="20 kA"), "breaking-capacity-below-fault") is None
    assert severity(fused(breaking_capacity=None), "breaking-capacity-not-stated") is Severity.CAUTION
    fault = check_of()
    between = f"{(fault.likely + fault.most) / 2000:.2f} kA"
    assert severity(fused(breaking_capacity=between), "breaking-capacity-below-fault") is Severity.STOP
    assert severity(fused(breaking_capacity="1 kA"), "breaking-capacity-below-fault") is Severity.STOP


@pytest.mark.published
def test_rating_against_the_conductor() -> None:
    """BS 7671 433.1.1 and the 150 % of 33 CFR 183.455: up to the allowed current fine, to 150 % a caution.

    Above a stop.
    """
    allowed = check_of().allowed
    assert severity(fused(rating=f"{allowed * 0.99:.1f} A"), "fuse-above-ampacity") is None
    assert severity(fused(rating=f"{allowed * 1.2:.1f} A"), "fuse-above-ampacity") is Severity.CAUTION
    assert severity(fused(rating=f"{allowed * 1.6:.1f} A"), "fuse-above-ampacity") is Severity.STOP


@pytest.mark.practice
def test_assumed_insulation_is_a_caution() -> None:
    """Insulation that is not stated: what a 105 degC cable would carry is a caution, and says what is assumed."""
    results = computed({"cables": {"feed": {"insulation": None, "ambient": "65 degC"}}})
    told = found(results, "fuse-above-ampacity")
    assert [f.severity for f in told] == [Severity.CAUTION]
    assert "on what is assumed" in told[0].headline
    hot = computed({"locations": {"bay": {"ambient": "70 degC"}}, "cables": {"feed": {"insulation": None}}})
    assert all(f.severity is Severity.CAUTION for f in found(hot, "insulation-not-stated"))
    assert any("assuming 60 °C insulation" in f.headline for f in found(hot, "insulation-not-stated"))


@pytest.mark.published
@pytest.mark.parametrize(
    ("rule", "millimetres", "expected"),
    [
        (None, 177, None),
        (None, 300, Severity.CAUTION),
        (None, 500, Severity.STOP),
        ("cfr_183_455", 300, Severity.STOP),
        ("iso_10133", 200, None),
        ("iso_10133", 201, Severity.STOP),
        ("iso_13590", 181, Severity.STOP),
        ("common_practice", 457, None),
        ("common_practice", 470, Severity.STOP),
    ],
)
def test_distance_rules(rule: str | None, millimetres: int, expected: Severity | None) -> None:
    """7 in of 33 CFR 183.455, 200 mm of ISO 10133, 180 mm of ISO 13590, 18 in of the trade; the build file chooses."""
    patch = fused(distance=f"{millimetres} mm")
    if rule:
        patch["limits"] = {"fuse_distance": rule}
    assert severity(patch, "fuse-far-from-source") is expected


@pytest.mark.published
def test_a_sheath_allows_forty_inches() -> None:
    """33 CFR 183.455: 40 in (1016 mm) in a sheath."""
    for millimetres, expected in ((1015, None), (1030, Severity.STOP)):
        patch = {"cables": {"feed": {"sheathed": True, "fuses": {"front": {"distance": f"{millimetres} mm"}}}}}
        assert severity(patch, "fuse-far-from-source") is expected


def test_recalled_bands_judge_nothing() -> None:
    """Without points of the data sheet clearing and survival are not judged, and never a stop."""
    check = check_of()
    assert check.clears.verdict == "not judged"
    assert check.survives.verdict == "not judged"
    for code in ("clearing-not-judged", "conductor-burns-before-fuse"):
        assert all(f.severity <= Severity.CAUTION for f in found(computed(fused(rating="300 A")), code))


@pytest.mark.analytic
def test_points_of_the_data_sheet_judge() -> None:
    """With points: the smallest fault clears at the last point's I²t.

    A slow curve fails five seconds but may survive.
    """
    fast = check_of(opens_within=FAST)
    assert fast.least is not None
    assert fast.clears.verdict == "yes"
    assert fast.survives.verdict == "yes"
    slow = check_of(opens_within={"135 A": "1800 s", "1000 A": "20 s"})
    assert slow.clears.verdict == "no"


@pytest.mark.published
def test_a_slow_fuse_burns_a_thin_conductor() -> None:
    """(k S)²/I² of IEC 60364-5-54: 2.5 mm² cannot stand a 300 A fuse that takes two seconds."""
    results = computed(
        {
            "cables": {
                "feed": {
                    "size": "2.5 mm2",
                    "length": "1 m",
                    "fuses": {"front": {"rating": "300 A", "opens_within": {"400 A": "100 s", "1000 A": "2 s"}}},
                }
            }
        }
    )
    assert [f.severity for f in found(results, "conductor-burns-before-fuse")] == [Severity.STOP]


@pytest.mark.published
def test_a_source_that_limits_itself() -> None:
    """33 CFR 183.460 (not checked): an alternator needs no fuse where its lead carries its output, else a caution."""
    patch: dict[str, Any] = {
        "locations": {"engine": {"ambient": "50 degC"}},
        "supplies": {"alternator": {"kind": "alternator", "at": "engine", "rated_current": "120 A"}},
        "cables": {
            "lead": {
                "role": "feed",
                "from": "engine",
                "to": "bay",
                "size": "50 mm2",
                "insulation": "105 degC",
                "length": "1 m",
                "fuses": {
                    "link": {
                        "near": "bay",
                        "distance": "100 mm",
                        "style": "bolt_in",
                        "rating": "175 A",
                        "breaking_capacity": "20 kA",
                    }
                },
            },
            "strap": {
                "role": "return",
                "from": "engine",
                "to": "bay",
                "size": "50 mm2",
                "insulation": "105 degC",
                "length": "1 m",
            },
        },
    }
    assert severity(patch, "conductor-unprotected") is None
    assert severity(patch, "alternator-lead-below-output") is None
    patch["cables"]["lead"]["size"] = "16 mm2"
    assert severity(patch, "alternator-lead-below-output") is Severity.CAUTION
    patch["cables"]["lead"]["fuses"]["link"]["rating"] = "100 A"
    assert severity(patch, "alternator-fuse-below-output") is Severity.CAUTION


def test_one_finding_for_one_end() -> None:
    """Two batteries at one end make one finding that names both."""
    results = computed(
        {
            "batteries": {"second": {"at": "bay", "chemistry": "agm", "capacity": "60 Ah"}},
            "cables": {"feed": {"fuses": None}},
        }
    )
    told = found(results, "conductor-unprotected")
    assert len(told) == 1
    assert "starter" in told[0].headline
    assert "second" in told[0].headline


@pytest.mark.practice
def test_a_note_is_not_a_lasting_load() -> None:
    """A fuse carries one note at its whole rating; music for ever at 75 % of it."""

    def current(*, goes_on: bool) -> ConductorCurrent:
        return ConductorCurrent("case", 60.0, 60.0, 60.0, 20.0, goes_on=goes_on)

    assert needed_rating([current(goes_on=True)], 1.0, 25.0) == pytest.approx(80.0)
    assert needed_rating([current(goes_on=False)], 1.0, 25.0) == pytest.approx(60.0)
    assert needed_rating([current(goes_on=False)], 0.5, 65.0) == pytest.approx(30.0 / 0.8)


def test_selectivity_is_never_promised_from_memory() -> None:
    """A main and a branch without data-sheet points: likely or unlikely.

    And the words say that nothing is guaranteed.
    """
    patch: dict[str, Any] = {
        "locations": {"rack": {}},
        "amplifiers": {"amp": {"at": "rack"}},
        "cables": {
            "branch": {
                "role": "feed",
                "from": "boot",
                "to": "rack",
                "size": "10 mm2",
                "insulation": "105 degC",
                "length": "1 m",
                "fuses": {"own": {"near": "boot", "distance": "100 mm", "style": "blade", "rating": "60 A"}},
            },
            "back": {
                "role": "return",
                "from": "rack",
                "to": "boot",
                "size": "10 mm2",
                "insulation": "105 degC",
                "length": "1 m",
            },
        },
    }
    pairs = computed(patch).protection.selectivity
    assert len(pairs) == 1
    assert pairs[0].answer.verdict == "not judged"
    assert "not guaranteed" in pairs[0].answer.words


@pytest.mark.published
@pytest.mark.parametrize(
    ("cranking", "main", "branch"),
    [(650, 1500.0, 750.0), (651, 3000.0, 1500.0), (1100, 3000.0, 1500.0), (1101, 5000.0, 2500.0)],
)
def test_breaking_capacity_by_the_size_of_the_bank(cranking: int, main: float, branch: float) -> None:
    """ABYC E-11 Table V-A: 1500/750 A to 650, 3000/1500 to 1100, 5000/2500 A above; main at a battery, else branch."""
    patch: dict[str, Any] = {
        "batteries": {
            "starter": {
                "cold_cranking": {"current": f"{cranking} A", "standard": "sae"},
                "internal_resistance": "60 mohm",
            }
        },
        "cables": {"feed": {"fuses": {"far": {"near": "boot", "style": "bolt_in", "rating": "100 A"}}}},
    }
    results = computed(patch)
    place = next(p for p in results.protection.places if p.location == "bay")
    assert (place.cranking, place.table_main, place.table_branch) == (cranking, main, branch)
    asked = {check.near: check.table_breaking for check in results.protection.fuses}
    assert asked == {"bay": main, "boot": branch}


@pytest.mark.published
def test_the_table_beside_the_computed_current() -> None:
    """ABYC E-11 Table V-A asks more than a weak battery gives: a caution; a strong one decides by what is computed."""
    weak = {"batteries": {"starter": {"internal_resistance": "60 mohm"}}}  # 70 Ah: 910 A at most, the second row
    results = computed({**weak, **fused(breaking_capacity="2 kA")})
    check = results.protection.fuses[0]
    assert check.most < 2000.0 < 3000.0 == check.table_breaking
    told = found(results, "breaking-capacity-below-fault")
    assert [f.severity for f in told] == [Severity.CAUTION]
    assert "Table V-A asks for 3 kA" in told[0].headline
    assert found(computed({**weak, **fused(breaking_capacity="3 kA")}), "breaking-capacity-below-fault") == []
    strong = computed(fused(breaking_capacity="4 kA")).protection.fuses[0]
    assert strong.table_breaking == 3000.0
    assert strong.interrupts.verdict == "no"  # exceeded at the upper end of the computed current
    assert "Table" not in strong.interrupts.words


@pytest.mark.practice
def test_lithium_counts_as_the_largest_bank() -> None:
    """A lithium battery has no cold-cranking rating and gives more: the open last row of the table."""
    results = computed({"batteries": {"rear": {"at": "boot", "chemistry": "lifepo4", "capacity": "20 Ah"}}})
    assert {p.table_main for p in results.protection.places} == {5000.0}


def branched(main: dict[str, Any], own: dict[str, Any]) -> dict[str, Any]:
    """A patch with a branch of 10 mm2 behind the feed, and data-sheet points for both fuses."""
    cable = {"size": "10 mm2", "insulation": "105 degC", "length": "1 m"}
    fuse = {
        "near": "boot",
        "distance": "100 mm",
        "style": "cartridge",
        "rating": "60 A",
        "breaking_capacity": "5 kA",
        **own,
    }
    return {
        "locations": {"rack": {}},
        "amplifiers": {"amp": {"at": "rack"}},
        "cables": {
            "feed": {"fuses": {"front": main}},
            "branch": {"role": "feed", "from": "boot", "to": "rack", **cable, "fuses": {"own": fuse}},
            "back": {"role": "return", "from": "rack", "to": "boot", **cable},
        },
    }


@pytest.mark.analytic
def test_selectivity_by_both_data_sheets() -> None:
    """Yes if the main holds longer than the branch takes at every current, no with the current where it may not.

    Below the points of the branch, which is not known to open there, a main that may open is no as well.
    """
    quick = {"opens_within": {"81 A": "600 s", "120 A": "5 s", "360 A": "0.1 s"}}
    good = computed(branched({"holds_for": {"135 A": "1000 s", "200 A": "30 s", "600 A": "1 s"}}, quick))
    assert [p.answer.verdict for p in good.protection.selectivity] == ["yes"]
    assert found(good, "main-opens-before-branch") == []
    bad = computed(branched({"holds_for": {"110 A": "2 s", "300 A": "0.05 s"}}, quick))
    assert [p.answer.verdict for p in bad.protection.selectivity] == ["no"]
    assert [f.severity for f in found(bad, "main-opens-before-branch")] == [Severity.CAUTION]
    late = computed(branched({"holds_for": {"100 A": "50 s", "600 A": "1 s"}}, {"opens_within": {"150 A": "0.1 s"}}))
    assert [p.answer.verdict for p in late.protection.selectivity] == ["no"]


@pytest.mark.published
def test_both_distances_are_said() -> None:
    """33 CFR 183.455 beside the trade: the finding names both lengths, whatever rule the build file chooses."""
    for rule, length in ((None, "177 mm"), ("iso_10133", "200 mm"), ("iso_13590", "180 mm")):
        patch = fused(distance="600 mm")
        if rule:
            patch["limits"] = {"fuse_distance": rule}
        told = found(computed(patch), "fuse-far-from-source")[0]
        assert length in told.headline
        assert "trade: 457 mm" in told.headline
        assert told.severity is Severity.STOP


@pytest.mark.published
def test_the_dangerous_zone_is_said() -> None:
    """BS 7671 433.1.1: where the rating exceeds the ampacity the finding names 1.1 Iz to 2.5 In in amperes."""
    check = check_of(rating="200 A")
    told = found(computed(fused(rating="200 A")), "fuse-above-ampacity")[0]
    assert f"from {int(1.1 * check.allowed)} to 500 A no fuse opens in time" in told.headline
    assert "between 1.1 and 2.5 times" in told.consequence
    assert "a bolted fault is not the danger" in told.consequence


@pytest.mark.analytic
def test_the_body_lowers_the_smallest_fault() -> None:
    """A body return with more resistance lets less current flow in the smallest fault: E over the whole loop."""
    values = [
        computed({"cables": {"body": {"resistance": f"{milli} mohm"}}}).protection.fuses[0].least
        for milli in (0.5, 5, 20)
    ]
    assert all(v is not None for v in values)
    few, some, many = (v or 0.0 for v in values)
    assert few > some > many
    # 1/I grows by the resistance over E, that of the body 20 % above what is stated
    emf = 1.2 * 15e-3 / (1.0 / many - 1.0 / some)
    assert 1.2 * 4.5e-3 / (1.0 / some - 1.0 / few) == pytest.approx(emf, rel=1e-3)
    assert 11.5 < emf < 13.0


@pytest.mark.practice
def test_a_fuse_must_carry_what_a_collapse_hides() -> None:
    """Half an ampere before 500 W: next to nothing flows, but the fuse is judged by what is asked."""
    results = computed(fused(rating="0.5 A"))
    assert results.load_cases[0].amplifiers[0].outcome.is_collapse
    told = found(results, "fuse-below-load")
    assert [f.severity for f in told] == [Severity.CAUTION]
    assert results.protection.fuses[0].needed > 50.0


@pytest.mark.practice
def test_an_unread_jacket_is_to_be_read_not_guessed() -> None:
    """Where the insulation is not stated the cure asks to read the jacket: no rating is put into anyone's hand."""
    unread = found(computed({"cables": {"feed": {"insulation": None, "ambient": "65 degC"}}}), "insulation-not-stated")
    assert unread
    assert all("state only what is printed" in finding.fix for finding in unread)
