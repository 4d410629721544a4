"""Voltage in time: one plot, its readings and the shares of the sources for every load case."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.plots import not_drawn, outcome_sentence, sag_box, worst_of
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, fixed, name, word
from dossier.pdf.flow import gap, heading, rich, stacked, text, together
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, data_table, num, table_of
from dossier.pdf.text import markup
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.ripple import RippleReading
from dossier.results.sag import AmplifierSag, LimitCheck, LoadCaseResult, OutcomeKind, Reading, SourceShare

_HALF = (style.LIVE_WIDTH - style.GUTTER) / 2


def voltage(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """How to read the voltages, then every load case."""
    story: list[Any] = [
        rich(
            say("voltage.which_instrument_shows_which_a_multimeter"),
        ),
        text(
            say("voltage.a_limit_is_judged_on_the"),
            "body",
        ),
    ]
    story += [text(_ripple(one), "note") for one in results.recorded.ripples]
    for case in results.load_cases:
        story += _case(case)
    return story


def outcome_mark(amplifier: AmplifierSag) -> str:
    """Markup: how a load case ends for one amplifier."""
    kind = amplifier.outcome.kind
    if kind is OutcomeKind.HOLDS and not amplifier.limits:
        return mark(Severity.NOTE, say("voltage.plays"))
    if kind is OutcomeKind.HOLDS:
        return mark(Severity.OK, say("voltage.holds"))
    if amplifier.outcome.is_collapse:
        return mark(Severity.STOP, say("voltage.collapse"))
    return mark(Severity.CAUTION, kind.value[0].upper() + kind.value[1:])


def _ripple(one: RippleReading) -> str:
    """What a reading of alternating volts said of an amplifier's ripple."""
    parts = {
        "title": name(one.title),
        "ac": fixed(one.ac, 2),
        "dc": fixed(one.dc, 2),
        "case": name(one.case),
        "tone": fixed(one.tone, 0),
        "words": one.words,
    }
    read = say("voltage.ripple_read" if one.dc is None else "voltage.ripple_read_with_dc", **parts)
    if one.fraction is None:
        return read
    low, high = fixed(one.lowest, 2), fixed(one.highest, 2)
    return f"{read} {say('voltage.ripple_swings', fraction=fixed(one.fraction, 2), low=low, high=high)}"


def _case(case: LoadCaseResult) -> list[Any]:
    played = say(
        "voltage.engine_drive_level_db_re_rated",
        engine=case.engine,
        signal=case.signal,
        drive=case.drive,
        level_db=fixed(case.level_db),
    )
    story: list[Any] = [heading(case.title, 2, f"case-{case.id}")]
    story += [
        text(played, "note"),
        together(sag_box(case), gap(2)),
        rich(f"{outcome_mark(worst_of(case))}&nbsp; {markup(outcome_sentence(worst_of(case)))}"),
    ]
    if left := not_drawn(case):
        story.append(text(left, "note"))
    story.append(_amplifiers(case))
    others = _outcomes(case)
    if others:
        story += [together(*others), gap(6)]
    if len(case.locations) + len(case.sources) <= 24:
        story.append(columns([[_locations(case, _HALF)], [_sources(case, _HALF)]]))
    else:
        story += [_locations(case, style.LIVE_WIDTH), _sources(case, style.LIVE_WIDTH)]
    return story


def _outcomes(case: LoadCaseResult) -> list[Any]:
    """How the load case ends for the other amplifiers, one line for those of one outcome."""
    alike: dict[str, list[AmplifierSag]] = {}
    for one in case.amplifiers:
        if one.id != case.worst and one.outcome.sentence:
            alike.setdefault(f"{outcome_mark(one)} {one.outcome.sentence}", []).append(one)
    made = []
    for group in alike.values():
        if len(group) == 1:
            words = outcome_sentence(group[0])
        else:
            words = say("voltage.each_of_them", names=_names(group), outcome=group[0].outcome.sentence.rstrip("."))
        made.append(rich(f"{outcome_mark(group[0])}&nbsp; {markup(words)}", "cell"))
    return made


def _names(group: Sequence[AmplifierSag]) -> str:
    return ", ".join(name(one.title, 60) for one in group)


def _amplifiers(case: LoadCaseResult) -> Any:
    rows: list[list[AmplifierSag]] = []
    for one in case.amplifiers:
        like = next((group for group in rows if _one_row(group[0], one)), None)
        if like is None:
            rows.append([one])
        else:
            like.append(one)
    return data_table(
        [
            Column(say("columns.amplifier"), share=1.0, row_head=True),
            num(say("voltage.at_rest_v")),
            num(say("voltage.mean_v")),
            num(say("voltage.hundred_ms_v")),
            num(say("voltage.trough_v")),
            Column(say("voltage.limit"), share=0.8),
            num(say("voltage.in_mean_a")),
            num(say("voltage.in_peak_a")),
            num(say("columns.output_w")),
            num(say("columns.lost_db")),
        ],
        [_amplifier(group) for group in rows],
    )


