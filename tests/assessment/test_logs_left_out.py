"""A log that cannot be used is told wherever findings are, and is no evidence."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.assessment.assess import assess
from dossier.assessment.proof.log_columns import channels_of
from dossier.buildfile.logs.log import LogError
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build
from dossier.buildfile.source import BuildFileError
from dossier.buildfile.starters import plain_starter

LOG = "time [s],mono [V]\n" + "".join(f"{k / 10:.1f},12.{k % 10}\n" for k in range(40))


def as_built(folder: Path, log: str | None) -> Build:
    """The smallest build as built, with a log and nothing else measured."""
    text = plain_starter("smallest").replace("stage: design", "stage: as_built")
    assert "as_built" in text
    case = "long_note" if "long_note:" in text else text.split("load_cases:\n")[1].split(":")[0].strip()
    path = folder / "car.yaml"
    path.write_text(f"{text}\nmeasurements: {{logs: {{run: {{file: run.csv, load_case: {case}}}}}}}\n")
    if log is not None:
        (folder / "run.csv").write_text(log)
    return read_build(path)


@pytest.mark.parametrize(
    ("log", "told"),
    [
        (None, "log-not-read"),
        (LOG.replace("mono", "other"), "log-column-unknown"),
        (LOG.replace("mono [V]", "mono").replace(",12.", ",120."), "log-column-unclear"),
        (LOG.replace(",12.", ",-12."), "log-column-unclear"),
        (LOG.replace(",12.", ",12000."), "log-column-unclear"),
        (LOG.replace(",12.", ",25."), "log-column-unclear"),
        (LOG, ""),
    ],
)
def test_what_cannot_be_used_is_told_and_counted(log: str | None, told: str, tmp_path: Path) -> None:
    """A missing file, a column of nothing in the build, one that is no voltage: cautions that the verdict counts.

    The record then still lacks a measurement.
    """
    results = assess(as_built(tmp_path, log), options=False)
    logs = [one.code for one in results.findings if one.code.startswith("log-")]
    assert logs == ([told] if told else [])
    missing = any(one.code == "record-without-measurement" for one in results.findings)
    assert missing == bool(told)
    cautions = sum(one.severity.word == "caution" for one in results.findings)
    assert f"{cautions} caution" in str(results.verdict.sentence)


def test_a_stated_column_of_amperes_is_not_taken_for_volts(tmp_path: Path) -> None:
    """A column without unit whose values no vehicle's voltage has is refused with what to write."""
    log = read_log(LOG.replace("mono [V]", "amp").replace(",12.", ",120.").encode(), "run.csv")
    with pytest.raises(LogError) as caught:
        channels_of(as_built(tmp_path, LOG), log, {"amp": "amplifiers.mono"}, "run.csv")
    assert caught.value.diagnostics[0].code == "log-column-unclear"
    assert "[A]" in caught.value.diagnostics[0].fix


@pytest.mark.parametrize("log", [LOG.replace("12.3", "9" * 140_000), LOG.replace("mono [V]", "mono [V],mono [V]")])
def test_what_is_no_log_refuses_the_build(log: str, tmp_path: Path) -> None:
    """A file that cannot be read as a log is a mistake in the record, told at its line like one in the build file."""
    rows = log.splitlines()
    if rows[0].count("mono") == 2:
        log = "\n".join([rows[0], *(f"{row},12.0" for row in rows[1:])])
    with pytest.raises(BuildFileError) as caught:
        assess(as_built(tmp_path, log), options=False)
    (problem,) = caught.value.diagnostics
    assert problem.where is not None
    assert problem.where.file == "run.csv"
