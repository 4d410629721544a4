"""The owner's and the inspector's paper of every demo: as many pages as they may have, and none nearly empty."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from pdf_text import pages_text

from dossier.assessment.assess import assess
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build
from dossier.pages.editions.edition import story
from dossier.pages.section import Stamp
from dossier.pdf.template import Furniture, lay_out
from dossier.reader.reading import read_by
from dossier.reader.units import Units
from dossier.results.overview import Results

DEMOS = sorted((Path(__file__).parents[2] / "demo_builds").glob("*.yaml"))
STAMP = Stamp("AAAA BBBB CCCC DDDD EEEE", "install-dossier 0", ("a.yaml",))
MOST = {"customer": (5, 7), "inspector": (3, 5)}
LEAST_SIGNS = 350  # of a page: a cover's overflow of one table row has fewer; blank lines to write on have none


@cache
def assessed(path: Path) -> tuple[Build, Results]:
    """A demo and its results, without what these editions do not print."""
    build = read_build(path)
    return build, assess(build, options=False, unasked=False)


@pytest.mark.long
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("edition", list(MOST))
@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_pages_of_the_demos(path: Path, edition: str, units: Units, paper: str) -> None:
    """Five to seven pages for the owner, three to five for the inspector, each with something on it."""
    build, results = assessed(path)
    stamp = Stamp(STAMP.digest, STAMP.program, STAMP.parts, units=units)
    told = story(read_by(units, build), read_by(units, results), stamp, edition)
    made = lay_out(told, Furniture("Title", "N-1", "foot"), paper=paper)
    pages = pages_text(made.data)
    least, most = MOST[edition]
    assert least <= len(pages) <= most
    assert [number for number, page in enumerate(pages, start=1) if len(page) < LEAST_SIGNS] == []
