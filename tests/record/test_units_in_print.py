"""What is printed in US units holds no metric measure, what is kept holds no other, and both are the same figures."""

from __future__ import annotations

import csv
import json
import re
from functools import lru_cache
from pathlib import Path

import pytest
from pdf_text import pages_text
from record_builds import run

from dossier.record.opened import open_dossier
from dossier.record.verify import verify

DEMOS = Path(__file__).parents[2] / "demo_builds"
# No measures in their own words but for a wrench; every kind of finding and device.
NAMES = ("unsafe-findings", pytest.param("van-competition", marks=pytest.mark.long))
NUMBER = r"(?<![\w.])\d[\d.,\u202f]*[ \u00a0]?"
METRIC = re.compile(NUMBER + r"(?:mm²?|mm2|cm|m|km|kg|°C|degC|K|kN|N·m|Nm|N m|L|m³)(?![\w²³/])")
US = re.compile(NUMBER + r"(?:ft|°F|degF|lb|lbf|lbf·ft|lbf·in|mi|ft³)(?![\w³/])")  # "in" is a word too
EDITIONS = ("", "-customer", "-inspector")


@pytest.fixture(scope="module", params=NAMES)
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path]:
    """All editions of a demo in US units, with results and tables."""
    folder = tmp_path_factory.mktemp("us")
    name = str(request.param)
    code, said = run(
        *("write", DEMOS / f"{name}.yaml", "-o", folder, "--quick", "-q", "--units", "us"),
        *("--edition", "all", "--results", "--tables"),
    )
    assert code in (0, 1), said
    return name, folder


