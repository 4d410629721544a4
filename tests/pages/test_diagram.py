"""The wiring diagram: every text free of every other, nothing dropped, whatever is wired to whatever."""

from __future__ import annotations

import random
import re
from itertools import pairwise
from pathlib import Path

import pytest

from dossier.assessment.assess import assess_nominal
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build, read_build_text
from dossier.pages.diagram.display import Box, Display, Line, cut, measured
from dossier.pages.diagram.lanes import Span, assign, crossings
from dossier.pages.diagram.section import drawings
from dossier.reader.reading import read_by
from dossier.reader.units import Units

DEMOS = sorted((Path(__file__).parents[2] / "demo_builds").glob("*.yaml"))
LONG = "An uncommonly long name for a thing that would fit into a few words " * 2


def clashes(display: Display) -> list[str]:
    """Every label that overlaps another, a wire, a symbol or the edge of the sheet, in words."""
    found = []
    boxes = [(one, one.box) for one in display.labels]
    page = Box(-0.05, -0.05, display.width + 0.05, display.height + 0.05)
    for index, (label, box) in enumerate(boxes):
        if box.left < page.left or box.top < page.top or box.right > page.right or box.bottom > page.bottom:
            found.append(f"`{label.words}` leaves the sheet")
        found += [f"`{label.words}` on `{other.words}`" for other, its in boxes[index + 1 :] if box.meets(its)]
        found += [f"`{label.words}` on a wire" for line in display.lines if line.wire and box.meets(_box(line))]
        found += [f"`{label.words}` on a {name}" for name, its in display.symbols if box.meets(its)]
    return found


def _box(line: Line) -> Box:
    half = line.weight / 2
    return Box(
        min(line.x1, line.x2) - half,
        min(line.y1, line.y2) - half,
        max(line.x1, line.x2) + half,
        max(line.y1, line.y2) + half,
    )


def random_build(seed: int) -> Build:
    """A build with random devices between random locations; it need make no sense electrically."""
    pick = random.Random(seed)
    places = [f"place_{i}" for i in range(pick.randint(2, 8))]

    def title() -> str:
        return pick.choice(["Short", "Left rack", "漢字 and עברית", LONG[: pick.randint(20, 120)]])

    lines = [
        "format: 1",
        'record: {number: F, title: fuzz, stage: design, date: "2026-01-01"}',
        "vehicle: {description: fuzz, base_load: {at: place_0, idle: 20 A}}",
        "locations:",
    ]
    lines += [f"  {p}: {{title: '{title()}'}}" for p in places]
    lines += ["batteries:"]
    lines += [
        f"  b{i}: {{at: {pick.choice(places)}, chemistry: agm, capacity: 70 Ah, title: '{title()}'}}"
        for i in range(pick.randint(1, 5))
    ]
    lines += ["amplifiers:"]
    amplifiers = [f"a{i}" for i in range(pick.randint(1, 9))]
    amplifier_at = {a: pick.choice(places) for a in amplifiers}
    lines += [
        f"  {a}: {{at: {at}, supply: regulated, rated: {{2 ohm: 500 W}}, title: '{title()}'}}"
        for a, at in amplifier_at.items()
    ]
    lines += ["speakers:"]
    lines += [
        f"  s{a}_{n}: {{amplifier: {a}, coil_impedance: 2 ohm, title: '{title()}'}}"
        for a in amplifiers
        for n in range(pick.randint(1, 3))
    ]
    lines += ["cables:"]
    pairs = [(a, b) for a in places for b in places if a != b]
    for i in range(pick.randint(2, 30)):
        start, end = pick.choice(pairs)
        if pick.random() < 0.15:
            lines.append(f"  c{i}: {{role: return, chassis: true, from: {start}, to: {end}}}")
            continue
        role = pick.choice(["feed", "feed", "return"])
        fuses = ""
        if role == "feed" and pick.random() < 0.7:
            ends = pick.choice([[start], [end], [start, end]])
            body = ", ".join(
                f"f{n}: {{near: {near}, style: bolt_in, rating: 200 A}}" for n, near in enumerate(ends)
            )
            fuses = f", fuses: {{{body}}}"
        lines.append(
            f"  c{i}: {{role: {role}, from: {start}, to: {end}, size: {pick.choice((16, 50, 95))} mm2, "
            f"length: {pick.randint(1, 9)} m, runs: {pick.randint(1, 3)}{fuses}}}"
        )
    for start, end in pairwise(places):  # whatever the draw: everything hangs together
        lines.append(f"  f_{start}: {{role: feed, from: {start}, to: {end}, size: 50 mm2, length: 2 m}}")
        lines.append(f"  r_{start}: {{role: return, from: {end}, to: {start}, size: 50 mm2, length: 2 m}}")
    if pick.random() < 0.5:
        start, end = pick.choice(pairs)
        kind = pick.choice(["voltage_sensing_relay", "diode_isolator", "switch"])
        lines += ["couplings:", f"  k: {{kind: {kind}, from: {start}, to: {end}}}"]
    lines += ["load_cases: {tone: {engine: stopped, signal: {tone: 40 Hz, for: 1 s}}}"]
    return read_build_text("\n".join(lines).encode(), "fuzz", "fuzz.yaml")


