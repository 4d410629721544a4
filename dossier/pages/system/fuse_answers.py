"""What is asked of every fuse, as a matrix: a fuse a row, a question a column; what is not a yes is explained below."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.buildfile.tags import tag_at, tags_of
from dossier.diagnostic import Severity
from dossier.pages.words import capital, word
from dossier.pdf.flow import rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.wording import lines, say, terms
from dossier.results.overview import Results
from dossier.results.protection import Answer, FuseCheck, Reply

SIGNS: Final = {Reply.YES: Severity.OK, Reply.NO: Severity.STOP, Reply.NOT_ASKED: Severity.NOTE}


def fuse_answers(build: Build, results: Results) -> list[Any]:
    """The matrix and the reasons; a sentence where no fuse is recorded."""
    fuses = results.protection.fuses
    if not fuses:
        return [text(say("protection.no_fuse_is_recorded_in_any"))]
    tags = tags_of(build)
    questions = lines("protection.questions")
    reasons: dict[str, list[str]] = {}  # why, of one fuse -> the questions it answers
    for one in fuses:
        for question, answer in zip(questions, _answers(one), strict=True):
            if answer.verdict not in (Reply.YES, Reply.NOT_ASKED):
                words = f" ({markup(answer.words)})" if answer.words else ""
                why = f"<b>{tag_at(tags, one.path)}</b> {{}}: {_said(answer)}{words}"
                reasons.setdefault(why, []).append(question.replace("\n", " ").lower())
    return [
        table_of(
            fuses,
            [
                Column(say("columns.fuse"), lambda one: _who(tag_at(tags, one.path), one), row_head=True, share=1.9),
                *(_asked(question, which) for which, question in enumerate(questions)),
            ],
        ),
        *([rich(". ".join(_reason(*one) for one in reasons.items()) + ".", "note")] if reasons else []),
    ]


def _reason(why: str, asked: list[str]) -> str:
    return why.format(markup(", ".join(asked)))


def _asked(question: str, which: int) -> Column[FuseCheck]:
    return Column(question, lambda one: rich(_said(_answers(one)[which]), "cell"), share=0.82)


def _answers(one: FuseCheck) -> tuple[Answer, ...]:
    return (one.carries, one.protects, one.clears, one.survives, one.interrupts, one.placed, one.holder)


def _said(answer: Answer) -> str:
    return mark(SIGNS.get(answer.verdict, Severity.CAUTION), terms("protection.verdicts")[answer.verdict])


def _who(tag: str, one: FuseCheck) -> Any:
    what = f"{capital(plain(one.cable_title, 60))}, {one.rating:g} A {word(one.style)}"
    return rich(f"<b>{tag}</b> {markup(what)}", "cell")
