"""Voltage in time: one plot, its readings and the shares of the sources for every load case."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.plots import not_drawn, outcome_sentence, sag_box, worst_of
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, at_least, fixed, limit_v, low_v, name, word
from dossier.pdf.flow import gap, heading, rich, stacked, text, together
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, data_table, num, table_of
from dossier.pdf.text import markup
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.ripple import RippleReading
from dossier.results.sag import AmplifierSag, Kept, LimitCheck, LoadCaseResult, OutcomeKind, Reading, SourceShare

_ROOM = style.LIVE_WIDTH - style.GUTTER
_SHARES = (0.58, 0.42)  # of places, whose names are long, and of sources
_HIGH = 96.0  # pt, of a figure: two load cases to a page


def voltage(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """How to read the voltages, then every load case."""
    story: list[Any] = [
        rich(say("voltage.which_instrument_shows_which_a_multimeter")),
        text(say("voltage.a_limit_is_judged_on_the"), "body"),
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
    body = [text(played, "note"), sag_box(case, _HIGH), gap(2), rich(_judged(case))]
    if left := not_drawn(case):
        body.append(text(left, "note"))
    body += [_amplifiers(case), *_outcomes(case)]
    if len(case.locations) + len(case.sources) <= 24:
        places, sources = (_ROOM * share for share in _SHARES)
        body.append(columns([[_locations(case, places)], [_sources(case, sources)]], shares=_SHARES))
        return [heading(case.title, 2, f"case-{case.id}"), together(*body)]
    return [
        heading(case.title, 2, f"case-{case.id}"),
        together(*body),
        _locations(case, style.LIVE_WIDTH),
        _sources(case, style.LIVE_WIDTH),
    ]


def _judged(case: LoadCaseResult) -> str:
    """Markup: how it ends for the worst amplifier, and every limit with what became of it."""
    worst = worst_of(case)
    checks = [(worst.title, one) for one in worst.limits]
    checks += [(place.title, one) for place in case.locations for one in place.limits]
    limits = [_limit(name(title, 60), check) for title, check in checks]
    return f"{outcome_mark(worst)}&nbsp; {markup(' '.join([outcome_sentence(worst), *limits]))}"


def _limit(place: str, check: LimitCheck) -> str:
    share = "" if check.kept_share is None else say("voltage.met_in", percent=_percent(check.kept_share))
    words = {"place": place, "limit": limit_v(check.limit), "statistic": word(check.statistic), "share": share}
    if check.kept is Kept.NOMINAL:
        return say("voltage.limit_kept", **words)
    if check.kept is Kept.SAMPLES:
        return say("voltage.limit_kept_in_samples", **words)
    return say("voltage.limit_missed", **words)


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
            num(say("voltage.in_mean_a")),
            num(say("voltage.in_peak_a")),
            num(say("columns.output_w")),
            num(say("columns.lost_db")),
        ],
        [_amplifier(group) for group in rows],
        after=4.0,
    )


def _one_row(a: AmplifierSag, b: AmplifierSag) -> bool:
    """Whether all but the name is printed the same; currents may differ by a hundredth, the larger is printed."""
    currents = ((a.input_a_mean, b.input_a_mean), (a.input_a_peak, b.input_a_peak))
    return _printed(a) == _printed(b) and all(
        x == y if x is None or y is None else abs(x - y) <= max(0.01 * x, 0.5) for x, y in currents
    )


def _printed(one: AmplifierSag) -> tuple[Any, ...]:
    readings = (_reading_words(one.mean_minimum), _reading_words(one.minimum_100ms), _reading_words(one.trough_minimum))
    return (low_v(one.rest), *readings, fixed(one.output_w, 0), fixed(one.lost_db))


def _most(amperes: Iterable[float | None]) -> float | None:
    return max((a for a in amperes if a is not None), default=None)


def _percent(share: float) -> str:
    """A share of about a hundred samples: none or all of them says no more than that."""
    return f"{share if share in (0.0, 1.0) else min(max(share, 0.01), 0.99):.0%}".rstrip("%")


def _amplifier(group: Sequence[AmplifierSag]) -> list[Any]:
    """A row for amplifiers that are printed alike, with the largest of their currents."""
    one = group[0]
    return [
        _names(group),
        low_v(one.rest),
        _reading(one.mean_minimum),
        _reading(one.minimum_100ms),
        _reading(one.trough_minimum),
        at_least(_most(a.input_a_mean for a in group)),
        at_least(_most(a.input_a_peak for a in group)),
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
        return (low_v(reading.volts),)
    band = reading.band
    low = say("voltage.collapse") if band.low is None else low_v(band.low)
    high = say("voltage.collapse") if band.high is None else low_v(band.high)
    return low_v(reading.volts), say("voltage.band", low=low, high=high)


def _band(reading: Reading) -> str:
    return (*_reading_words(reading), NONE)[1]


def _locations(case: LoadCaseResult, total: float) -> Any:
    banded = any(one.mean_minimum.band is not None for one in case.locations)
    return table_of(
        case.locations,
        [
            Column(say("columns.location"), lambda one: name(one.title), row_head=True),
            num(say("voltage.at_rest_v"), lambda one: low_v(one.rest)),
            num(say("voltage.lowest_mean_v"), lambda one: _reading_words(one.mean_minimum)[0]),
            num(say("voltage.five_to_95"), lambda one: _band(one.mean_minimum)) if banded else None,
        ],
        alike=1,
        total=total,
    )


def _sources(case: LoadCaseResult, total: float) -> Any:
    return table_of(
        case.sources,
        [
            Column(say("voltage.source_while_the_sound_played"), lambda one: name(one.title), row_head=True),
            num(say("voltage.mean_a"), lambda one: at_least(one.mean_a)),
            num(say("columns.peak_a"), lambda one: at_least(one.peak_a)),
            num(say("voltage.share"), _percent_of_charge),
        ],
        total=total,
    )


def _percent_of_charge(one: SourceShare) -> str:
    return NONE if one.share is None else fixed(100 * one.share, 0)
