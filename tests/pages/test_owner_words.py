"""What the owner reads: the stage, the engine, the idling alternator and every open point, in words that are true."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from dossier.assessment.assess import assess
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build
from dossier.diagnostic import Severity
from dossier.findings.every import RULES
from dossier.pages.delivery.daily_use import daily_use
from dossier.pages.delivery.rescue import rescue_card
from dossier.pages.editions import customer
from dossier.pages.opening.open_points import open_points, reserved, without_citations, without_fields
from dossier.pages.section import Stamp
from dossier.pdf.flow import Text
from dossier.results.overview import Results

FOLDER = Path(__file__).parents[2] / "demo_builds"
DEMOS = ("estate-handover", "hatchback-first-amp", "pickup-plan", "unsafe-findings")
STAMP = Stamp("ABCD", "dossier", ("a.yaml",))
LAW = re.compile(r"\bCFR\b|\bABYC\b|\bISO \d|\bBS \d|\bIEC \d")


@cache
def assessed(name: str) -> tuple[Build, Results]:
    """A demo and its results, without what the owner is not told."""
    build = read_build(FOLDER / f"{name}.yaml")
    return build, assess(build, options=False, unasked=False)


def said(story: object) -> str:
    """Every word of a story, tables and columns included."""
    if isinstance(story, Text):
        return str(story.getPlainText())
    if isinstance(story, str):
        return story
    if isinstance(story, (list, tuple)):
        return " ".join(said(one) for one in story)
    inner = [getattr(story, key, None) for key in ("_cellvalues", "parts", "_content")]
    return " ".join(said(one) for one in inner if isinstance(one, (list, tuple)))


def owner(build: Build, results: Results) -> str:
    """Cover, everyday use, card and upkeep."""
    return said(
        [
            customer.cover(build, results, STAMP),
            daily_use(build, results, STAMP),
            rescue_card(build, results),
            customer.upkeep(build, results, STAMP),
        ]
    )


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.sweep(4)
def test_the_words_follow_the_stage(name: str) -> None:
    """A plan speaks of what is planned and never of what was fitted; what is built does the reverse."""
    build, results = assessed(name)
    for stage in ("design", "as_built"):
        words = owner(replace(build, record=replace(build.record, stage=stage)), results)
        fitted = ("This is what was fitted", "What was fitted", "insurer what was fitted", "This vehicle has")
        planned = ("is planned for", "would have", "before it is fitted")
        assert all((one in words) == (stage == "as_built") for one in fitted)
        assert all((one in words) == (stage == "design") for one in planned)


@pytest.mark.parametrize("name", DEMOS)
def test_the_engine_is_spoken_of_as_computed(name: str) -> None:
    """That the engine may not start is said exactly where a battery that starts it gives out first."""
    build, results = assessed(name)
    if results.verdict.severity is Severity.STOP:  # nothing is said of use
        assert "At ordinary level it plays" not in owner(build, results)
        return
    starts = any(one.starts for one in results.budget.engine_off)
    for flag in (starts, not starts):
        off = tuple(replace(one, starts=flag) for one in results.budget.engine_off)
        words = owner(build, replace(results, budget=replace(results.budget, engine_off=off)))
        assert ("the engine may not start" in words) == flag
        assert ("the battery that feeds it has to be charged" in words) == (not flag)
        assert ("starter's share" in words.replace("\n", " ")) == flag


def test_no_starter_no_promise() -> None:
    """Where no battery is said to start the engine, nothing is promised about it."""
    build, results = assessed("estate-handover")
    none = {key: replace(one, starts_engine=False) for key, one in build.batteries.items()}
    words = owner(replace(build, batteries=none), results)
    assert "Which battery starts the engine is not recorded" in words
    assert "lasts longer" not in words


@pytest.mark.parametrize(
    ("balances", "wanted"),
    [
        ((5.0, 2.0), "keeps up, even with loud music"),
        ((5.0, -7.2), "keeps up at ordinary level. With loud music the batteries lose 8 A"),
        ((-3.1, -7.2), "lose 4 A already at ordinary level, and 8 A with loud music"),
    ],
)
def test_idling_at_both_volumes(balances: tuple[float, float], wanted: str) -> None:
    """What the idling alternator can feed is said of usual and of full volume, losses rounded up."""
    build, results = assessed("hatchback-first-amp")
    states = tuple(
        replace(one, balances=(*balances, *one.balances[2:])) if one.state == "idle" else one
        for one in results.budget.states
    )
    changed = replace(results, budget=replace(results.budget, states=states))
    assert wanted in owner(build, changed)


@pytest.mark.parametrize("name", DEMOS)
def test_open_points_in_plain_words(name: str) -> None:
    """No open point of an owner has a field of the build file or a law in it, and none is dropped."""
    _, results = assessed(name)
    points = open_points(results)
    grave = [one for one in results.findings if one.severity >= Severity.CAUTION]
    assert len(points) == len(grave) + len(reserved(results))
    for one in points:
        for words in (one.found, one.meaning):
            assert words
            assert not re.search(r"[a-z]_[a-z]", words), words
            assert not LAW.search(words), words


def test_every_rule_in_plain_words() -> None:
    """What any rule says of itself has neither fields nor laws in it once it is put to the owner."""
    for rule in RULES:
        for words in (rule.consequence, rule.fix):
            plain = without_citations(without_fields(words))
            assert "`" not in plain, plain
            assert not re.search(r"[a-z]_[a-z]", plain), plain
            assert not LAW.search(plain), plain
    assert without_citations("900 mm; 33 CFR 183.455, paras (a) to (c): 177 mm") == "900 mm; the published rule: 177 mm"
    assert without_fields("record `checklist: {x: {state: pass}}`") == "record it in the build file"
    assert without_fields("correct `shows`, or read it") == "correct what the instrument is said to show, or read it"
    assert without_citations("ABYC E-11 Table V-A asks for 5 kA") == "the published rule asks for 5 kA"
    assert without_citations("BS 7671 433.1.1, at 2.5 mm2") == "the published rule, at 2.5 mm2"


def test_reservations_of_the_checklist_are_open() -> None:
    """What was passed with a limitation or not seen is an open point; nobody is told that all passed."""
    build, results = assessed("estate-handover")
    words = owner(build, results)
    assert "Nothing is open" not in words
    assert "Conduit is missing" in words
    assert "did not fall asleep" in words
    assert "3 points" in words  # those two, and what start-stop takes


def test_rested_volts_do_not_contradict() -> None:
    """Where the record counts with less than a full battery, the owner is told so beside the normal volts."""
    words = owner(*assessed("hatchback-first-amp"))
    assert "12.6 to 12.8 V" in words
    assert "This record counts with 12.4 V" in words
    assert "counts with" not in owner(*assessed("estate-handover"))
