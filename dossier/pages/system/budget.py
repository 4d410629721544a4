"""The load budget: what is asked against what is supplied, by engine state, over a drive, and with the engine off."""

from __future__ import annotations

import math
from functools import partial
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.figures.budget import budget as budget_figure
from dossier.pages.section import Stamp
from dossier.pages.words import at_least, at_most, fixed, minutes, name, spare, word
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import Number, gap, heading, rich, text, together
from dossier.pdf.tables import Column, data_table, num, table_of
from dossier.pdf.text import plain
from dossier.reader.wording import say
from dossier.results.budget import BusBudget, EngineBudget
from dossier.results.overview import Results

_SIZE = (style.LIVE_WIDTH, 165.0)


def load_budget(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Chart, table, drives and engine-off play."""
    load = results.budget
    story: list[Any] = [text(say("budget.the_load_budget_sets_the_current"))]
    story.append(
        rich(
            say(
                "budget.input_at_rated_output_of_all",
                rated_input_w=fixed(load.rated_input_w, 0),
                rated_input_a=at_least(load.rated_input_a),
            ),
        )
    )
    if load.states:
        story += [
            together(_chart(results), text(say("budget.current_asked_at_each_engine_state"), "caption")),
            *_states(load.states),
        ]
    several = any(one.place for one in load.drives)
    if load.drives:
        story.append(heading(say("budget.over_a_drive"), 2, "budget-drive"))
        story.append(
            table_of(
                load.drives,
                [
                    Column(say("budget.drive"), lambda one: one.words, row_head=True, share=3.0),
                    Column(say("budget.bus"), lambda one: name(one.place), share=1.2) if several else None,
                    num(say("budget.duration"), lambda one: minutes(one.duration)),
                    num(
                        say("budget.into_out_of_the_batteries_ah"),
                        lambda one: fixed(math.floor(one.charge / 360.0) / 10.0, 1, sign=True),
                    ),
                ],
            )
        )
    if load.engine_off:
        story.append(heading(say("budget.with_the_engine_off"), 2, "budget-off"))
        story.append(
            table_of(
                load.engine_off,
                [
                    Column(say("budget.programme"), lambda one: one.name, row_head=True, share=0.9),
                    num(say("budget.discharge_a"), lambda one: at_least(one.amperes)),
                    num(say("budget.time_until_a_battery_may_give"), lambda one: minutes(one.seconds)),
                    Column(say("budget.by_which_rule"), lambda one: one.words, share=2.2),
                ],
            )
        )
    return [*story, gap(2)]


def _chart(results: Results) -> FigureBox:
    states = "; ".join(
        say("budget.supply_a_asked", state=word(state.state), of=_of(bus), supply=at_most(bus.supply))
        + ", ".join(at_least(asked) for _, asked, _, _ in _levels(bus))
        + " A"
        for state in results.budget.states
        for bus in state.buses
    )
    figure = partial(budget_figure, results.budget, _SIZE, partial(plain, limit=40))
    return FigureBox("load-budget", figure, _SIZE, say("budget.load_budget", states=plain(states, 500)))


def _of(bus: BusBudget) -> str:
    return f", {bus.tag}" if bus.tag else ""


def _levels(bus: BusBudget) -> list[tuple[str, float, int, float]]:
    """Name, current asked in all [A], level and balance [A]; once where a bus knows no difference between them."""
    rows = [
        (demand.name, bus.base_load + taken + demand.amperes, level, balance)
        for level, (demand, taken, balance) in enumerate(zip(bus.demands, bus.passed_on, bus.balances, strict=True))
    ]
    return rows if len(set(bus.balances)) > 1 or len(rows) < 2 else [(say("budget.no_amplifier"), *rows[0][1:])]


def _states(states: tuple[EngineBudget, ...]) -> list[Any]:
    several = any(bus.tag for state in states for bus in state.buses)
    converts = any(any(bus.passed_on) for state in states for bus in state.buses)
    rows: list[list[Any]] = []
    blocks: list[tuple[int, int]] = []
    for state in states:
        speed = say("budget.engine_speed", engine_rpm=fixed(state.engine_rpm, 0)) if state.engine_rpm else ""
        for at, bus in enumerate(state.buses):
            found = _levels(bus)
            blocks.append((len(rows), len(rows) + len(found) - 1))
            for index, (programme, _, level, balance) in enumerate(found):
                first = index == 0
                rows.append(
                    [
                        f"{word(state.state)}{speed}" if first and at == 0 else "",
                        *([bus.tag if first else ""] if several else []),
                        programme,
                        fixed(bus.volts, 1),
                        at_most(bus.supply),
                        at_least(bus.base_load),
                        *([at_least(bus.passed_on[level])] if converts else []),
                        at_least(bus.demands[level].amperes),
                        _balance(balance),
                    ]
                )
    table = data_table(
        [
            Column(say("budget.engine"), row_head=True, share=1.0),
            *([Column(say("budget.bus"), share=0.3)] if several else []),
            Column(say("budget.programme"), share=1.0),
            num(say("budget.at_v")),
            num(say("budget.supply_a")),
            num(say("budget.vehicle_a")),
            *([num(say("budget.converters_a"))] if converts else []),
            num(say("budget.audio_a")),
            num(say("budget.balance_a")),
        ],
        rows,
        blocks=blocks,
    )
    return [table, *_legend(states, converts)] if several else [table]


def _legend(states: tuple[EngineBudget, ...], converts: bool) -> list[Any]:
    titles = {bus.tag: bus.place for state in states for bus in state.buses}
    buses = "; ".join(f"{tag}: {name(place)}" for tag, place in sorted(titles.items()))
    words = say("budget.bus_what_one_bus_has_to", buses=buses)
    if converts:
        words += say("budget.a_converter_is_counted_with_all")
    return [text(words, "note")]


def _balance(balance: float) -> Number:
    return Number(spare(balance), "cell_bad" if balance < 0 else "cell")
