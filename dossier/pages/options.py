"""Options side by side: volts against note length, what each costs, where one overtakes another, a verdict in words."""

from __future__ import annotations

from functools import partial
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.figures.options import MOST_OPTIONS, drawn
from dossier.figures.options import options as options_figure
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, added, fixed, minutes, word
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import heading, rich, text, together
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units
from dossier.results.options import Crossover, NoteReading, OptionComparison, OptionRow
from dossier.results.overview import Results
from dossier.results.sag import Band, Reading

_SIZE = (style.LIVE_WIDTH, 184.0)
_say = partial(plain, limit=46)
_DASH = "\u2013"


def options(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Verdict, figure, tables; nothing where no options were computed."""
    found = results.options
    if found is None:
        return []
    short, long = found.rows[0].short.seconds, found.rows[0].long.seconds
    first, *further = found.verdict or ("",)
    story: list[Any] = [rich(f"<b>{markup(first)}</b>")] if first else []  # one short one: the figure stays with it
    story.append(together(_chart(build, found), text(_caption(found), "caption")))
    story += [rich(markup(sentence)) for sentence in further]
    story.append(text(_how_read(found, short, long)))
    story.append(heading("Voltage at the worst amplifier", 2, "options-volts"))
    story.append(_volts(found))
    story.append(heading("Sound, mass and money", 2, "options-money"))
    story.append(_money(found, stamp.units))
    story.append(heading("Charge and protection", 2, "options-charge"))
    story.append(_charge(found))
    story += _added(found)
    if found.crossovers:
        story.append(heading("Where one overtakes another", 2, "options-crossover"))
        story.append(_crossovers(found))
    story += _gaps(found)
    story += _sound(found)
    return story


def _how_read(found: OptionComparison, short: float, long: float) -> str:
    words = (
        f"Every way to go plays the same note ({found.conditions}) and the same music ({found.music_conditions}). The "
        f"voltages are the lowest up to {short:.0f} s and up to {long:.0f} s of note; a voltmeter shows the mean, an "
        "oscilloscope the trough. Rows in italics need not be bought from anybody."
    )
    if found.samples:
        words += (
            f" In brackets stand the 5 and 95 % edges of {found.samples} samples of all inputs within their "
            f"tolerances. The "
            "samples are the same for every row, so that gains are known better than voltages. Where too many samples "
            "collapse or shut down to state an edge, it says so."
        )
    return words


def _caption(found: OptionComparison) -> str:
    words = (
        "Lowest mean at the worst amplifier up to the end of a note of that length, nominal values. A cross marks the "
        "longest note that can be held; the ring, and the band around it, where the best at long notes overtakes "
        "the best "
        "at short ones."
    )
    if sum(row.kind == "option" for row in found.rows) > len(drawn(found)):
        words += f" The {MOST_OPTIONS} options that hold most are drawn; the tables name all."
    return words


def _chart(build: Build, found: OptionComparison) -> FigureBox:
    limit = build.amplifier_limit.mean.si if build.amplifier_limit.mean else None
    alt = "Mean voltage against note length. " + " ".join(
        f"{plain(row.title, 60)}: {_plain_volts(row.short)} after {row.short.seconds:.0f} s, "
        f"{_plain_volts(row.long)} after "
        f"{row.long.seconds:.0f} s."
        for row in (found.rows[0], *drawn(found))
    )
    return FigureBox("options", partial(options_figure, found, limit, _SIZE, _say), _SIZE, alt)


def _plain_volts(reading: NoteReading) -> str:
    return "cannot be held" if reading.mean.volts is None else f"{reading.mean.volts:.1f} V"


def _title(row: OptionRow) -> Any:
    words = markup(plain(row.title, 60))
    return rich(
        f"<i>{words}</i>" if row.kind == "automatic" else f"<b>{words}</b>" if row.kind == "build" else words, "cell"
    )


def _edges(band: Band | None) -> str:
    if band is None:
        return ""
    low = "collapse" if band.low is None else fixed(band.low)
    high = "collapse" if band.high is None else fixed(band.high)
    return f"\u00a0({low}{_DASH}{high})"


def _reading(reading: Reading | None) -> str:
    if reading is None:
        return NONE
    volts = "collapse" if reading.volts is None else fixed(reading.volts)
    return f"{volts}{_edges(reading.band)}"


def _volts(found: OptionComparison) -> Any:
    short, long = found.rows[0].short.seconds, found.rows[0].long.seconds
    heads = [
        Column("", share=1.0, row_head=True),
        num(f"{short:.0f} s, mean\nV"),
        num(f"{short:.0f} s, trough\nV"),
        num(f"{long:.0f} s, mean\nV"),
        num(f"{long:.0f} s, trough\nV"),
        num("Music, mean\nV"),
    ]
    if found.samples:
        heads.append(num("Cannot hold\n% of samples"))
    rows = []
    for row in found.rows:
        cells = [
            _title(row),
            _reading(row.short.mean),
            _reading(row.short.trough),
            _reading(row.long.mean),
            _reading(row.long.trough),
            _reading(row.music),
        ]
        if found.samples:
            cells.append(fixed(100.0 * row.collapse_share, 0) if row.collapse_share is not None else NONE)
        rows.append(cells)
    return data_table(heads, rows)


def _gain(row: OptionRow, base: OptionRow, name: str) -> str:
    here, there = getattr(row, name), getattr(base, name)
    if row is base or here.mean.volts is None or there.mean.volts is None:
        return NONE
    words = fixed(here.mean.volts - there.mean.volts, 1, sign=True)
    if here.gain is None or here.gain.low is None or here.gain.high is None:
        return words
    return f"{words}\u00a0({fixed(here.gain.low, 1, sign=True)} to {fixed(here.gain.high, 1, sign=True)})"


def _money(found: OptionComparison, units: Units) -> Any:
    base = found.rows[0]
    short, long = base.short.seconds, base.long.seconds
    currency = next((row.currency for row in found.rows if row.currency), "")
    unit = f"\n{currency}" if currency else ""
    heads = [
        Column("", share=1.0, row_head=True),
        num(f"Output {short:.0f} s\ndB re rated"),
        num(f"Output {long:.0f} s\ndB re rated"),
        num(f"Gain {short:.0f} s\nV"),
        num(f"Gain {long:.0f} s\nV"),
        num(f"Mass\n{units.sign('mass')}"),
        num(f"Cost{unit}"),
        num(f"per volt, {short:.0f} s{unit}"),
        num(f"per volt, {long:.0f} s{unit}"),
    ]
    rows = [
        [
            _title(row),
            fixed(row.short.output_db),
            fixed(row.long.output_db),
            _gain(row, base, "short"),
            _gain(row, base, "long"),
            added(units, row.mass),
            _cost(row, currency),
            fixed(row.cost_per_volt_short, 0),
            fixed(row.cost_per_volt_long, 0),
        ]
        for row in found.rows
    ]
    return data_table(heads, rows)


def _cost(row: OptionRow, currency: str) -> str:
    if row.cost is None:
        return NONE
    return fixed(row.cost, 0) if row.currency == currency else f"{fixed(row.cost, 0)} {row.currency}"


def _charge(found: OptionComparison) -> Any:
    heads = [
        Column("", share=1.0, row_head=True),
        num("Balance, idle\nA"),
        num("Balance, cruise\nA"),
        num("Engine off"),
        num("Largest fault\nkA"),
        num("Findings\nadded"),
        num("Findings\ncured"),
    ]
    rows = [
        [
            _title(row),
            fixed(row.balance_idle, 0, sign=True),
            fixed(row.balance_cruise, 0, sign=True),
            minutes(row.engine_off),
            fixed(None if row.fault_current is None else row.fault_current / 1e3),
            str(len(row.adds)) if row.kind == "option" else NONE,
            str(len(row.cures)) if row.kind == "option" else NONE,
        ]
        for row in found.rows
    ]
    return data_table(heads, rows)


def _added(found: OptionComparison) -> list[Any]:
    story: list[Any] = [
        text(
            "Balance and engine-off time with music at 1/8 power. Findings: stop and caution; those an option adds are "
            "listed here. An option is only complete with what they ask for.",
            "note",
        )
    ]
    for row in found.rows:
        if row.adds:
            story.append(rich(f"<b>{markup(plain(row.title, 60))}</b> adds:", "cell"))
            story += [rich(f"\u2022 {markup(plain(words, 300))}", "cell") for words in row.adds]
    changes = [row for row in found.rows if row.kind == "automatic" and row.what != "level only"]
    if changes:
        listed = ". ".join(f"{plain(row.title, 60)}: {plain(row.what, 300)}" for row in changes)
        story.append(text(f"What the rows in italics change. {listed}.", "note"))
    return story


def _crossovers(found: OptionComparison) -> Any:
    titles = {row.id: plain(row.title, 60) for row in found.rows}
    heads = [
        Column("Holds more at short notes", share=1.0, row_head=True),
        Column("Holds more at long notes", share=1.0),
        Column("Judged on", share=0.35),
        num("From a note of\ns"),
    ]
    if found.samples:
        heads += [num("5 to 95 %\ns"), num("In so many\n% of samples")]
    rows = []
    for one in found.crossovers:
        cells: list[Any] = [titles[one.early], titles[one.late], word(one.statistic), _seconds(one.at)]
        if found.samples:
            cells += [_range(one), fixed(100.0 * one.share, 0) if one.share is not None else NONE]
        rows.append(cells)
    return data_table(heads, rows)


def _seconds(value: float | None) -> str:
    return NONE if value is None else fixed(value, 0 if value >= 3.0 else 1)


def _range(one: Crossover) -> str:
    return NONE if one.low is None or one.high is None else f"{_seconds(one.low)} to {_seconds(one.high)}"


def _gaps(found: OptionComparison) -> list[Any]:
    story: list[Any] = []
    for gap in found.gaps:
        rows = [[plain(title, 60), answer] for title, answer in gap.feeds]
        story.append(heading("Power to close the gap", 2, "options-gap") if not story else text(""))
        story.append(
            text(
                f"Gap: {gap.words}, {fixed(gap.gap_db)} dB. Closing it by amplifier power alone takes "
                f"{fixed(gap.amplifier_w / 1e3)} kW of rated output in all, drawing about {fixed(gap.input_a, 0)} "
                f"A. Whether "
                "the electrical system could feed that, judged within 0.5 dB:"
            )
        )
        story.append(
            data_table([Column("Way to go", share=1.0, row_head=True), Column("Could it be fed?", share=1.4)], rows)
        )
    return story


def _sound(found: OptionComparison) -> list[Any]:
    rows = [
        [
            plain(row.title, 50),
            plain(one.case, 50),
            plain(one.amplifier, 40),
            fixed(one.asked_w, 0),
            "collapse" if one.output_w is None else fixed(one.output_w, 0),
            fixed(one.lost_db),
        ]
        for row in found.rows
        for one in row.sound
    ]
    if not rows:
        return []
    return [
        heading("What sag costs in sound", 2, "options-sound"),
        text("Lowest sustained output while full level was asked, by way to go, load case and amplifier."),
        data_table(
            [
                Column("Way to go", share=1.2, row_head=True),
                Column("Load case", share=1.0),
                Column("Amplifier", share=0.7),
                num("Asked\nW"),
                num("Output\nW"),
                num("Lost\ndB"),
            ],
            rows,
        ),
    ]