def complete(build: Build) -> None:
    """No clash, and every device, conductor, fuse and speaker stands on a sheet; what is cut is owned up to."""
    wires, displays = drawings(build, None)
    texts = [label.words for display in displays for label in display.labels]
    owned = set().union(*(display.shortened for display in displays))
    for display in displays:
        assert clashes(display) == []
        assert display.height < 238.0 - 20.0
    for one in wires.tags:
        assert (
            any(words == one.tag or words.startswith(f"{one.tag} ") for words in texts) or one.tag in owned
        ), one.tag
    for display in displays:
        for label in display.labels:
            assert not label.words.endswith("…") or display.shortened
    assert {one.tag for one in wires.tags} >= {one.tag for one in wires.conductors}


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_demos_fit_one_sheet(demo: Path) -> None:
    """Every demo is one sheet without a clash and without a shortened word."""
    build = read_build(demo)
    complete(build)
    _, displays = drawings(build, None)
    assert len(displays) == 1
    assert displays[0].shortened == set()


@pytest.mark.long
@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_demos_with_voltages_and_fault_currents(demo: Path) -> None:
    """With worst voltages and fault currents, in metric and in US units: no overlap, none off its sheet, none cut."""
    build = read_build(demo)
    results = assess_nominal(build)
    for units in Units:
        _, displays = drawings(read_by(units, build), read_by(units, results), units)
        wires, plain = drawings(read_by(units, build), None, units)
        assert len(displays) == len(plain) == 1
        words = [label.words for label in displays[0].labels]
        for display in (*displays, *plain):
            assert clashes(display) == []
            assert not [label.words for label in display.labels if label.words.endswith("…")]
            written = {label.words for label in display.labels}
            assert {one.words for one in wires.conductors} <= written
            assert display.shortened == set()
            assert min(label.size for label in display.labels) >= 7.0
        banded = {one.id for one in wires.stations}
        seen = {one.id for case in results.load_cases for one in case.locations} & banded
        assert seen
        assert sum("lowest mean" in one or "collapses" in one for one in words) == len(seen)
        faults = sum(one.location in banded for one in results.protection.places)
        assert sum("fault up to" in one for one in words) == faults > 0


def test_a_joint_has_no_band() -> None:
    """A location where nothing stands has no band: returns go to the body, a cable to its converter; no tag is lost."""
    build = read_build(next(path for path in DEMOS if path.stem == "estate-handover"))
    wires, (display,) = drawings(build, None)
    assert set(build.locations) - {one.id for one in wires.stations} == {"body_front", "boot_input"}
    written = " ".join(label.words for label in display.labels)
    assert all(re.search(rf"\b{one.tag}\b", written) for one in wires.tags)
    assert {one.tag for one in wires.tags if one.tag[0] == "W"} == {f"W{n}" for n in range(1, len(build.cables) + 1)}


