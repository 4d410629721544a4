"""Assumptions and inputs: every number the computation used, with its band, its basis and its source."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, count, name, word
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, table_of
from dossier.reader.wording import UNCHECKED, say
from dossier.results.inputs import Input
from dossier.results.overview import Results

_S: Final = "cell_small"
_ORDER: Final = ("assumed", "estimated", "fitted", "datasheet", "measured")


def assumptions(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """What rests on measurement and what on guesses; assumptions first."""
    inputs = results.inputs
    tally = ", ".join(
        f"{number} {word(basis)}" for basis in reversed(_ORDER) if (number := sum(one.basis == basis for one in inputs))
    )
    story: list[Any] = [
        text(
            say(
                "assumptions.the_computation_used_an_assumption_is",
                inputs=count(len(inputs), "number"),
                tally=tally or say("assumptions.none"),
            ),
        )
    ]
    assumed = [one for one in inputs if one.basis == "assumed"]
    known = [one for basis in _ORDER[1:] for one in inputs if one.basis == basis]
    known += [one for one in inputs if one.basis not in _ORDER]
    source: Column[Input] = Column(say("columns.source"), lambda one: _marked(one.source) or NONE, share=1.9, style=_S)
    basis: Column[Input] = Column(say("assumptions.basis"), lambda one: word(one.basis), share=0.6, style=_S)
    if assumed:
        story += [heading(say("assumptions.assumed"), 2, "inputs-assumed"), _grouped(assumed, source)]
        if any(UNCHECKED in one.source for one in assumed):
            story.append(text(say("assumptions.unchecked"), "note"))
    if known:
        story += [heading(say("assumptions.stated"), 2, "inputs-stated"), _grouped(known, basis)]
    return story


def _grouped(rows: Sequence[Input], last: Column[Input]) -> Any:
    """A row for each value, with every device it holds of."""
    return table_of(
        rows,
        [
            Column(say("assumptions.device"), lambda one: name(one.device), row_head=True, share=1.15, style=_S),
            Column(say("assumptions.quantity"), lambda one: one.quantity, share=1.5, style=_S),
            Column(say("columns.value"), lambda one: _whole(one.value), share=0.62, style=_S),
            Column(say("columns.band"), _band, share=0.76, style=_S),
            last,
        ],
        alike=1,
    )


def _band(one: Input) -> str:
    return say("assumptions.band", low=_whole(one.low), high=_whole(one.high)) if one.low != one.high else NONE


def _marked(source: str) -> str:
    """A sign for what the note below the table says of many rows."""
    return source.replace(f", {UNCHECKED}", " †")


def _whole(value: str) -> str:
    """A number that is not torn from its unit."""
    return value.replace(" ", "\u00a0")
