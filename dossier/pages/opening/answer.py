"""What the first page answers: of a plan what to buy, of a finished installation what was measured and what is open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.proof.runs import change, first_alike
from dossier.pages.words import NONE, capital, count, fixed, name, word
from dossier.pdf.flow import rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.protection import Reply
from dossier.results.recorded import ReadingRow, SoundRow

_READINGS = 6  # shown on the first page; all of them stand under Measurements


def answer(build: Build, results: Results) -> list[Any]:
    """What the stage of the record asks for, under its heading."""
    if build.record.stage == "design":
        return _to_buy(results)
    return [*_runs(results), *_measured(results), *_open(results)]


def _to_buy(results: Results) -> list[Any]:
    if results.options is None:
        return []
    found = results.options
    bought = found.within_budget.words[:1] if found.within_budget else ()
    return [
        text(say("answer.what_to_buy"), "heading_2"), *(text(line, "body") for line in (*found.answer[:2], *bought))
    ]


def _runs(results: Results) -> list[Any]:
    runs = results.recorded.sound
    if not runs:
        return []
    best = max(runs, key=lambda one: one.level)
    return [text(say("answer.runs"), "heading_2"), text(best_words(best, runs), "body")]


def best_words(best: SoundRow, runs: tuple[SoundRow, ...]) -> str:
    """The best run in a sentence, and what it gained against the first one taken alike."""
    said = say(
        "answer.best_run",
        title=name(best.title),
        level=f"{best.level:g}",
        weighting=word(best.weighting),
        position=plain(best.position, 60),
        volts=say("answer.at_volts", volts=fixed(best.volts)) if best.volts is not None else "",
        entered_in=say("answer.in_class", entered_in=plain(best.entered_in, 80)) if best.entered_in else "",
    )
    gained = change(best, runs)
    if gained is None:
        return said
    return said + say("answer.since", db=fixed(gained, sign=True), title=name(first_alike(best, runs).title))


def _measured(results: Results) -> list[Any]:
    read = compared(results)
    if not read:
        return [text(say("answer.measured"), "heading_2"), text(say("answer.not_measured"), "body")]
    more = len(read) - _READINGS
    return [
        text(say("answer.measured"), "heading_2"),
        readings_table(read[:_READINGS]),
        *([text(say("answer.more_readings", count=more), "note")] if more > 0 else []),
    ]


def readings_table(rows: Sequence[ReadingRow]) -> Any:
    """Readings beside what was computed, a line each."""
    return data_table(
        [
            Column(say("columns.reading"), share=2.0, row_head=True),
            num(say("answer.computed")),
            num(say("answer.read")),
            Column(say("answer.verdict"), share=0.8),
        ],
        [_reading(one) for one in rows],
        after=2.0,
    )


def compared(results: Results) -> list[ReadingRow]:
    """The readings that stand against a prediction of what their instrument can see."""
    return [one for one in results.recorded.readings if one.predicted is not None and one.visible]


def _reading(one: ReadingRow) -> list[Any]:
    places = 1 if one.unit == "V" else 0
    inside = {
        True: mark(Severity.OK, say("answer.inside")),
        False: mark(Severity.CAUTION, say("answer.outside")),
        None: markup(NONE),
    }[one.inside_band]
    unit = f"\u00a0{one.unit}"
    return [
        ", ".join(part for part in (name(one.title), one.case) if part),
        fixed(one.predicted, places) + unit,
        fixed(one.value, places) + unit,
        rich(inside, "cell"),
    ]


def _open(results: Results) -> list[Any]:
    states = [one.state for one in results.recorded.checklist]
    unjudged = sum(one.clears.verdict is Reply.NOT_JUDGED for one in results.protection.fuses)
    left = [
        *([count(states.count(""), "unticked box")] if "" in states else []),
        *([count(states.count("limitation"), "limitation")] if "limitation" in states else []),
        *([count(states.count("not_verified"), "unverified point")] if "not_verified" in states else []),
        *([count(unjudged, "unjudged fuse")] if unjudged else []),
    ]
    return [text(capital(say("answer.open", list=", ".join(left))) if left else say("answer.nothing_open"), "body")]
