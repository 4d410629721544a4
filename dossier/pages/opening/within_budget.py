"""What to buy for the budget: the answer, cost against what is gained, and every combination that was computed."""

from __future__ import annotations

from functools import partial
from typing import Any

from dossier import style
from dossier.figures.combinations import combinations
from dossier.pages.words import NONE, fixed, low_v
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import heading, rich, text, together
from dossier.pdf.tables import Column, num, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.wording import say
from dossier.results.options import Combination, OptionComparison

_SIZE = (style.LIVE_WIDTH, 150.0)


def within_budget(found: OptionComparison) -> list[Any]:
    """Nothing where no budget is stated."""
    sums = found.within_budget
    if sums is None:
        return []
    unit = f"\n{sums.currency}"
    alt = say("options.cost_against_margin_alt", best=plain(sums.words[0], 200))
    figure = FigureBox("budget-front", partial(combinations, sums, _SIZE), _SIZE, alt)
    return [
        heading(say("options.within_the_budget"), 2, "options-budget"),
        *(rich(markup(words)) for words in sums.words),
        together(figure, text(say("options.cost_against_margin"), "caption")),
        table_of(
            sums.combinations,
            [
                Column(say("options.bought"), _title, share=2.0, row_head=True),
                num(say("options.cost", unit=unit), lambda one: fixed(one.cost, 0)),
                num(say("options.load_cases_kept"), lambda one: str(one.kept)),
                num(say("options.above_limits_v"), lambda one: NONE if one.margin is None else low_v(one.margin)),
                num(say("options.findings_added"), lambda one: str(len(one.adds))),
                num(say("options.stops_added"), lambda one: str(len(one.stops))),
            ],
        ),
    ]


def _title(one: Combination) -> Any:
    words = markup(plain(one.title, 160))
    return rich(f"<b>{words}</b>" if one.on_front else words, "cell")
