"""Sag figures placed on a page with their caption and their words for a reader who cannot see them."""

from __future__ import annotations

from functools import partial

from dossier import style
from dossier.figures.sag import MOST_LINES, drawn, sag
from dossier.pages.words import capital, fixed, word
from dossier.pdf.figure import FigureBox
from dossier.pdf.text import plain
from dossier.reader.wording import say
from dossier.results.sag import AmplifierSag, LoadCaseResult

SIZE = (style.LIVE_WIDTH, 146.0)


def _say(words: str) -> str:
    return capital(plain(words, 40))


def worst_of(case: LoadCaseResult) -> AmplifierSag:
    """The amplifier with the lowest voltage of a load case."""
    return next(one for one in case.amplifiers if one.id == case.worst)


def sag_box(case: LoadCaseResult, high: float = SIZE[1]) -> FigureBox:
    """The sag figure of a load case, ``high`` points high; every box of one case and height shares the figure."""
    size = (SIZE[0], high)
    worst = worst_of(case)
    low = worst.mean_minimum.volts
    alt = (
        say("plots.voltage_against_time_load_case_at", title=plain(case.title, 80), rest=fixed(worst.rest))
        + (say("plots.lowest_mean_v", low=fixed(low)) if low is not None else say("plots.the_voltage_collapses"))
        + f" {plain(outcome_sentence(worst))}"
    )
    name = f"sag-{case.id}" if high == SIZE[1] else f"sag-{case.id}-{high:.0f}"
    return FigureBox(name, partial(sag, case, size, _say), size, alt)


def outcome_sentence(one: AmplifierSag) -> str:
    """Who and what: the amplifier and how the load case ends for it."""
    return f"{capital(plain(one.title, 60))} {one.outcome.sentence.rstrip('.')}."


def not_drawn(case: LoadCaseResult) -> str:
    """A sentence naming how many amplifiers the figure leaves to the table; empty when it shows all."""
    rest = len(case.amplifiers) - sum(len(group) for group in drawn(case))
    return say("plots.voltages_are_drawn_the_worst_first", most_lines=MOST_LINES) if rest else ""


def judged(case: LoadCaseResult) -> str:
    """Which reading the limits judge, in words."""
    return word(case.statistic)