@pytest.mark.long
@pytest.mark.parametrize("seed", range(25))
def test_random_builds(seed: int) -> None:
    """Random wiring, long names, other scripts: never a clash, never a dropped tag."""
    complete(random_build(seed))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(25, 250))
def test_many_random_builds(seed: int) -> None:
    """The same over many more draws."""
    complete(random_build(seed))


@pytest.mark.long
def test_forty_cables() -> None:
    """Forty cables between two places go over several sheets; each is named on one."""
    text = [
        "format: 1",
        'record: {number: F, title: t, stage: design, date: "2026-01-01"}',
        "vehicle: {description: d}",
        "locations: {a: {}, b: {}}",
        "batteries: {s: {at: a, chemistry: agm, capacity: 70 Ah}}",
        "amplifiers: {x: {at: b, supply: regulated, rated: {2 ohm: 500 W}}}",
        "speakers: {sub: {amplifier: x, coil_impedance: 2 ohm}}",
        "load_cases: {tone: {engine: stopped, signal: {tone: 40 Hz, for: 1 s}}}",
        "cables:",
    ]
    text += [
        f"  c{i}: {{role: {'feed' if i % 2 else 'return'}, from: a, to: b, size: 50 mm2, length: 5 m}}"
        for i in range(40)
    ]
    build = read_build_text("\n".join(text).encode(), "forty", "forty.yaml")
    complete(build)
    _, displays = drawings(build, None)
    assert len(displays) > 1


def test_thirty_devices_at_one_place() -> None:
    """More devices than a sheet is high go on on the next."""
    text = [
        "format: 1",
        'record: {number: F, title: t, stage: design, date: "2026-01-01"}',
        "vehicle: {description: d}",
        "locations: {a: {}}",
        "amplifiers: {x: {at: a, supply: regulated, rated: {2 ohm: 500 W}}}",
        "speakers: {sub: {amplifier: x, coil_impedance: 2 ohm}}",
        "batteries:",
    ]
    text += [f"  b{i}: {{at: a, chemistry: agm, capacity: 70 Ah}}" for i in range(30)]
    text += ["cables: {}", "load_cases: {tone: {engine: stopped, signal: {tone: 40 Hz, for: 1 s}}}"]
    build = read_build_text("\n".join(text).encode(), "thirty", "thirty.yaml")
    complete(build)
    assert len(drawings(build, None)[1]) > 1


def test_a_clash_is_seen() -> None:
    """The check itself works: a label moved onto another is reported."""
    _, displays = drawings(read_build(DEMOS[0]), None)
    display = displays[0]
    one = display.labels[5]
    display.label("moved here", one.x, one.y, one.size)
    assert clashes(display)


def test_same_input_same_drawing() -> None:
    """Two runs draw the same."""
    build = random_build(7)
    first, second = drawings(build, None)[1], drawings(build, None)[1]
    assert [d.labels for d in first] == [d.labels for d in second]
    assert [d.lines for d in first] == [d.lines for d in second]


@pytest.mark.analytic
def test_lanes_of_an_interval_graph() -> None:
    """Nested and chained intervals need as many lanes as the most conductors over one gap, and cross nowhere."""
    nested = [Span("a", 0, 3), Span("b", 1, 2), Span("c", 0, 1)]
    lanes = assign(nested)
    assert max(lanes.values()) == 2
    assert crossings(nested, lanes) == 0
    chain = [Span(str(i), i, i + 1) for i in range(5)]
    assert set(assign(chain).values()) == {1}


def test_cut_keeps_what_fits() -> None:
    """A text is cut only where it does not fit, and then ends with an ellipsis inside its room."""
    assert cut("short", 6.8, 40.0) == "short"
    shown = cut(LONG, 6.8, 40.0)
    assert shown.endswith("…")
    assert measured(shown, 6.8) <= 40.0
