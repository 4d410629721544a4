"""One quantity, one number: table, sentence and diagram print a value of the results by the same function."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pdf_text import pages_text

from dossier import as_json
from dossier.assessment.assess import assess
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build, read_build_text
from dossier.pages.diagram.section import drawings
from dossier.pages.editions.edition import story
from dossier.pages.section import Stamp
from dossier.pdf.template import Furniture, lay_out
from dossier.reader.promised import (
    allowed_a,
    as_fine_as,
    down,
    fault_ka,
    high_v,
    least_fault_a,
    limit_v,
    load_a,
    low_v,
    up,
)
from dossier.results.overview import Results
from dossier.results.sag import LoadCaseResult

DEMOS = sorted((Path(__file__).parents[2] / "demo_builds").glob("*.yaml"))
STAMP = Stamp("AAAA BBBB CCCC DDDD EEEE", "install-dossier 0", ("a.yaml",))


@pytest.mark.analytic
def test_rounding_is_to_the_safe_side() -> None:
    """By hand: a missed limit never reads as met, what is allowed goes down, what is needed or can flow goes up."""
    assert (low_v(11.98), limit_v(12.0), limit_v(11.75), high_v(14.61)) == ("11.9", "12.0", "11.75", "14.7")
    assert (allowed_a(201.536), load_a(57.2666), least_fault_a(1070.9), fault_ka(5201)) == ("201", "58", "1070", "5.3")
    assert (allowed_a(200.0 - 1e-9), load_a(200.0 + 1e-9), down(0.3 / 0.1), up(0.3, 1)) == ("200", "200", "3", "0.3")
    assert (low_v(-0.04), up(float("inf"))) == ("-0.1", "inf")


@pytest.mark.analytic
def test_no_voltage_reads_as_on_the_wrong_side_of_a_limit() -> None:
    """By hand: beside a limit of 11.75 V, 11.78 V keeps it and reads so; 11.749 V misses it and reads so."""
    with as_fine_as((12.0, 11.75)):
        assert (low_v(11.78), low_v(11.749), low_v(11.75), high_v(14.61)) == ("11.78", "11.74", "11.75", "14.61")
    assert low_v(11.78) == "11.7"  # outside, as before


@pytest.mark.analytic
def test_a_fine_limit_is_met_or_missed_in_print_as_in_the_results() -> None:
    """Limits at and a hundredth above the lowest mean of a demo: verdict, sentence and table agree with the numbers."""
    lowest = min(v for case in assess(_with_limit(10.0), options=False).load_cases for v in _means(case))
    for limit, kept in ((math.floor(lowest * 100) / 100, True), (math.ceil(lowest * 100) / 100, False)):
        build = _with_limit(limit)
        results = assess(build, options=False)
        checks = [c for case in results.load_cases for a in case.amplifiers for c in a.limits]
        assert all(c.holds for c in checks) is kept
        with as_fine_as(build.voltage_limits):
            printed = min(float(low_v(v)) for case in results.load_cases for v in _means(case))
        assert (printed >= limit) is kept
        assert kept or f"{printed:.2f} V" in " ".join(_sentences(as_json(build, results)))


def _means(case: LoadCaseResult) -> list[float]:
    return [a.mean_minimum.volts for a in case.amplifiers if a.mean_minimum.volts is not None]


def _with_limit(volts: float) -> Build:
    demo = next(path for path in DEMOS if path.stem == "hatchback-first-amp")
    text = demo.read_text("utf-8").replace("mean: 12.0 V", f"mean: {volts:.2f} V")
    return read_build_text(text.encode(), "h", "h.yaml")


def _sentences(node: Any) -> Iterator[str]:
    if isinstance(node, str):
        yield node
    elif isinstance(node, dict):
        for one in node.values():
            yield from _sentences(one)
    elif isinstance(node, (list, tuple)):
        for one in node:
            yield from _sentences(one)


def _numbers(results: Results) -> dict[str, set[str]]:
    """How a sentence announces a quantity -> what it may say, from the values alone."""
    fuses, places = results.protection.fuses, results.protection.places
    allowed = [a for r in results.schedule for a in (r.allowed, r.allowed_at_best, r.cautious) if a is not None]
    together = [sum(r.allowed or 0.0 for r in results.schedule if r.role == "return")]
    allowed += [a for one in results.protection.speaker_leads for a in (one.allowed,) if a is not None]
    flows = [a for f in fuses for a in (f.likely, f.most)] + [a for p in places for a in (p.likely, p.most)]
    lows = [a.mean_minimum.volts for case in results.load_cases for a in case.amplifiers]
    lows += [c.volts for case in results.load_cases for place in case.locations for c in place.limits]
    return {
        r"one run of [^;,]{3,30} may carry (\d+) A": {allowed_a(a) for a in (*allowed, *together)},
        r"smallest fault \((\d+) A\)": {least_fault_a(f.least) for f in fuses if f.least is not None},
        r"([\d.]+) kA can flow": {fault_ka(a) for a in flows},
        r"its load needs (\d+) A|^needs (\d+) A": {load_a(f.needed) for f in fuses},
        r"(?:lowest mean|falls to) ([\d.]+) V": {low_v(v) for v in lows if v is not None},
    }


@pytest.mark.analytic
@pytest.mark.parametrize("path", [pytest.param(p, marks=pytest.mark.long) for p in DEMOS], ids=lambda path: path.stem)
def test_table_sentence_and_diagram_agree(path: Path) -> None:
    """Every allowed current, fault current and voltage of a demo is printed as the one function prints its value."""
    build = read_build(path)
    results = assess(build, options=False, unasked=False)
    text = " ".join(
        " ".join(pages_text(lay_out(story(build, results, STAMP), Furniture("T", "N-1", "f"), paper="a4").data)).split()
    )
    said = [one.headline for one in results.findings]
    said += [a.words for f in results.protection.fuses for a in (f.carries, f.protects, f.clears, f.interrupts)]
    said += [a.outcome.sentence for case in results.load_cases for a in case.amplifiers]
    drawn = {one.id for one in drawings(build, results)[0].stations}  # where nothing stands has no band
    assert drawn
    checked = 0
    for pattern, may in _numbers(results).items():
        for one in _sentences(said):
            for found in re.findall(pattern, one):
                number = found if isinstance(found, str) else "".join(found)
                assert number in may, (one, sorted(may))
                checked += 1
    assert checked > 2
    for place in results.protection.places:
        assert f"{place.title} {fault_ka(place.most)} {fault_ka(place.likely)}" in text
        if place.location in drawn:
            assert f"fault up to {fault_ka(place.most)} kA" in text
    rows = [row for row in results.schedule if row.allowed is not None and not row.chassis]
    assert rows
    for row in rows:
        assert f"{load_a(row.rms)} {allowed_a(row.allowed or 0.0)}" in text, row.title
