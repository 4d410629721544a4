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
from dossier.reader.wording import say
from dossier.results.budget import BusBudget
from dossier.results.overview import Results
from dossier.results.sag import AmplifierSag, LoadCaseResult, OutcomeKind


def summary(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Worst voltage and loss per load case, balance, engine-off time, hottest conductor, findings."""
    story: list[Any] = [
        text(
            say("summary.what_follows_is_computed_from_the"),
            "body",
        )
    ]
    if results.load_cases:
        story.append(
            data_table(
                [
                    Column(say("summary.load_case"), share=1.35, row_head=True),
                    Column(say("columns.amplifier"), share=1.1),
                    num(say("summary.lowest_mean_v")),
                    num(say("summary.limit_v")),
                    num(say("summary.output_lost_db")),
                    Column(say("summary.outcome"), share=1.3),
                ],
                [_case(case) for case in results.load_cases],
            )
        )
    story.append(
        data_table(
            [Column(say("summary.in_short"), share=1.0, row_head=True), Column(say("summary.figure"), share=2.6)],
            _figures(results),
        )
    )
    return story


def outcome_mark(amplifier: AmplifierSag) -> str:
    """Markup: how a load case ends for one amplifier."""
    kind = amplifier.outcome.kind
    if kind is OutcomeKind.HOLDS and not amplifier.limits:
        return mark(Severity.NOTE, say("summary.plays"))
    if kind is OutcomeKind.HOLDS:
        return mark(Severity.OK, say("summary.holds"))
    if amplifier.outcome.is_collapse:
        return mark(Severity.STOP, say("summary.collapse"))
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
    return "" if case.statistic == "mean" else say("summary.judged_on_the", judged=judged(case))


def _at(bus: BusBudget) -> str:
    return f" ({name(bus.place, 40)})" if bus.tag else ""


def _figures(results: Results) -> list[list[Any]]:
    rows: list[list[Any]] = []
    for state in results.budget.states:
        parts = [
            say(
                "summary.balance_with", spare=spare(state.balances[level]), at=_at(state.least(level)), name=demand.name
            )
            for level, demand in enumerate(state.demands)
        ]
        if state.state in ("idle", "cruise") and parts:
            rows.append([say("summary.load_budget", state=word(state.state)), "; ".join(parts)])
    off = [
        say("summary.time_with", seconds=minutes(one.seconds), name=one.name)
        for one in results.budget.engine_off
        if one.seconds is not None
    ]
    if off:
        rows.append([say("summary.play_with_the_engine_off"), "; ".join(off)])
    loaded = [row for row in results.schedule if row.allowed is not None]
    if loaded:
        worst = max(loaded, key=lambda row: row.rms / row.allowed if row.allowed else math.inf)
        share = used(worst.rms, worst.allowed)
        rows.append(
            [
                say("summary.hardest_worked_conductor"),
                say(
                    "summary.a_rms_of_a_allowed_per",
                    title=name(worst.title),
                    rms=at_least(worst.rms),
                    allowed=at_most(worst.allowed),
                )
                + (f" ({share} %)" if share[0].isdigit() else ""),
            ]
        )
    rows.append(
        [
            say("summary.input_at_rated_output"),
            f"{at_least(results.budget.rated_input_a)} A, {fixed(results.budget.rated_input_w, 0)} W",
        ]
    )
    tally = [
        count(number, severity.word)
        for severity in (Severity.STOP, Severity.CAUTION, Severity.NOTE)
        if (number := sum(one.severity is severity for one in results.findings))
    ]
    rows.append([say("summary.findings"), ", ".join(tally) or say("summary.none")])
    return rows
