"""The load budget: what is asked against what is supplied, by engine state, over a drive, and with the engine off."""

from __future__ import annotations

from functools import partial
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.figures.budget import budget as budget_figure
from dossier.pages.section import Stamp
from dossier.pages.words import fixed, minutes, word
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import Number, gap, heading, rich, text, together
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import plain
from dossier.results.budget import EngineBudget
from dossier.results.overview import Results

_SIZE = (style.LIVE_WIDTH, 165.0)


def load_budget(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Chart, table, drives and engine-off play."""
    load = results.budget
    story: list[Any] = [
        text(
            "The load budget sets the current asked by the vehicle and by the audio system against what "
            "the supplies can give at that engine state. Charge is balanced with mean currents; heating of "
            "cables is judged with rms currents in the schedule. In the trade's words a signal of 12 dB "
            "crest factor asks 1/8 of full power, 9 dB asks 1/4.",
        ),
    ]
    story.append(
        rich(
            f"<b>Peak input</b> of all amplifiers together at their rated output: {fixed(load.peak_input_w, 0)} "
            f"W, {fixed(load.peak_input_a, 0)} A.",
        )
    )
    if load.states:
        story += [
            together(
                _chart(results),
                text(
                    "Current asked at each engine state and programme level, against the supply (line). "
                    "Where a bar is higher than the line, the batteries pay the difference.",
                    "caption",
                ),
            ),
            _states(load.states),
        ]
    if load.drives:
        story.append(heading("Over a drive", 2, "budget-drive"))
        story.append(
            data_table(
                [
                    Column("Drive", row_head=True, share=3.0),
                    num("Duration"),
                    num("Into (+), out of (−)\nthe batteries, Ah"),
                ],
                [
                    [one.words, minutes(one.duration), fixed(one.charge / 3600.0, 1, sign=True)]
                    for one in load.drives
                ],
            )
        )
    if load.engine_off:
        story.append(heading("With the engine off", 2, "budget-off"))
        story.append(
            data_table(
                [
                    Column("Programme", row_head=True, share=0.9),
                    num("Discharge\nA"),
                    num("Time until the\nstart is at risk"),
                    Column("By which rule", share=2.2),
                ],
                [[one.name, fixed(one.amperes, 0), minutes(one.seconds), one.words] for one in load.engine_off],
            )
        )
    return [*story, gap(2)]


def _chart(results: Results) -> FigureBox:
    states = "; ".join(
        f"{word(one.state)}: supply {fixed(one.supply, 0)} A, asked "
        + ", ".join(fixed(one.base_load + demand.amperes, 0) for demand in one.demands)
        + " A"
        for one in results.budget.states
    )
    figure = partial(budget_figure, results.budget, _SIZE, partial(plain, limit=40))
    return FigureBox("load-budget", figure, _SIZE, f"Load budget. {plain(states, 500)}")


def _states(states: tuple[EngineBudget, ...]) -> Any:
    rows: list[list[Any]] = []
    blocks: list[tuple[int, int]] = []
    for state in states:
        blocks.append((len(rows), len(rows) + len(state.demands) - 1))
        for index, (demand, balance) in enumerate(zip(state.demands, state.balances, strict=True)):
            first = index == 0
            speed = f", {fixed(state.engine_rpm, 0)} r/min" if state.engine_rpm else ""
            rows.append(
                [
                    f"{word(state.state)}{speed}" if first else "",
                    demand.name,
                    fixed(state.volts, 1),
                    fixed(state.supply, 0),
                    fixed(state.base_load, 0),
                    fixed(demand.amperes, 0),
                    _balance(balance),
                ]
            )
    return data_table(
        [
            Column("Engine", row_head=True, share=1.0),
            Column("Programme", share=1.0),
            num("at\nV"),
            num("Supply\nA"),
            num("Vehicle\nA"),
            num("Audio\nA"),
            num("Balance\nA"),
        ],
        rows,
        blocks=blocks,
    )


def _balance(balance: float) -> Number:
    return Number(fixed(balance, 0, sign=True), "cell_bad" if balance < 0 else "cell")
