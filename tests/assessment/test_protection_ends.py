"""End protection, case by case against the rule, and what a small build makes of it."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import computed, found

from dossier.assessment.protection.end_protection import CASES, Exposure
from dossier.buildfile.options import merge_patch
from dossier.diagnostic import Severity
from dossier.equipment.feeding import Feeder
from dossier.results.protection import Reply

STORE = Feeder("batteries.a", "battery", "bay", None)
BEHIND_100 = Feeder("batteries.a", "battery", "bay", None, 100.0)
BEHIND_180 = Feeder("batteries.a", "battery", "bay", None, 180.0)
GIVES_120 = Feeder("supplies.a", "alternator", "engine", 120.0)
GIVES_80 = Feeder("supplies.b", "alternator", "engine", 80.0)


def judged(
    *feeders: Feeder, fused: bool = False, beside: float = 100.0, together: float = 0.0, stores: float = 0.0
) -> Any:
    """The case of a run that may carry 100 A, 150 A for short circuits."""
    exposed = Exposure(fused, False, feeders, 100.0, 100.0, beside, together, stores)
    case = next(case for case in CASES if case.holds(exposed))
    return case.verdict, case.limits_itself


@pytest.mark.published
def test_the_cases_against_the_rule() -> None:
    """33 CFR 183.455 (fuse at the source, 150 % for short circuits), 46 CFR 111.50-5(a)(3), 33 CFR 183.460."""
    assert judged(STORE, fused=True) == (Reply.YES, False)
    assert judged() == (Reply.YES, False)
    assert judged(STORE) == (Reply.NO, False)
    assert judged(BEHIND_180) == (Reply.NO, False)
    assert judged(Feeder("b", "b", "bay", None, 140.0)) == (Reply.MAYBE, False)
    assert judged(BEHIND_100, together=100.0, stores=100.0) == (Reply.YES, False)
    assert judged(BEHIND_100, BEHIND_100, together=200.0, stores=200.0) == (Reply.NO, False)
    assert judged(BEHIND_100, GIVES_80, together=180.0, stores=100.0) == (Reply.MAYBE, False)
    assert judged(GIVES_80) == (Reply.YES, False)
    assert judged(GIVES_120) == (Reply.MAYBE, True)
    assert judged(GIVES_80, GIVES_80) == (Reply.MAYBE, True)


@pytest.mark.practice
def test_leads_side_by_side_carry_what_limits_itself() -> None:
    """Two leads of 100 A carry 120 A; what one gets of it in a fault stays within 150 %."""
    assert judged(GIVES_120, beside=200.0) == (Reply.YES, False)
    assert judged(GIVES_120, beside=110.0) == (Reply.MAYBE, True)
    assert judged(Feeder("s", "s", "engine", 160.0), beside=200.0) == (Reply.MAYBE, True)
    assert judged(GIVES_120, STORE, beside=200.0, together=1e9, stores=1e9) == (Reply.NO, False)


def branched(main: str, own: str, **fuse: Any) -> dict[str, Any]:
    """A branch behind the feed, both with a fuse of a rating."""
    near = {"near": "boot", "distance": "100 mm", "style": "bolt_in", "rating": own, "breaking_capacity": "9 kA"} | fuse
    cable = {"size": "25 mm2", "insulation": "105 degC", "length": "1 m", "from": "boot", "to": "rack"}
    return {
        "locations": {"rack": {}},
        "amplifiers": {"amp": {"at": "rack"}},
        "cables": {
            "feed": {"fuses": {"front": {"rating": main}}},
            "branch": {"role": "feed", **cable, "fuses": {"own": near}},
            "branch_back": {"role": "return", **cable, "from": "rack", "to": "boot"},
        },
    }


@pytest.mark.analytic
def test_trunks_are_judged_by_their_part_of_the_fault() -> None:
    """Of a branch's fault trunks side by side carry what their lengths divide; two fuses in series carry all of it."""

    def ratios(trunk: dict[str, Any]) -> list[float]:
        patch = branched("100 A", "60 A")
        patch["cables"] |= trunk
        pairs = [p for p in computed(patch).protection.selectivity if p.branch.endswith(", own")]
        return sorted(round(p.ratio, 2) for p in pairs)

    fuse = {"near": "bay", "distance": "150 mm", "style": "bolt_in", "rating": "100 A", "breaking_capacity": "20 kA"}
    second = {"role": "feed", "from": "bay", "to": "boot", "size": "25 mm2", "insulation": "105 degC", "length": "5 m"}
    assert ratios({}) == [1.67]
    assert ratios({"second": {**second, "fuses": {"front": fuse}}}) == [3.33, 3.33]
    short, long = ratios({"second": {**second, "length": "1 m", "fuses": {"front": fuse}}})
    assert short < 2.4 < 5.0 < long  # 1 m of 6 takes more than two thirds
    assert 1.0 / short + 1.0 / long == pytest.approx(60.0 / 100.0, abs=0.01)
    rear = {**fuse, "near": "boot", "rating": "60 A"}
    series = branched("100 A", "60 A")
    series["cables"]["feed"]["fuses"]["rear"] = rear
    told = computed(series)
    equal = [p for p in told.protection.selectivity if p.ratio == pytest.approx(1.0, rel=1e-3)]
    assert [p.answer.verdict for p in equal] == [Reply.NO]
    assert found(told, "main-opens-before-branch")


