"""Options side by side: volts against note length, what each costs, where one overtakes another, a verdict in words."""

from __future__ import annotations

from functools import partial
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.figures.options import MOST_OPTIONS, drawn
from dossier.figures.options import options as options_figure
from dossier.pages.opening.sound_cost import gaps, sound
from dossier.pages.opening.within_budget import within_budget
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, added, fault_ka, fixed, low_v, minutes, spare, word
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import heading, rich, stacked, text, together
from dossier.pdf.tables import Column, num, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units
from dossier.reader.wording import say
from dossier.results.options import ASKING_LESS, Crossover, NoteReading, OptionComparison, OptionRow
from dossier.results.overview import Results
from dossier.results.sag import Band, Kept, Reading

_SIZE = (style.LIVE_WIDTH, 184.0)
_say = partial(plain, limit=46)
_DASH = "\u2013"


def options(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Verdict, figure, tables; nothing where no options were computed."""
    found = results.options
    if found is None:
        return []
    short, long = found.rows[0].short.seconds, found.rows[0].long.seconds
    first, *further = found.answer or ("",)
    story: list[Any] = [rich(f"<b>{markup(first)}</b>")] if first else []  # one short one: the figure stays with it
    if drawn(found):  # one line alone compares nothing
        story.append(together(_chart(build, found), text(_caption(found), "caption")))
    story += [rich(markup(sentence)) for sentence in dict.fromkeys((*further, *found.verdict)) if sentence != first]
    story += within_budget(found)
    story += _uses(found)
    story.append(text(_how_read(found, short, long), "small"))
    story.append(heading(say("options.voltage_at_the_worst_amplifier"), 2, "options-volts"))
    story.append(_volts(found))
    story.append(heading(say("options.sound_mass_and_money"), 2, "options-money"))
    story.append(_money(found, stamp.units))
    story.append(heading(say("options.charge_and_protection"), 2, "options-charge"))
    story.append(_charge(found))
    story += _added(found)
    if found.crossovers:
        story.append(heading(say("options.where_one_overtakes_another"), 2, "options-crossover"))
        story.append(_crossovers(found))
    story += gaps(found)
    story += sound(found)
    return story


def _uses(found: OptionComparison) -> list[Any]:
    """Every load case with its sentence, and a row for each option."""
    if not found.by_use:
        return []
    rows = [
        (use, row)
        for k in range(len(found.rows[0].uses))
        for row in found.rows
        for use in row.uses
        if use.case == found.rows[0].uses[k].case
    ]
    sampled = found.samples
    return [
        heading(say("options.load_case_by_load_case"), 2, "options-uses"),
        text(say("options.each_load_case_is_judged_by"), "note"),
        *(rich(markup(words)) for words in found.by_use),
        table_of(
            rows,
            [
                Column(say("options.way_to_go"), lambda one: _title(one[1]), share=1.6, row_head=True),
                Column(say("options.load_case"), lambda one: plain(one[0].title, 50), share=1.2),
                num(say("options.lowest_mean_v"), lambda one: _reading(one[0].mean)),
                Column(say("options.limits"), lambda one: _kept(one[0].kept), share=0.8),
                num(say("options.kept_of_samples"), lambda one: _percent(one[0].kept_share)) if sampled else None,
                num(say("options.best_of_samples"), lambda one: _percent(one[0].best_share)) if sampled else None,
                num(say("options.cost", unit=""), lambda one: NONE if one[1].cost is None else _cost(one[1], "")),
            ],
        ),
    ]


def _kept(kept: Kept | None) -> str:
    if kept is Kept.NOMINAL:
        return say("options.kept_nominal")
    if kept is Kept.SAMPLES:
        return say("options.kept_samples")
    return say("options.no_limit") if kept is None else say("options.kept_not")


def _how_read(found: OptionComparison, short: float, long: float) -> str:
    words = say(
        "options.every_way_to_go_plays_the",
        conditions=found.conditions,
        music_conditions=found.music_conditions,
        short=f"{short:.0f}",
        long=f"{long:.0f}",
    )
    if found.samples:
        words += say("options.in_brackets_stand_the_5_and", samples=found.samples)
    if found.with_readings:
        words += say("options.as_the_readings_leave_them")
    return words


def _caption(found: OptionComparison) -> str:
    words = say("options.lowest_mean_at_the_worst_amplifier")
    if sum(row.kind == "option" for row in found.rows) > len(drawn(found)):
        words += say("options.the_options_that_hold_most_are", most_options=MOST_OPTIONS)
    return words


def _chart(build: Build, found: OptionComparison) -> FigureBox:
    limit = build.amplifier_limit.mean.si if build.amplifier_limit.mean else None
    alt = say("options.mean_voltage_against_note_length") + " ".join(
        say(
            "options.volts_after",
            title=plain(row.title, 60),
            short=_plain_volts(row.short),
            short_s=f"{row.short.seconds:.0f}",
            long=_plain_volts(row.long),
            long_s=f"{row.long.seconds:.0f}",
        )
        for row in (found.rows[0], *drawn(found))
    )
    return FigureBox("options", partial(options_figure, found, limit, _SIZE, _say), _SIZE, alt)


def _plain_volts(reading: NoteReading) -> str:
    return say("options.cannot_be_held") if reading.mean.volts is None else f"{low_v(reading.mean.volts)} V"


def _title(row: OptionRow) -> Any:
    words = markup(plain(row.title, 60))
    return rich(
        f"<i>{words}</i>" if row.kind == "automatic" else f"<b>{words}</b>" if row.kind == "build" else words, "cell"
    )


def _edges(band: Band) -> str:
    low = say("options.collapse") if band.low is None else low_v(band.low)
    high = say("options.collapse") if band.high is None else low_v(band.high)
    return f"({low}{_DASH}{high})"


def _reading(reading: Reading | None) -> str | list[Any]:
    """The value, and its band under it."""
    if reading is None:
        return NONE
    volts = say("options.collapse") if reading.volts is None else low_v(reading.volts)
    return stacked(volts, _edges(reading.band)) if reading.band else volts


def _volts(found: OptionComparison) -> Any:
    short, long = found.rows[0].short.seconds, found.rows[0].long.seconds
    return table_of(
        found.rows,
        [
            Column("", _title, row_head=True),
            num(say("options.mean_short", short=f"{short:.0f}"), lambda row: _reading(row.short.mean)),
            num(say("options.trough_short", short=f"{short:.0f}"), lambda row: _reading(row.short.trough)),
            num(say("options.mean_long", long=f"{long:.0f}"), lambda row: _reading(row.long.mean)),
            num(say("options.trough_long", long=f"{long:.0f}"), lambda row: _reading(row.long.trough)),
            num(say("options.music_mean_v"), lambda row: _reading(row.music.mean)),
            num(say("options.music_trough_v"), lambda row: _reading(row.music.trough)),
            num(say("options.cannot_hold_of_samples"), lambda row: _percent(row.collapse_share))
            if found.samples
            else None,
        ],
    )


def _percent(share: float | None) -> str:
    return NONE if share is None else fixed(100.0 * share, 0)


def _gain(row: OptionRow, base: OptionRow, name: str) -> str:
    here, there = getattr(row, name), getattr(base, name)
    if row is base or here.mean.volts is None or there.mean.volts is None:
        return NONE
    words = fixed(here.mean.volts - there.mean.volts, 1, sign=True)
    if here.gain is None or here.gain.low is None or here.gain.high is None:
        return words
    return say(
        "options.gain_with_band",
        words=words,
        low=fixed(here.gain.low, 1, sign=True),
        high=fixed(here.gain.high, 1, sign=True),
    )


def _money(found: OptionComparison, units: Units) -> Any:
    base = found.rows[0]
    short, long = base.short.seconds, base.long.seconds
    currency = next((row.currency for row in found.rows if row.currency), "")
    unit = f"\n{currency}" if currency else ""
    return table_of(
        found.rows,
        [
            Column("", _title, row_head=True),
            num(say("options.output_short", short=f"{short:.0f}"), lambda row: fixed(row.short.output_db)),
            num(say("options.output_long", long=f"{long:.0f}"), lambda row: fixed(row.long.output_db)),
            num(say("options.gain_short", short=f"{short:.0f}"), lambda row: _gain(row, base, "short")),
            num(say("options.gain_long", long=f"{long:.0f}"), lambda row: _gain(row, base, "long")),
            num(say("options.mass", sign=units.sign("mass")), lambda row: added(units, row.mass)),
            num(say("options.cost", unit=unit), lambda row: _cost(row, currency)),
            num(
                say("options.per_volt_short", short=f"{short:.0f}", unit=unit),
                lambda row: _per_volt(row, base, "short"),
            ),
            num(say("options.per_volt_long", long=f"{long:.0f}", unit=unit), lambda row: _per_volt(row, base, "long")),
        ],
        filled=True,
    )


def _cost(row: OptionRow, currency: str) -> str:
    if row.cost is None:
        return NONE
    return fixed(row.cost, 0) if row.currency == currency else f"{fixed(row.cost, 0)} {row.currency}"


def _per_volt(row: OptionRow, base: OptionRow, name: str) -> str:
    """A price per volt, where there is one: paying for nothing is of no use."""
    return say("options.no_use") if row.is_no_use(base, name) else fixed(getattr(row, f"cost_per_volt_{name}"), 0)


def _charge(found: OptionComparison) -> Any:
    return table_of(
        found.rows,
        [
            Column("", _title, row_head=True),
            num(say("options.balance_idle_a"), lambda row: spare(row.balance_idle)),
            num(say("options.balance_cruise_a"), lambda row: spare(row.balance_cruise)),
            num(say("options.engine_off"), lambda row: minutes(row.engine_off)),
            num(say("options.largest_fault_ka"), lambda row: fault_ka(row.fault_current)),
            num(say("options.findings_added"), lambda row: str(len(row.adds)) if row.is_judged else NONE),
            num(say("options.findings_cured"), lambda row: str(len(row.cures)) if row.is_judged else NONE),
        ],
        filled=True,
    )


def _added(found: OptionComparison) -> list[Any]:
    story: list[Any] = [text(say("options.balance_and_engine_off_time_with"), "note")]
    for row in found.rows:
        if row.adds:
            first, *further = (rich(f"\u2022 {markup(plain(words, 300))}", "cell") for words in row.adds)
            story.append(together(rich(say("options.adds", title=markup(plain(row.title, 60))), "cell"), first))
            story += further
    changes = [row for row in found.rows if row.kind == "automatic" and row.id != ASKING_LESS]
    if changes:
        listed = ". ".join(f"{plain(row.title, 60)}: {plain(row.what, 300)}" for row in changes)
        story.append(text(say("options.what_the_rows_in_italics_change", listed=listed), "note"))
    return story


def _crossovers(found: OptionComparison) -> Any:
    titles = {row.id: plain(row.title, 60) for row in found.rows}
    sampled = found.samples
    return table_of(
        found.crossovers,
        [
            Column(say("options.holds_more_at_short_notes"), lambda one: titles[one.early], row_head=True),
            Column(say("options.holds_more_at_long_notes"), lambda one: titles[one.late]),
            Column(say("options.judged_on"), lambda one: word(one.statistic), share=0.35),
            num(say("options.from_a_note_of_s"), lambda one: _seconds(one.at)),
            num(say("options.five_to_95_s"), _range) if sampled else None,
            num(say("options.in_so_many_of_samples"), lambda one: _percent(one.share)) if sampled else None,
        ],
    )


def _seconds(value: float | None) -> str:
    return NONE if value is None else fixed(value, 0 if value >= 3.0 else 1)


def _range(one: Crossover) -> str:
    return (
        NONE
        if one.low is None or one.high is None
        else say("options.range", low=_seconds(one.low), high=_seconds(one.high))
    )
