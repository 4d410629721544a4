"""Voltage in time: one plot, its readings and the shares of the sources for every load case."""

from __future__ import annotations

from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.pages.plots import not_drawn, outcome_sentence, sag_box, worst_of
from dossier.pages.section import Stamp
from dossier.pages.summary import outcome_mark
from dossier.pages.words import NONE, fixed, name, word
from dossier.pdf.flow import gap, heading, rich, text, together
from dossier.pdf.tables import Column, columns, data_table, num
from dossier.pdf.text import markup
from dossier.results.overview import Results
from dossier.results.sag import AmplifierSag, LoadCaseResult, Reading

_HALF = (style.LIVE_WIDTH - style.GUTTER) / 2


def voltage(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """How to read the voltages, then every load case."""
    story: list[Any] = [
        rich(
            "<b>Which instrument shows which.</b> A multimeter on DC volts shows the <i>mean</i>. Its "
            "min/max function shows about the <i>100 ms minimum</i>. Only an oscilloscope, or a peak mode "
            "of 1 ms or faster, shows the <i>trough</i>: the lowest instant of each cycle, since a tone "
            "draws its current in pulses at twice its frequency. Compare a reading with its own column.",
        ),
        text(
            "A limit is judged on the reading the build file names. After a collapse no voltage is "
            "printed, because "
            "there is none that could be relied on.",
            "body",
        ),
    ]
    for case in results.load_cases:
        story += _case(case)
    return story


def _case(case: LoadCaseResult) -> list[Any]:
    played = (
        f"Engine {case.engine}; {case.signal}; {case.drive} drive; level {fixed(case.level_db)} dB re rated "
        "output."
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
    others = [one for one in case.amplifiers if one.id != case.worst and one.outcome.sentence]
    story += [rich(f"{outcome_mark(one)}&nbsp; {markup(outcome_sentence(one))}", "cell") for one in others]
    if others:
        story.append(gap(6))
    if len(case.locations) + len(case.sources) <= 24:
        story.append(columns([[_locations(case, _HALF)], [_sources(case, _HALF)]]))
    else:
        story += [_locations(case, style.LIVE_WIDTH), _sources(case, style.LIVE_WIDTH)]
    return story


def _amplifiers(case: LoadCaseResult) -> Any:
    return data_table(
        [
            Column("Amplifier", share=1.0, row_head=True),
            num("At\u00a0rest\nV"),
            num("Mean\nV"),
            num("100\u00a0ms\nV"),
            num("Trough\nV"),
            Column("Limit", share=0.9),
            num("In, mean\nA"),
            num("In, peak\nA"),
            num("Output\nW"),
            num("Lost\ndB"),
        ],
        [_amplifier(one) for one in case.amplifiers],
    )


def _amplifier(one: AmplifierSag) -> list[Any]:
    limits = "; ".join(
        f"{word(check.statistic)} {fixed(check.limit)} V {'kept' if check.holds else 'missed'}"
        for check in one.limits
    )
    return [
        name(one.title),
        fixed(one.rest),
        _reading(one.mean_minimum),
        _reading(one.minimum_100ms),
        _reading(one.trough_minimum),
        limits or "none stated",
        fixed(one.input_a_mean, 0),
        fixed(one.input_a_peak, 0),
        fixed(one.output_w, 0),
        fixed(one.lost_db),
    ]


def _reading(reading: Reading | None) -> str:
    """A voltage to 0.1 V with its band, if there is one."""
    if reading is None:
        return NONE
    if reading.band is None:
        return fixed(reading.volts)
    band = reading.band
    low = "collapse" if band.low is None else fixed(band.low)
    high = "collapse" if band.high is None else fixed(band.high)
    return f"{fixed(reading.volts)} ({low} to {high})"


def _locations(case: LoadCaseResult, total: float) -> Any:
    return data_table(
        [Column("Location", share=1.0, row_head=True), num("At\u00a0rest\nV"), num("Lowest mean\nV")],
        [[name(one.title), fixed(one.rest), fixed(one.mean_minimum.volts)] for one in case.locations]
        or [[NONE] * 3],
        total=total,
    )


def _sources(case: LoadCaseResult, total: float) -> Any:
    return data_table(
        [
            Column("Source, while the sound played", share=1.0, row_head=True),
            num("Mean\nA"),
            num("Peak\nA"),
            num("Share\n%"),
        ],
        [
            [name(one.title), fixed(one.mean_a, 0), fixed(one.peak_a, 0), fixed(100 * one.share, 0)]
            for one in case.sources
        ]
        or [[NONE] * 4],
        total=total,
    )