def _one_row(a: AmplifierSag, b: AmplifierSag) -> bool:
    """Whether all but the name is printed the same; currents may differ by a hundredth, the larger is printed."""
    currents = ((a.input_a_mean, b.input_a_mean), (a.input_a_peak, b.input_a_peak))
    return _printed(a) == _printed(b) and all(
        x == y if x is None or y is None else abs(x - y) <= max(0.01 * x, 0.5) for x, y in currents
    )


def _printed(one: AmplifierSag) -> tuple[Any, ...]:
    readings = (_reading_words(one.mean_minimum), _reading_words(one.minimum_100ms), _reading_words(one.trough_minimum))
    return (fixed(one.rest), *readings, _limits(one.limits), fixed(one.output_w, 0), fixed(one.lost_db))


def _most(amperes: Iterable[float | None]) -> float | None:
    return max((a for a in amperes if a is not None), default=None)


def _limits(checks: Sequence[LimitCheck]) -> tuple[tuple[str, str], ...]:
    """Every limit in words, and the share of the samples that keep it, if there are any."""
    return tuple(
        (
            f"{word(check.statistic)} {fixed(check.limit)}\u00a0V\u00a0"
            + (say("voltage.kept") if check.holds else say("voltage.missed")),
            ""
            if check.kept_share is None
            else say("voltage.kept_by_of_the_samples", percent=_percent(check.kept_share)),
        )
        for check in checks
    )


def _percent(share: float) -> str:
    """A share of about a hundred samples: none or all of them says no more than that."""
    if share in (0.0, 1.0):
        return say("voltage.none") if share == 0.0 else say("voltage.all")
    return f"{100.0 * min(max(share, 0.01), 0.99):.0f}\u00a0%"


def _limit_cell(checks: Sequence[LimitCheck], silent: str) -> Any:
    lines: list[Any] = []
    for words, share in _limits(checks):
        lines.append(text(words, "cell"))
        if share:
            lines.append(text(share, "note"))
    return lines or silent


def _amplifier(group: Sequence[AmplifierSag]) -> list[Any]:
    """A row for amplifiers that are printed alike, with the largest of their currents."""
    one = group[0]
    return [
        _names(group),
        fixed(one.rest),
        _reading(one.mean_minimum),
        _reading(one.minimum_100ms),
        _reading(one.trough_minimum),
        _limit_cell(one.limits, say("voltage.none_stated")),
        fixed(_most(a.input_a_mean for a in group), 0),
        fixed(_most(a.input_a_peak for a in group), 0),
        fixed(one.output_w, 0),
        fixed(one.lost_db),
    ]


def _reading(reading: Reading | None) -> Any:
    """A voltage to 0.1 V, its band, if there is one, below it."""
    return stacked(*_reading_words(reading))


def _reading_words(reading: Reading | None) -> tuple[str, ...]:
    if reading is None:
        return (NONE,)
    if reading.band is None:
        return (fixed(reading.volts),)
    band = reading.band
    low = say("voltage.collapse") if band.low is None else fixed(band.low)
    high = say("voltage.collapse") if band.high is None else fixed(band.high)
    return fixed(reading.volts), say("voltage.band", low=low, high=high)


def _locations(case: LoadCaseResult, total: float) -> Any:
    judged = any(one.limits for one in case.locations)
    return table_of(
        case.locations,
        [
            Column(say("columns.location"), lambda one: name(one.title), row_head=True),
            num(say("voltage.at_rest_v"), lambda one: fixed(one.rest)),
            num(say("voltage.lowest_mean_v"), lambda one: _reading(one.mean_minimum)),
            Column(say("voltage.limit"), lambda one: _limit_cell(one.limits, NONE), share=0.8) if judged else None,
        ],
        total=total,
    )


def _sources(case: LoadCaseResult, total: float) -> Any:
    return table_of(
        case.sources,
        [
            Column(say("voltage.source_while_the_sound_played"), lambda one: name(one.title), row_head=True),
            num(say("voltage.mean_a"), lambda one: fixed(one.mean_a, 0)),
            num(say("columns.peak_a"), lambda one: fixed(one.peak_a, 0)),
            num(say("voltage.share"), _percent_of_charge),
        ],
        total=total,
    )


def _percent_of_charge(one: SourceShare) -> str:
    return NONE if one.share is None else fixed(100 * one.share, 0)