@pytest.mark.analytic
def test_unequal_leads_divide_an_alternator_by_conductance() -> None:
    """Leads of 1 m and 3 m alike: by Ohm's law the short one carries more than twice the other, together the output."""
    fuse = {"near": "bay", "distance": "150 mm", "style": "bolt_in", "rating": "200 A", "breaking_capacity": "20 kA"}
    lead = {"role": "feed", "from": "engine", "to": "bay", "size": "25 mm2", "insulation": "105 degC"}
    patch = {
        "locations": {"engine": {"ambient": "90 degC"}},
        "supplies": {
            "alternator": {
                "kind": "alternator",
                "at": "engine",
                "output_at_shaft": {"1800 rpm": "100 A", "6000 rpm": "200 A"},
            }
        },
        "cables": {
            "short": {**lead, "length": "1 m", "fuses": {"link": fuse}},
            "long": {**lead, "length": "3 m", "fuses": {"link": fuse}},
            "strap": {**lead, "role": "return", "length": "1 m"},
        },
    }
    given = {c.cable: c.supply for c in computed(patch).protection.fuses}
    assert given["short"] + given["long"] == pytest.approx(200.0)
    assert 1.5 < given["short"] / given["long"] < 3.0


@pytest.mark.practice
@pytest.mark.parametrize("output", ["200 A", "280 A"])
def test_leads_straps_and_fuses_are_cured_together(output: str) -> None:
    """Two leads and a strap below an alternator's output: one cure names them all, entered it leaves nothing of it."""
    fuse = {"near": "bay", "distance": "150 mm", "style": "bolt_in", "rating": "100 A", "breaking_capacity": "20 kA"}
    lead = {"role": "feed", "from": "engine", "to": "bay", "size": "50 mm2", "insulation": "105 degC", "length": "1 m"}
    points = {"1800 rpm": "100 A", "6000 rpm": output}
    patch = {
        "locations": {"engine": {"ambient": "80 degC"}},
        "supplies": {"alternator": {"kind": "alternator", "at": "engine", "output_at_shaft": points}},
        "cables": {
            "one": {**lead, "fuses": {"link": fuse}},
            "two": {**lead, "fuses": {"link": fuse}},
            "strap": {**lead, "role": "return", "length": "0.5 m"},
        },
    }
    (remedy,) = computed(patch).protection.remedies
    assert remedy.patch is not None
    assert set(remedy.patch["cables"]) == {"one", "two", "strap"}
    cured = computed(merge_patch(patch, dict(remedy.patch)))
    assert not cured.protection.remedies


@pytest.mark.practice
def test_a_main_of_no_more_than_its_branch_is_not_selective() -> None:
    """Of one style at 1:1 or less the main opens first or with it, by no curve; above that a curve is asked for."""
    assert found(computed(branched("100 A", "150 A")), "main-opens-before-branch")
    assert found(computed(branched("100 A", "100 A")), "main-opens-before-branch")
    assert not found(computed(branched("100 A", "80 A")), "main-opens-before-branch")
    assert not found(computed(branched("100 A", "150 A", style="cartridge")), "main-opens-before-branch")


@pytest.mark.practice
def test_cures_name_the_holder_the_voltage_and_the_road() -> None:
    """A holder too small and a fuse for 12 V are replaced as they are printed; a cable at 120 degC is rerouted."""
    fuse = {"holder_rating": "60 A", "rated_voltage": "10 V"}
    results = computed({"cables": {"feed": {"fuses": {"front": fuse}}}})
    remedy = next(r for r in results.protection.remedies if r.cable == "feed")
    assert remedy.patch is not None
    cured = remedy.patch["cables"]["feed"]["fuses"]["front"]
    assert (cured["holder_rating"], cured["rated_voltage"]) == ("100 A", "32 V")
    assert "holder for 100 A" in remedy.words
    assert not found(computed(dict(remedy.patch)), "fuse-holder-exceeded")
    hot = computed({"cables": {"feed": {"ambient": "120 degC", "fuses": {"front": {"rating": "300 A"}}}}})
    told = found(hot, "fuse-above-ampacity")
    assert told[0].severity >= Severity.CAUTION
    assert "reroute" in told[0].fix
