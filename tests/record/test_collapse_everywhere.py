"""After a collapse no voltage is stated of that amplifier: on paper, in the terminal, in tables, for programs."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest
from pdf_text import pages_text
from record_builds import BUILD, place, run

pytestmark = pytest.mark.long
# The battery of the small build behind so much resistance that it can deliver less than is asked.
WEAK = BUILD.replace("internal_resistance: {value: 5 mohm, basis: measured}", "internal_resistance: 120 mohm").replace(
    "engine: cruise, signal: {tone: 40 Hz, for: 2 s}", "engine: stopped, signal: {tone: 40 Hz, for: 2 s}"
)
OPTION = "options: {copper: {title: More copper, changes: {cables: {feed: {size: 35 mm2}}}}}\n"
# The measured readings of the small build are voltages that were there: they are no predictions.
ASKED = re.sub(r"measurements:\n.*?(?=checklist:)", "", WEAK, flags=re.S) + OPTION
VOLTS = re.compile(r"\d+\.\d\s?V\b")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Everything that can be written of it."""
    made = tmp_path_factory.mktemp("collapse")
    build = place(made, ASKED)
    code, said = run("write", build, "-o", made, "-q", "--results", "--tables", "--edition", "all")
    assert code == 1, said
    return made


def test_the_results_for_programs(folder: Path) -> None:
    """Every reading of the amplifier is null, and so is its output."""
    [case] = json.loads((folder / "small.results.json").read_text(encoding="utf-8"))["load_cases"]
    [one] = case["amplifiers"]
    assert one["outcome"]["demand_w"] > one["outcome"]["deliverable_w"] > 0.0
    assert [one[name]["value_v"] for name in ("mean_minimum", "minimum_100ms", "trough_minimum")] == [None] * 3
    assert one["output_w"] is None
    assert [limit["value_v"] for limit in one["limits"]] == [None]
    assert not any(limit["holds"] for limit in one["limits"])


def test_the_terminal(folder: Path) -> None:
    """The check gives watts, not volts; the comparison says that it fails in every column of volts."""
    code, said = run("check", folder / "small.yaml")
    assert code == 1
    told = [line for line in said.splitlines() if "mono collapses" in line or "mono: collapses" in line]
    assert len(told) == 2
    assert not [line for line in told if VOLTS.search(line)]
    code, said = run("compare", folder / "small.yaml", "--quick", "-q")
    volts = said[said.index("lowest mean at the worst amplifier") : said.index("Gain in mean voltage")]
    rows = [line for line in volts.splitlines() if line.startswith(("As it stands", "More copper"))]
    assert [row.split().count("fails") for row in rows] == [1, 1, 3, 3, 3, 3]
    assert not [row for row in rows if re.search(r"\d+\.\d", row)]


def test_the_traces(folder: Path) -> None:
    """The table of the trace has empty cells from the collapse on, at the amplifier and where it stands."""
    rows = list(csv.DictReader((folder / "small.trace-tone.csv").read_text(encoding="utf-8").splitlines()))
    for column in ("mono_mean_v", "mono_trough_v", "boot_mean_v"):
        assert {row[column] for row in rows if float(row["time_s"]) > 0.1} == {""}


@pytest.mark.parametrize("edition", ["", "-customer", "-inspector"])
def test_the_paper(folder: Path, edition: str) -> None:
    """Where a paper says that the amplifier collapses it gives watts; the row of its voltages holds dashes."""
    text = " ".join(" ".join(pages_text((folder / f"small{edition}.pdf").read_bytes())).split())
    told = re.findall(r"mono collapses.{80}", text, re.I)
    assert told
    assert not [words for words in told if VOLTS.search(words)]
    if not edition:
        # at rest, then mean and 100 ms with their bands
        assert re.search(r"(?i)mono \d+\.\d — collapse to \d+\.\d — collapse to", text)
