"""What to buy for a sum: against every combination worked out as a build of its own, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from typing import Any

import pytest
from small_builds import build_of

from dossier.assessment.assess import assess, assess_nominal
from dossier.assessment.options.combinations import best_of, fitting
from dossier.buildfile.budget import with_budget
from dossier.buildfile.model import Build
from dossier.buildfile.options import merge_patch
from dossier.buildfile.source import BuildFileError
from dossier.results.options import Combination, WithinBudget

FEED = {"cables": {"feed": {"size": "70 mm2"}}}
OPTIONS: dict[str, dict[str, Any]] = {
    "feed": {"title": "Feed", "cost": "120 EUR", "changes": FEED},
    "battery": {
        "title": "Battery",
        "cost": "300 EUR",
        "changes": {"batteries": {"starter": {"internal_resistance": "3 mohm"}}},
    },
    "better": {
        "title": "Better battery",
        "cost": "350 EUR",
        "changes": {"batteries": {"starter": {"internal_resistance": "2.5 mohm"}}},
    },
    "gift": {"title": "Gift", "cost": "0 EUR", "changes": {"cables": {"feed": {"length": "4.5 m"}}}},
    "unpriced": {"title": "Unpriced", "changes": {"cables": {"feed": {"length": "4 m"}}}},
}


def with_options(budget: str, options: dict[str, dict[str, Any]] | None = None, limit: str = "11.9 V") -> Build:
    """The small build with options and a budget."""
    limits = {"amplifier": {"mean": limit}}
    return build_of({"options": options or OPTIONS, "budget": budget, "limits": limits})


@cache
def bought(budget: str) -> WithinBudget:
    """What is bought for a sum."""
    found = assess(with_options(budget), unasked=False).options
    assert found is not None
    assert found.within_budget is not None
    return found.within_budget


@pytest.mark.long
@pytest.mark.independent
def test_it_is_the_best_of_all_combinations_by_brute_force() -> None:
    """Every subset patched by hand and computed alone: same margins, and none that fits does better than the best."""
    found = bought("450 EUR")
    priced = {id_: o for id_, o in OPTIONS.items() if "cost" in o}
    margins = {}
    for ids in (c for size in range(len(priced) + 1) for c in combinations(priced, size)):
        cost = sum(int(priced[id_]["cost"].split()[0]) for id_ in ids)
        if cost > 450 or {"battery", "better"} <= set(ids):
            continue
        patch: dict[str, Any] = {}
        for id_ in ids:
            patch = merge_patch(patch, priced[id_]["changes"])
        low = assess_nominal(build_of(patch)).load_cases[0].amplifiers[0].mean_minimum.volts
        assert low is not None
        margins[ids] = low - 11.9
    assert {c.options: c.margin for c in found.combinations} == pytest.approx(margins)
    assert (found.fit, found.played) == (len(margins), len(margins))
    assert margins[found.best] > max(margins.values()) - 0.05 or margins[found.best] >= 0.0


def test_what_contradicts_each_other_or_has_no_price_is_named_and_left_out() -> None:
    """Two values for one resistance are found from the changes; nothing is left out silently."""
    words = " ".join(bought("450 EUR").words)
    assert "“Battery” and “Better battery” change the same thing in different ways." in words
    assert "“Unpriced” is left out: its cost is not stated." in words


@pytest.mark.long
def test_nothing_is_an_answer_and_what_is_free_fits_into_it() -> None:
    """0 EUR buys the gift or nothing."""
    found = bought("0 EUR")
    assert {c.options for c in found.combinations} == {(), ("gift",)}
    assert found.words[0].startswith("For 0 EUR ")


def test_needs_and_excludes_are_kept_to() -> None:
    """The battery only with the feed, and never with the gift."""
    options = merge_patch(OPTIONS, {"battery": {"needs": ["feed"], "excludes": ["gift"]}})
    build = with_options("2000 EUR", options)
    assert build.budget is not None
    fit = fitting(build, build.budget).fit
    assert ("feed", "battery") in fit
    assert all("feed" in ids and "gift" not in ids for ids in fit if "battery" in ids)


def made(ids: str, cost: float, kept: int, margin: float, *, stops: bool = False) -> Combination:
    """A combination by its figures."""
    return Combination(tuple(ids), ids, cost, kept, margin, stops=("stop: it burns",) if stops else ())


def test_what_brings_a_stop_is_never_the_best() -> None:
    """However much it holds; and once every limit is kept the cheapest is bought, else the one that keeps most."""
    found = [made("", 0, 0, -1.0), made("a", 100, 1, -0.5), made("b", 200, 2, 0.1), made("c", 300, 2, 0.9)]
    assert best_of(found, limited=True).options == ("b",)
    assert (
        best_of([replace(c, stops=("stop: x",)) if c.options == ("b",) else c for c in found], limited=True).cost == 300
    )
    assert best_of([*found[:2], made("c", 300, 2, 0.9, stops=True)], limited=True).options == ("a",)
    assert best_of([made("", 0, 1, 11.0), made("a", 50, 1, 11.03)], limited=False).options == ()


@pytest.mark.parametrize(
    ("patch", "budget", "said"),
    [
        ({}, "900 USD", "the budget is in USD, the cost of `feed` (120 EUR)"),
        ({"feed": {"needs": ["gift"], "excludes": ["gift"]}}, "900 EUR", "needs `gift` and excludes it"),
        ({"feed": {"needs": ["feed"]}}, "900 EUR", "needs itself"),
        ({"feed": {"needs": ["feeds"]}}, "900 EUR", "`feeds`, which does not exist"),
        ({f"more_{k}": OPTIONS["gift"] for k in range(9)}, "900 EUR", "14 options are written"),
    ],
)
def test_what_cannot_be_compared_is_refused_at_its_line(patch: dict[str, Any], budget: str, said: str) -> None:
    """Another currency, contradictions, an unknown name, too many options."""
    with pytest.raises(BuildFileError) as why:
        with_options(budget, merge_patch(OPTIONS, patch))
    (problem,) = why.value.diagnostics
    assert said in problem.headline
    assert problem.where is not None
    assert problem.where.line > 1


@pytest.mark.parametrize("words", ["900", "lots", "-5 EUR", "900 USD"])
def test_a_budget_on_the_command_line_is_held_to_the_same(words: str) -> None:
    """No money, less than nothing, another currency."""
    with pytest.raises(BuildFileError):
        with_budget(with_options("100 EUR"), words)


@pytest.mark.long
def test_the_best_is_also_told_with_bands() -> None:
    """Of what is bought, and only of that, the share of the samples in which every limit is kept."""
    found = assess(with_options("450 EUR", limit="11.0 V"), bands=True, unasked=False).options
    assert found is not None
    assert found.within_budget is not None
    shares = {one.options: one.kept_share for one in found.within_budget.combinations if one.kept_share is not None}
    assert list(shares) == [found.within_budget.best]
    assert 0.5 < shares[found.within_budget.best] <= 1.0
    assert any("% of the samples" in words for words in found.within_budget.words)
