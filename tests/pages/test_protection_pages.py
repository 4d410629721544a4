"""What the protection, charging and methods pages of a real build show: every number the issue of fire asks for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from pdf_text import pages_text

from dossier.assessment.assess import assess_nominal
from dossier.buildfile.reader import read_build
from dossier.pages.appendix.methods import MEASURES
from dossier.pages.editions.edition import story
from dossier.pages.section import Stamp
from dossier.pdf.template import Furniture, lay_out
from dossier.reader.wording import entries

UNSAFE = Path(__file__).parents[2] / "demo_builds" / "unsafe-findings.yaml"


@lru_cache(maxsize=1)
def printed() -> str:
    """Everything the workshop edition of the unsafe demo says, in one line."""
    build = read_build(UNSAFE)
    stamp = Stamp("AAAA BBBB CCCC DDDD EEEE", "install-dossier 0", ("a.yaml",))
    made = lay_out(story(build, assess_nominal(build), stamp), Furniture("T", "X-001", "Revision A"), paper="a4")
    return re.sub(r"\s+", " ", " ".join(pages_text(made.data)))


@pytest.mark.parametrize(
    "needed",
    [
        "Published: 33 CFR 183.425, Table 5",
        "Between its sizes log-log on area",
        "Counted: the metal temperature used for the load case",
        "What every fuse is asked",
        "The dangerous zone is the overload between 1.1 and 2.5 times the rating",
        "asks of a main and of a branch fuse by the cold-cranking current connected",
        "5.0 / 2.50",
        "nothing is judged from them",
        "trade: 457 mm",
        "33 CFR 183.455, paras (a) to (c): 177 mm",
        "would pass",
        "move by −3.9 mV/K per cell",
        "ohmic share of the resistance, for fault currents",
        "With the starter battery taken off",
        "If a circuit opens while charging",
        "20 g along",
        "Charging windows of one cell",
    ],
)
def test_the_paper_says_it(needed: str) -> None:
    """Base, factors, fault currents, table, rules, windows and assumptions are on the paper."""
    assert needed.replace("\u00a0", " ") in printed().replace("\u00a0", " ")


@pytest.mark.parametrize("method", entries("methods.methods"), ids=lambda m: m["title"])
def test_every_method_has_equation_and_source(method: Mapping[str, Any]) -> None:
    """Each entry of the appendix has an equation, words and a source, and is printed."""
    assert method["equations"]
    assert all(len(part) > 5 for part in (*method["equations"], method["words"], method["source"]))
    assert method["title"] in printed()
    assert set(re.findall(r"\{(\w+)\}", method["words"])) <= set(MEASURES)
