"""The summary: the few numbers that matter, each on one line with where to read on."""

from __future__ import annotations

import math
from typing import Any

from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.plots import judged, worst_of
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, at_least, at_most, count, fixed, minutes, name, spare, used, word
from dossier.pdf.flow import rich, text
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, data_table, num
from dossier.results.budget import BusBudget
from dossier.results.overview import Results
from dossier.results.sag import AmplifierSag, LoadCaseResult, OutcomeKind


def summary(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Worst voltage and loss per load case, balance, engine-off time, hottest conductor, findings."""
    story: list[Any] = [
        text(
            "What follows is computed from the build file attached to this document. Voltage is between the "
            "positive and "
            "the negative terminal of the amplifier, not against the body.",
            "body",
        )
    ]
    if results.load_cases:
        story.append(
            data_table(
                [
                    Column("Load case", share=1.35, row_head=True),
                    Column("Amplifier", share=1.1),
                    num("Lowest mean\nV"),
                    num("Limit\nV"),
                    num("Output lost\ndB"),
                    Column("Outcome", share=1.3),
                ],
                [_case(case) for case in results.load_cases],
            )
        )
    story.append(
        data_table([Column("In short", share=1.0, row_head=True), Column("Figure", share=2.6)], _figures(results))
    )
    return story


def outcome_mark(amplifier: AmplifierSag) -> str:
    """Markup: how a load case ends for one amplifier."""
    kind = amplifier.outcome.kind
    if kind is OutcomeKind.HOLDS:
        return mark(Severity.OK, "Holds")
    if amplifier.outcome.is_collapse:
        return mark(Severity.STOP, "Collapse")
    return mark(Severity.CAUTION, kind.value[0].upper() + kind.value[1:])


def _case(case: LoadCaseResult) -> list[Any]:
    worst = worst_of(case)
    limit = min((check.limit for check in worst.limits), default=None)
    return [
        name(case.title),
        name(worst.title),
        fixed(worst.mean_minimum.volts),
        f"{fixed(limit)}" if limit else NONE,
        fixed(worst.lost_db),
        rich(outcome_mark(worst) + _judged(case), "cell"),
    ]


def _judged(case: LoadCaseResult) -> str:
    return "" if case.statistic == "mean" else f" (judged on the {judged(case)})"


def _at(bus: BusBudget) -> str:
    return f" ({name(bus.place, 40)})" if bus.tag else ""


def _figures(results: Results) -> list[list[Any]]:
    rows: list[list[Any]] = []
    for state in results.budget.states:
        parts = [
            f"{spare(state.balances[level])} A{_at(state.least(level))} with {demand.name}"
            for level, demand in enumerate(state.demands)
        ]
        if state.state in ("idle", "cruise") and parts:
            rows.append([f"Load budget, {word(state.state)}", "; ".join(parts)])
    off = [
        f"{minutes(one.seconds)} with {one.name}" for one in results.budget.engine_off if one.seconds is not None
    ]
    if off:
        rows.append(["Play with the engine off", "; ".join(off)])
    loaded = [row for row in results.schedule if row.allowed is not None]
    if loaded:
        worst = max(loaded, key=lambda row: row.rms / row.allowed if row.allowed else math.inf)
        share = used(worst.rms, worst.allowed)
        rows.append(
            [
                "Hardest-worked conductor",
                f"{name(worst.title)}: {at_least(worst.rms)} A rms of {at_most(worst.allowed)} A allowed "
                "per run"
                + (f" ({share} %)" if share[0].isdigit() else ""),
            ]
        )
    rows.append(
        [
            "Input at rated output",
            f"{at_least(results.budget.rated_input_a)} A, {fixed(results.budget.rated_input_w, 0)} W",
        ]
    )
    tally = [
        count(number, severity.word)
        for severity in (Severity.STOP, Severity.CAUTION, Severity.NOTE)
        if (number := sum(one.severity is severity for one in results.findings))
    ]
    rows.append(["Findings", ", ".join(tally) or "none"])
    return rows