@pytest.fixture(scope="module")
def metric(made: tuple[str, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same demo without a word about units, with results."""
    name, _ = made
    folder = tmp_path_factory.mktemp("metric")
    run("write", DEMOS / f"{name}.yaml", "-o", folder, "--quick", "-q", "--results")
    return folder


@lru_cache(maxsize=8)
def words(path: Path) -> str:
    """Everything a PDF shows."""
    return " ".join(pages_text(path.read_bytes()))


def due(text: str) -> list[str]:
    """Metric measures where a conversion is due.

    Not due: the size as stated beside its gauge, a patch to put into the build file, a published source as it is
    called, an equation.
    """
    text = re.sub(r"[><]?[\d/]+ AWG (?:\([\d.]+ mm²\)|or [\d.]+ mm²)", "", text)
    text = re.sub(r"\{\"cables\":.*?\}\}+(?![,\"}])", "", text)
    for source in (
        "33 CFR 183.425, Table 5, 60 °C, 40 °C air", "no charging below 0 °C", "2.5 L per ampere-hour",
        "(T − 20 °C)", "d = 0.127 mm", "(T − 25 °C)", "to 60 Nm",
        "lead-acid -40 to 75 °C (SAE J2801 tests at up to 75 °C", "-20 to 60 °C, titanate -40 to 60 °C",
        "over that at 25 °C", "1 mm² (18 AWG)",
    ):  # fmt: skip
        text = text.replace(source, "")
    heads = [one for one in text.split() if one in ("kg", "mm", "cm", "m", "°C", "kN", "N·m", "km", "K", "mm²")]
    return METRIC.findall(text) + heads


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.long
def test_no_metric_measure_is_left(made: tuple[str, Path], edition: str) -> None:
    """No length, temperature, mass, force, torque or distance of any edition is printed in metric units."""
    name, folder = made
    text = words(folder / f"{name}{edition}.pdf")
    assert not due(text)
    assert len(US.findall(text)) > 3 or edition == "-customer"


@pytest.mark.long
def test_the_sieve_catches_metric(made: tuple[str, Path], metric: Path) -> None:
    """The same sieve finds plenty in the same build printed in metric units, and nothing of the other system."""
    text = words(metric / f"{made[0]}.pdf").replace("\u00a0", " ")
    assert len(due(text)) > 60
    assert {one.split()[-1] for one in due(text)} >= {"m", "mm", "°C", "kg", "N·m", "kN"}
    assert not US.findall(text)


def test_what_is_kept_stays_si(made: tuple[str, Path], metric: Path) -> None:
    """results.json is the same, byte for byte, whoever reads the paper."""
    name, folder = made
    kept = (folder / f"{name}.results.json").read_bytes()
    assert kept == (metric / f"{name}.results.json").read_bytes()
    assert not US.findall(kept.decode())
    assert open_dossier(folder / f"{name}.pdf").parts[f"{name}.results.json"] == kept


@pytest.mark.long
def test_verify_finds_the_same_figures(made: tuple[str, Path]) -> None:
    """A dossier in US units is made again from its parts in US units, byte for byte."""
    name, folder = made
    verdict = verify(open_dossier(folder / f"{name}.pdf"))
    assert verdict.is_same
    assert verdict.same_bytes


def test_sizes_stand_as_stated(made: tuple[str, Path]) -> None:
    """Every conductor size of the build file is on the paper as it is written there."""
    name, folder = made
    text = words(folder / f"{name}.pdf").replace("\u00a0", " ")
    sizes = set(re.findall(r"size: ([\d./]+ (?:mm2|AWG))", (DEMOS / f"{name}.yaml").read_text()))
    assert sizes
    for size in sizes:
        assert size.replace("mm2", "mm²") in text, size


def test_limits_are_not_loosened(made: tuple[str, Path]) -> None:
    """Of every row of the schedule the distance of a fuse is not printed shorter, a limit not longer than it is."""
    name, folder = made
    results = json.loads((folder / f"{name}.results.json").read_text())
    text = words(folder / f"{name}.pdf").replace("\u00a0", " ")
    for fuse in results["protection"]["fuses"]:
        if fuse["distance_m"] is None:
            continue
        printed, limit, trade = re.findall(
            r"(\d+(?:\.\d)?) mm; .*?: (\d+) mm, trade: (\d+) mm", fuse["placed"]["words"]
        )[0]
        assert float(printed) >= fuse["distance_m"] * 1000 - 1e-6
        assert float(limit) <= 1016.0
        assert float(trade) <= 457.2
        inches = fuse["distance_m"] / 0.0254
        shown = [float(one) for one in re.findall(r" (\d+\.\d)(?= )", text)]
        assert any(inches - 1e-4 <= one < inches + 0.1 for one in shown), (inches, shown)


def test_tables_in_the_readers_units(made: tuple[str, Path]) -> None:
    """The tables name their units in the head and hold the same lengths."""
    name, folder = made
    results = json.loads((folder / f"{name}.results.json").read_text())
    head, *rows = csv.reader((folder / f"{name}.schedule.csv").read_text().splitlines())
    assert {"length_ft", "insulation_degf", "size_awg", "size_mm2"} <= set(head)
    for row in results["schedule"]:
        line = next(one for one in rows if one[0] == row["id"])
        if row["length_m"] is not None:
            found = line[len(line) - len(head) + head.index("length_ft")]
            assert float(found) == pytest.approx(row["length_m"] / 0.3048, rel=1e-5)
    assert "distance_in" in (folder / f"{name}.fuses.csv").read_text().splitlines()[0]
    assert "length_ft" in (folder / f"{name}.cable-list.csv").read_text().splitlines()[0]


@pytest.mark.long
def test_the_terminal_reads_the_same() -> None:
    """The findings of ``check`` are in the reader's units; its JSON stays SI."""
    path = DEMOS / "unsafe-findings.yaml"
    _, us = run("check", path, "--units", "us", "--show", "concise")
    _, metric = run("check", path, "--show", "concise")
    assert not due(us)
    assert len(due(metric)) > 5
    code, kept = run("check", path, "--units", "us", "--show", "json")
    assert code == 1
    assert not US.findall(kept)
