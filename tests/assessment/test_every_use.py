"""Options in every load case: which keeps the limits, by what, and where the best one changes with the load."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from small_builds import build_of

from dossier.assessment.assess import assess, assess_nominal
from dossier.assessment.options.answers import answer, by_use
from dossier.assessment.options.uses import RISES, turns, uses_of
from dossier.assessment.sag.bands import Lows
from dossier.buildfile.model import Build
from dossier.buildfile.reader import option_build
from dossier.results.options import OptionComparison, OptionRow, Turn, Use
from dossier.results.sag import Kept

OPTIONS = {
    "lead": {"title": "Thicker lead", "cost": "90 EUR", "changes": {"cables": {"feed": {"size": "50 mm2"}}}},
    "battery": {
        "title": "Fresh battery",
        "cost": "210 EUR",
        "changes": {"batteries": {"starter": {"internal_resistance": "2.5 mohm"}}},
    },
}
SILENCE = {"engine": "stopped", "level": "-40 dB", "signal": {"tone": "40 Hz", "for": "1 s"}}


@cache
def two_uses() -> Build:
    """A loud note and a soft one, with a limit that only one option keeps in the loud one."""
    lead, battery = (assess_nominal(build_of(OPTIONS[id_]["changes"])) for id_ in OPTIONS)  # type: ignore[arg-type]
    lows = [r.load_cases[0].amplifiers[0].mean_minimum.volts for r in (lead, battery)]
    assert lows[0] is not None
    assert lows[1] is not None
    assert lows[0] < lows[1]
    limit = f"{(lows[0] + lows[1]) / 2.0:.3f} V"
    return build_of({"options": OPTIONS, "load_cases": {"soft": SILENCE}, "limits": {"amplifier": {"mean": limit}}})


@cache
def compared() -> OptionComparison:
    """Both options beside the build, nominal."""
    found = assess(two_uses(), unasked=False).options
    assert found is not None
    return found


def row(id_: str) -> OptionRow:
    """One way to go of the two uses."""
    return next(r for r in compared().rows if r.id == id_)


@pytest.mark.parametrize("option", ["lead", "battery"])
def test_every_load_case_says_what_the_options_own_build_says(option: str) -> None:
    """The lowest mean of each load case is that of the option read as a build of its own; the gain is against it."""
    alone = assess_nominal(option_build(two_uses(), option))
    base = assess_nominal(two_uses())
    for use, one, before in zip(row(option).uses, alone.load_cases, base.load_cases, strict=True):
        mine, theirs = one.amplifiers[0].mean_minimum.volts, before.amplifiers[0].mean_minimum.volts
        assert mine is not None
        assert theirs is not None
        assert use.case == one.id
        assert use.mean.volts == mine
        assert use.gain == pytest.approx(mine - theirs)


def test_the_answer_names_the_option_that_keeps_every_limit_with_its_cost() -> None:
    """Not the cheapest one, which misses a limit; and each load case names what keeps its own."""
    assert [u.kept for u in row("build").uses] == [Kept.NOT, Kept.NOMINAL]
    assert not row("lead").keeps_all
    assert row("battery").keeps_all
    assert compared().answer == (
        "“Fresh battery” keeps every limit in every load case, computed with nominal values: for 210 EUR.",
    )
    loud, soft = compared().by_use
    assert "kept by “Fresh battery” (210 EUR)." in loud
    assert "“Thicker lead” (90 EUR) and “Fresh battery” (210 EUR)" in soft


def test_no_option_that_keeps_them_is_said_and_what_comes_nearest() -> None:
    """With the one that keeps them gone, and with one that may not be built as it is written."""
    without = tuple(r for r in compared().rows if r.id != "battery")
    first, near = answer(without)
    assert first.startswith("No written option keeps every limit in every load case (1 compared)")
    assert "“Thicker lead” (90 EUR) comes nearest: it misses “note” by " in near
    burning = tuple(replace(r, stops=("stop: it burns",)) if r.id == "battery" else r for r in compared().rows)
    assert "must not be built" in answer(burning)[1]


def test_a_limit_kept_by_the_samples_alone_is_said_to_be() -> None:
    """In 97 % of the samples it counts as kept, in 60 % it does not."""

    def shared(share: float) -> tuple[OptionRow, ...]:
        lows = Lows(np.full(100, 12.0), np.arange(100) < 100 * share, np.zeros((100, 0)))
        low = assess_nominal(two_uses())
        uses = uses_of(low, low, {c.id: lows for c in low.load_cases}, ())
        return tuple(replace(r, uses=uses) if r.id == "lead" else r for r in compared().rows if r.id != "battery")

    assert "in 95 % of the samples or more" in answer(shared(0.97))[0]
    assert "“Thicker lead” (90 EUR), in 97 % of the samples" in by_use(shared(0.97), ())[0]
    assert answer(shared(0.6))[0].startswith("No written option")
    assert "(kept in 60 % of the samples)" in answer(shared(0.6))[1]


@pytest.mark.analytic
def test_the_best_option_turns_where_two_straight_lines_cross() -> None:
    """One gains 0.4 V per unit of rise, the other 1.4 V from 0.6 V below: they cross at 1.6."""
    rises = RISES[1:]

    def lows(volts: object) -> dict[str, Lows]:
        made = np.asarray(volts, dtype=np.float64)
        return {"note": Lows(made, made > 0.0, np.zeros((made.size, 0)))}

    steady, rising = lows(12.0 + 0.4 * (rises - 1.0)), lows(11.4 + 1.4 * (rises - 1.0))
    (found,) = turns({"battery": steady, "alternator": rising}, ["note"])
    assert found == Turn("note", "battery", "alternator", pytest.approx(1.6))  # type: ignore[arg-type]
    assert turns({"battery": steady, "lead": lows(11.9 + 0.4 * (rises - 1.0))}, ["note"]) == ()


def test_best_share_counts_the_samples_in_which_an_option_leads() -> None:
    """Two of four samples; one that cannot be held is best nowhere."""
    results = assess_nominal(two_uses())
    nothing = np.zeros((4, 0))
    mine = Lows(np.array([12.0, 12.0, 12.0, np.nan]), np.ones(4, dtype=bool), nothing)
    other = Lows(np.array([11.0, 11.0, 12.5, np.nan]), np.ones(4, dtype=bool), nothing)
    ids = [c.id for c in results.load_cases]
    uses: tuple[Use, ...] = uses_of(
        results, results, dict.fromkeys(ids, mine), [dict.fromkeys(ids, mine), dict.fromkeys(ids, other)]
    )
    assert [u.best_share for u in uses] == [0.5, 0.5]
