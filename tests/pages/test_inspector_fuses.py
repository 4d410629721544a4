"""The inspector's table of fuses: every question has its own column, and every answer a word beside its sign."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from dossier.assessment.assess import assess
from dossier.buildfile.reader import read_build
from dossier.pages.editions.inspector import detail
from dossier.pages.section import Stamp
from dossier.pdf.tables import DataTable
from dossier.reader.wording import lines, terms
from dossier.results.protection import Answer, Reply

DEMO = Path(__file__).parents[2] / "demo_builds" / "hatchback-first-amp.yaml"
QUESTIONS = ("carries", "protects", "clears", "survives", "interrupts", "placed", "holder")
STAMP = Stamp("ABCD", "dossier", ("a.yaml",))


def words(cell: Any) -> str:
    """What a cell says."""
    one = cell[0] if isinstance(cell, (list, tuple)) else cell
    return str(one.getPlainText()) if hasattr(one, "getPlainText") else str(one)


@pytest.mark.parametrize("verdict", list(Reply))
def test_every_question_has_its_column(verdict: Reply) -> None:
    """Each of the four answers stands in the column of its question as a word with a sign, whatever the others are."""
    build = read_build(DEMO)
    results = assess(build, options=False, unasked=False)
    for index, question in enumerate(QUESTIONS):
        answered: dict[str, Any] = dict.fromkeys(QUESTIONS, Answer(Reply.YES, ""))
        answered[question] = Answer(verdict, "")
        fuses = tuple(replace(one, **answered) for one in results.protection.fuses)
        made = detail(build, replace(results, protection=replace(results.protection, fuses=fuses)), STAMP)
        table = next(one for one in made if isinstance(one, DataTable))
        head = [words(cell).replace("\n", "") for cell in table._cellvalues[0]]
        asked = [line.replace("\n", "") for line in lines("protection.questions")]
        assert head[-7:] == asked
        for row in table._cellvalues[1:]:
            answers = [words(cell).replace("\xa0", " ").split(" ", 1) for cell in row[-7:]]
            wanted = ["yes"] * 7
            wanted[index] = terms("protection.verdicts")[verdict]
            assert [word for _, word in answers] == wanted
            assert len(answers[index][0]) == 1
            assert verdict == "yes" or answers[index][0] != answers[index - 1][0]
