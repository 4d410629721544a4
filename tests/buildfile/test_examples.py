"""Example build files: every good one is read, every bad one gets its complaint at its place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from dossier.buildfile.reader import BuildFileError, read_build
from dossier.diagnostic import Severity

EXAMPLES = Path(__file__).parent / "examples"
GOOD = sorted((EXAMPLES / "good").glob("*.yaml"))
BAD = sorted((EXAMPLES / "bad").glob("*.yaml"))
DEMOS = sorted((Path(__file__).parents[2] / "demo_builds").glob("*.yaml"))
EXPECTATION = re.compile(r"^# expect: ([a-z-]+) @ (\d+):(\d+)$", re.MULTILINE)


@pytest.mark.parametrize("file", [*GOOD, *DEMOS], ids=lambda file: file.stem)
def test_good_file_is_read(file: Path) -> None:
    """A file that is right is read without a complaint."""
    assert read_build(file).name == file.stem


@pytest.mark.parametrize("file", BAD, ids=lambda file: file.stem)
def test_bad_file_gets_its_complaints(file: Path) -> None:
    """A bad file gets exactly the complaints written at its top: code, line and column, in the file's order."""
    expected = [
        (code, int(line), int(column)) for code, line, column in EXPECTATION.findall(file.read_text())
    ]
    assert expected, "an example must say what is expected of it"
    with pytest.raises(BuildFileError) as caught:
        read_build(file)
    found = [(d.code, d.where.line, d.where.column) for d in caught.value.diagnostics if d.where]
    assert found == expected


@pytest.mark.parametrize("file", BAD, ids=lambda file: file.stem)
def test_complaint_is_complete(file: Path) -> None:
    """Every complaint is an error with a sentence, its line, and what was expected or what would cure it."""
    with pytest.raises(BuildFileError) as caught:
        read_build(file)
    for diagnostic in caught.value.diagnostics:
        assert diagnostic.severity is Severity.ERROR
        assert diagnostic.headline
        assert diagnostic.expected or diagnostic.fix
        assert diagnostic.where is not None
        assert diagnostic.where.file == str(file)
        lines = file.read_text().split("\n")
        assert diagnostic.where.text == lines[diagnostic.where.line - 1]


def test_every_example_folder_has_files() -> None:
    """The collection above cannot pass by finding nothing."""
    assert len(GOOD) >= 4
    assert len(BAD) >= 100
    assert DEMOS
