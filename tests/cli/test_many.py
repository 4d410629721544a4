"""Several builds in one call: one broken build stops no other, processes share the work, a table sums up."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

import dossier.cli.processes
from dossier.buildfile.starters import plain_starter
from dossier.cli.main import main
from dossier.cli.one_build import Request, Written, write_one

ROOT = Path(__file__).parents[2]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}


@pytest.fixture
def builds(tmp_path: Path) -> list[str]:
    """Two good build files with a broken one between them."""
    good = plain_starter("smallest")
    for name, text in (("one", good), ("two", "broken: ["), ("three", good.replace("W-001", "W-003"))):
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    return [str(tmp_path / f"{name}.yaml") for name in ("one", "two", "three")]


@pytest.mark.long
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_broken_build_stops_no_other(
    builds: list[str], jobs: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The good ones are written, a line each in the order given; the exit code is the worst."""
    out = tmp_path / "out"
    assert main(["write", *builds, "--quick", "-o", str(out), "-j", jobs]) == 2
    assert sorted(file.name for file in out.iterdir()) == ["one.pdf", "three.pdf"]
    said = capsys.readouterr()
    assert [line.split()[1] for line in said.out.splitlines() if line.startswith("wrote")] == [
        f"{out / 'one.pdf'}:", f"{out / 'three.pdf'}:",
    ]  # fmt: skip
    assert "two.yaml:1:" in said.err
    assert len([line for line in said.out.splitlines() if ".yaml  " in line]) == 3


@pytest.mark.long
def test_processes_change_no_byte(builds: list[str], tmp_path: Path) -> None:
    """A dossier is the same whether processes share the work or not."""
    for jobs in ("1", "2"):
        main(["write", *builds, "--quick", "-q", "-o", str(tmp_path / jobs), "-j", jobs])
    for name in ("one.pdf", "three.pdf"):
        assert (tmp_path / "1" / name).read_bytes() == (tmp_path / "2" / name).read_bytes()


@pytest.mark.long
def test_summary_for_programs(builds: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With ``--summary csv`` or ``json`` standard output is that and nothing else; both say the same."""
    told = {}
    for form in ("csv", "json"):
        assert main(["write", *builds, "--quick", "-o", str(tmp_path / "out"), "--summary", form]) == 2
        told[form] = capsys.readouterr().out
    tree = json.loads(told["json"])
    rows = list(csv.DictReader(io.StringIO(told["csv"])))
    assert tree["exit"] == 2
    assert [row["build"] for row in rows] == [one["build"] for one in tree["builds"]] == builds
    assert [int(row["exit"]) for row in rows] == [one["exit"] for one in tree["builds"]] == [0, 2, 0]
    assert float(rows[0]["worst_mean_v"]) == tree["builds"][0]["worst_mean_v"] > 10.0
    assert tree["builds"][1]["worst_mean_v"] is None


def test_same_name_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two builds that would write one file are refused before anything is written, also if only capitals differ."""
    for folder, name in (("a", "car.yaml"), ("b", "Car.yaml")):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / name).write_text(plain_starter("smallest"), encoding="utf-8")
    words = ["write", str(tmp_path / "a" / "car.yaml"), str(tmp_path / "b" / "Car.yaml"), "-o", str(tmp_path / "out")]
    assert main(words) == 2
    assert not (tmp_path / "out").exists()
    assert "error[same-output]" in capsys.readouterr().err


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="the fault is put in before processes divide")
@pytest.mark.parametrize("fault", ["dies", "raises"])
def test_process_that_dies(fault: str, builds: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A build that takes its process down, or meets an error of ours, is reported; the others are written."""

    def broken(path: Path, request: Request, *more: Any) -> Written:
        if path.stem == "one":
            if fault == "dies":
                os.kill(os.getpid(), signal.SIGKILL)
            raise RuntimeError("of our own")
        return write_one(path, request, *more)

    monkeypatch.setattr(dossier.cli.processes, "write_one", broken)
    monkeypatch.delenv("DOSSIER_TRACEBACK", raising=False)
    out = tmp_path / "out"
    assert main(["write", *builds, "--quick", "-o", str(out), "-j", "2"]) == 4
    assert [file.name for file in out.iterdir()] == ["three.pdf"]


def rows_of(file: Path) -> list[dict[str, str]]:
    """A table as another program reads it."""
    return list(csv.DictReader(io.StringIO(file.read_text(encoding="utf-8"), newline="")))


@pytest.mark.long
def test_csv_tables(builds: list[str], tmp_path: Path) -> None:
    """``--tables`` writes schedule, fuses, budget, traces and cable list with units in the head lines."""
    out = tmp_path / "out"
    assert main(["write", builds[0], "--quick", "--tables", "-q", "-o", str(out)]) == 0
    made = {file.name.removeprefix("one."): rows_of(file) for file in out.glob("*.csv")}
    assert set(made) == {"schedule.csv", "fuses.csv", "budget.csv", "cable-list.csv", "trace-long_note.csv"}
    feed = next(row for row in made["schedule.csv"] if row["cable"] == "feed")
    assert float(feed["length_m"]) == 4.5
    assert float(feed["size_mm2"]) == 16.0
    trace = made["trace-long_note.csv"]
    assert float(trace[0]["time_s"]) == -1.0
    assert all(11.0 < float(row["mono_mean_v"]) < 15.0 for row in trace)
    cut = {row["label"]: row for row in made["cable-list.csv"]}
    assert "body" not in cut  # nobody cuts the body
    assert cut["feed.main"]["rating_a"] == "50"


@pytest.mark.long
def test_watching(tmp_path: Path) -> None:
    """``--watch`` writes again when the file is saved, and ends with Ctrl-C."""
    path, out = tmp_path / "car.yaml", tmp_path / "out" / "car.pdf"
    path.write_text(plain_starter("smallest"), encoding="utf-8")
    command = [sys.executable, "-m", "dossier", "write", "car.yaml", "--quick", "--watch", "-o", "out"]
    process = subprocess.Popen(command, cwd=tmp_path, env=ENVIRONMENT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    try:
        first = waited_for(out)
        time.sleep(0.5)
        path.write_text(plain_starter("smallest").replace("W-001", "W-002"), encoding="utf-8")
        assert waited_for(out, other_than=first) != first
        process.send_signal(signal.SIGINT)
        assert process.wait(20) == 130
    finally:
        process.kill()
        process.communicate()


def waited_for(path: Path, other_than: bytes = b"", patience: float = 40.0) -> bytes:
    """The content of a file once it is there and differs."""
    until = time.monotonic() + patience
    while time.monotonic() < until:
        if path.exists() and (found := path.read_bytes()) != other_than:
            return found
        time.sleep(0.1)
    raise AssertionError(f"{path} did not change")


@pytest.mark.long
def test_one_build_on_several_processes(tmp_path: Path) -> None:
    """The simulations of one banded dossier on one, two and three processes give the same bytes."""
    build = Path(__file__).parents[2] / "demo_builds" / "hatchback-first-amp.yaml"
    made = []
    for jobs in ("1", "2", "3"):
        assert main(["write", str(build), "--results", "-q", "-o", str(tmp_path / jobs), "-j", jobs]) in (0, 1)
        made.append([file.read_bytes() for file in sorted((tmp_path / jobs).iterdir())])
    assert made[0] == made[1] == made[2]
    assert len(made[0]) == 2
