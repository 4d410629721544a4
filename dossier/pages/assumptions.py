"""Assumptions and inputs: every number the computation used, with its band, its basis and its source."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, count, word
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, data_table
from dossier.pdf.text import markup
from dossier.results.inputs import Input
from dossier.results.overview import Results

_ORDER: Final = ("assumed", "estimated", "fitted", "datasheet", "measured")


def assumptions(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """What rests on measurement and what on guesses; assumptions first."""
    inputs = results.inputs
    tally = ", ".join(
        f"{number} {word(basis)}" for basis in reversed(_ORDER)
        if (number := sum(one.basis == basis for one in inputs))
    )
    story: list[Any] = [text(
        f"The computation used {count(len(inputs), 'number')}: {tally or 'none'}. An assumption is a number the build file "
        "does not state; it is printed with its plausible band and its source. A plain value in the build file counts as "
        "a data-sheet value.",
    )]
    assumed = [one for one in inputs if one.basis == "assumed"]
    known = [one for basis in _ORDER[1:] for one in inputs if one.basis == basis]
    known += [one for one in inputs if one.basis not in _ORDER]
    if assumed:
        story.append(heading("Assumptions", 2, "inputs-assumed"))
        story.append(data_table(
            [Column("Device", row_head=True, share=0.95), Column("Quantity", share=1.05), Column("Value", share=0.6),
             Column("Band", share=0.85), Column("Source", share=1.75, style="cell_small")],
            [[one.device, one.quantity, one.value, _band(one), one.source or NONE] for one in assumed],
        ))
    if known:
        story.append(heading("Stated values", 2, "inputs-stated"))
        story.append(data_table(
            [Column("Device", row_head=True, share=1.0), Column("Quantity", share=1.3), Column("Value", share=0.7),
             Column("Band", share=1.0), Column("Basis", share=0.6), Column("In the build file", share=1.5)],
            [[one.device, one.quantity, one.value, _band(one), word(one.basis), _path(one.path)] for one in known],
        ))
    return story


def _path(path: str) -> Any:
    """A dotted path; a long one breaks before its last name."""
    head, _, tail = path.rpartition(".")
    shown = f"{markup(head)}.<br/>{markup(tail)}" if len(path) > 26 and head else markup(path)
    return rich(shown, "cell_small_muted")


def _band(one: Input) -> str:
    return f"{one.low} to {one.high}" if one.low != one.high else NONE
