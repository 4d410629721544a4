"""What every edition says of energy sources: how many to isolate, what stays live, and what feeds only for a time."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from pdf_text import pages_text
from sample_build import sample_build
from sample_results import sample_results

from dossier.assessment.overview import energy_sources, further_sources, left_live
from dossier.assessment.proof.recorded import checklist
from dossier.assessment.supply.disconnects import disconnect_of
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build_text
from dossier.equipment.installed import installed
from dossier.pages.delivery.rescue import opening_steps
from dossier.pages.diagram.wiring import wiring
from dossier.pages.editions.edition import EDITIONS, story
from dossier.pages.section import Stamp
from dossier.pdf.template import Furniture, lay_out

STAMP = Stamp("AAAA BBBB CCCC DDDD EEEE", "install-dossier 0", ("sample.yaml", "sample.results.json"))
SMALL, FULL = "one battery", "two batteries and a bank"


def one_battery() -> Build:
    """The sample with its starter battery alone; the alternator and the converter stay."""
    build = sample_build(with_bank=False)
    starter = {name: one for name, one in build.batteries.items() if one.starts_engine}
    return replace(build, batteries=starter)


@cache
def said(which: str, edition: str) -> str:
    """All words of an edition, in order."""
    build = one_battery() if which == SMALL else sample_build()
    found = energy_sources(build, installed(build))
    results = replace(
        sample_results(),
        energy_sources=found,
        further_sources=further_sources(build),
        left_live=left_live(build, found),
    )
    points = checklist(build, results.energy_sources, results.amplifiers)
    results = replace(results, recorded=replace(results.recorded, checklist=points))
    furniture = Furniture("Title", "W-014", "Revision B", "")
    return " ".join(
        " ".join(
            pages_text(lay_out(story(build, results, STAMP, edition), furniture, paper="a4").data)
        ).split()
    )


@pytest.mark.practice
@pytest.mark.parametrize("edition", [one for one in EDITIONS if one != "entry"])
@pytest.mark.sweep(3)
def test_only_what_keeps_energy_is_counted(edition: str) -> None:
    """An alternator and a converter add nothing to the number of sources; both are named with when they feed."""
    for which, number in ((SMALL, "1 energy source"), (FULL, "3 energy sources")):
        text = said(which, edition)
        assert number in text
        assert "while the engine turns" in text
        assert "while its input is live" in text
        assert f"{int(number[0]) + 1} energy source" not in text
        assert f"{int(number[0]) + 2} energy source" not in text


@pytest.mark.practice
@pytest.mark.parametrize("edition", [one for one in EDITIONS if one != "entry"])
def test_one_source_is_not_warned_of_another(edition: str) -> None:
    """With one battery nothing speaks of a rear or a rest that stays live; with more every edition does."""
    for stays in (
        "does not isolate the rear",
        "does not isolate the rest",
        "alone does not isolate it",
    ):
        assert stays not in said(SMALL, edition)
    full = said(FULL, edition)
    if edition != "inspector":  # who is shown the sources one by one
        assert "does not isolate the re" in full


@pytest.mark.practice
def test_the_owner_of_one_battery_has_one_place_to_open() -> None:
    """One place to open, said the same on the first page, in the steps and on the card."""
    text = said(SMALL, "customer")
    assert "1 energy source, and one place to make it dead" in text
    assert "1 place to open." in text
    assert "until that terminal is open" in text
    assert "3 places to open" in said(FULL, "customer")


@pytest.mark.practice
def test_two_sources_in_one_place_are_not_called_rear() -> None:
    """Where every source stands at the front, the sentence speaks of the others, not of the rear."""
    build = one_battery()
    starter = next(iter(build.batteries.values()))
    twin = replace(starter, id="twin", title="Twin", starts_engine=False)
    build = replace(build, batteries={**build.batteries, "twin": twin})
    found = energy_sources(build, installed(build))
    results = replace(sample_results(), energy_sources=found, left_live=left_live(build, found))
    cover = lay_out(
        EDITIONS["workshop"].cover(build, results, STAMP), Furniture("Title", "W", "B", ""), paper="a4"
    )
    text = " ".join(" ".join(pages_text(cover.data)).split())
    assert "Disconnecting one does not isolate the others" in text


SWITCHED = """
format: 1
record: {number: S, title: switched, stage: as_built, date: "2026-01-01"}
vehicle: {description: car, base_load: {at: front, idle: 20 A}}
locations: {front: {title: Engine bay}, tray: {title: Tray}, boot: {title: Boot}}
batteries:
  starter: {title: Starter, at: front, chemistry: agm, capacity: 70 Ah, starts_engine: true}
  rear: {title: Rear, at: tray, chemistry: agm, capacity: 80 Ah}
amplifiers: {bass: {title: Bass, at: AT, rated: {1 ohm: 1000 W}, supply: unregulated, rated_at: 14.4 V}}
speakers: {sub: {title: Sub, amplifier: bass, voice_coils: 1, coil_impedance: 1 ohm}}
couplings: {main: {title: Main switch, kind: switch, from: tray, to: boot, closed: true}}
cables:
  feed: {role: feed, from: front, to: boot, size: 50 mm2, length: 5 m}
  back: {role: return, from: boot, to: front, size: 50 mm2, length: 5 m}
  rear_back: {role: return, from: tray, to: boot, size: 50 mm2, length: 0.5 m}
load_cases: {tone: {engine: stopped, signal: {tone: 40 Hz, for: 1 s}}}
"""


def test_a_switch_that_isolates_is_what_is_opened() -> None:
    """The rescue note, the inspector's list and the diagram name one switch, where it leaves the battery alone."""
    build = read_build_text(SWITCHED.replace("AT", "boot").encode(), "switched", "switched.yaml")
    found = {one.id: one for one in energy_sources(build, installed(build))}
    rear, starter = found["rear"], found["starter"]
    assert (rear.disconnect, starter.disconnect) == ("main", "")
    assert "take off its negative terminal" in opening_steps(build, [starter])[0]
    tag = next(one.tag for one in wiring(build).tags if one.title == "Main switch")
    assert f"open the switch {tag}, Main switch" in opening_steps(build, [rear])[0]


def test_a_switch_with_a_load_behind_it_isolates_nothing() -> None:
    """An amplifier on the battery's side of the switch stays live: the terminal is what is opened."""
    build = read_build_text(SWITCHED.replace("AT", "tray").encode(), "switched", "switched.yaml")
    assert disconnect_of(build, "batteries", "rear") == ""
