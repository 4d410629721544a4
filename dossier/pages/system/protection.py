"""Protection: fault currents, what is asked of every fuse, what every end is exposed to, time-current figures.

Remedies.
"""

from __future__ import annotations

import json
from functools import partial
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.buildfile.tags import tag_at, tags_of
from dossier.figures.time_current import shown_loads, time_current
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, at_least, at_most, capital, fault_ka, fixed, least_ka, shown, word
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import Number, heading, rich, text
from dossier.pdf.tables import Column, columns, num, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units
from dossier.reader.wording import say, terms
from dossier.results.overview import Results
from dossier.results.protection import Answer, PlaceFault, Protection, Remedy, Reply, TimeCurrent

SIZE = ((style.LIVE_WIDTH - style.GUTTER) / 2, 122.0)


def protection(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everything about faults and fuses."""
    found = results.protection
    if not (found.places or found.fuses or found.ends):
        return []
    story: list[Any] = [rich(say("protection.four_questions_to_every_fuse_does"))]
    story += _places(found.places)
    story += _ends(found)
    story += _selectivity(found)
    story += _cranking(found)
    story += _curves(build, found)
    story += _leads(found, stamp.units)
    return [*story, *_remedies(found.remedies)]


def _places(places: tuple[PlaceFault, ...]) -> list[Any]:
    if not places:
        return []
    return [
        heading(say("protection.prospective_short_circuit_current"), 2, "protection-faults"),
        text(say("protection.largest_every_source_charged_every_resistanc"), "note"),
        table_of(
            places,
            [
                Column(say("columns.location"), lambda one: one.title, row_head=True, share=0.9),
                num(say("protection.largest_ka"), lambda one: fault_ka(one.most)),
                num(say("protection.likely_ka"), lambda one: fault_ka(one.likely)),
                num(say("protection.smallest_ka"), lambda one: least_ka(one.least)),
                num(say("protection.table_v_a_ka"), _by_table),
                Column(
                    say("protection.what_each_source_adds_a"),
                    lambda one: ", ".join(f"{capital(plain(s.title, 60))} {s.amperes:.0f}" for s in one.shares),
                    share=2.0,
                ),
            ],
        ),
        text(
            say(
                "protection.what_the_largest_rests_on",
                sources="; ".join(
                    f"{capital(plain(title, 60))}: {why}"
                    for title, why in dict.fromkeys((s.title, s.words) for one in places for s in one.shares)
                ),
            ),
            "note",
        ),
    ]


def _by_table(one: PlaceFault) -> str:
    if one.table_main is None or one.table_branch is None:
        return NONE
    return f"{fixed(one.table_main / 1e3, 1)} / {fixed(one.table_branch / 1e3, 2)}"


def _verdict(answer: Answer) -> str:
    return terms("protection.verdicts")[answer.verdict]


def _ends(found: Protection) -> list[Any]:
    exposed = [one for one in found.ends if one.answer.verdict != Reply.YES]
    covered = len(found.ends) - len(exposed)
    story: list[Any] = [
        heading(say("protection.what_can_feed_a_conductor_past"), 2, "protection-ends"),
        text(say("protection.both_ends_of_every_feed_are", covered=covered, ends=len(found.ends))),
    ]
    if exposed:
        story.append(
            table_of(
                exposed,
                [
                    Column(
                        say("columns.conductor"), lambda one: capital(plain(one.title, 60)), row_head=True, share=0.9
                    ),
                    Column(say("protection.end"), lambda one: one.location_title, share=0.9),
                    Column(
                        say("columns.fed_by"),
                        lambda one: ", ".join(capital(plain(name, 60)) for name in one.feeders),
                        share=1.2,
                    ),
                    Column(say("protection.why"), lambda one: one.answer.words, share=1.3),
                    num(
                        say("protection.largest_fuse_a"),
                        lambda one: Number(
                            at_most(one.most_rating), "cell_bad" if one.answer.verdict == Reply.NO else "cell"
                        ),
                    ),
                ],
            )
        )
    return story


def _selectivity(found: Protection) -> list[Any]:
    if not found.selectivity:
        return []
    return [
        heading(say("protection.which_fuse_opens_first"), 2, "protection-selectivity"),
        table_of(
            found.selectivity,
            [
                Column(say("protection.main"), lambda one: one.main, row_head=True),
                Column(say("protection.branch"), lambda one: one.branch),
                num(say("protection.ratio"), lambda one: fixed(one.ratio, 1)),
                Column(
                    say("protection.branch_opens_first"),
                    lambda one: rich(f"<b>{markup(_verdict(one.answer))}</b>, {markup(one.answer.words)}", "cell"),
                    share=1.5,
                ),
            ],
        ),
    ]


def _cranking(found: Protection) -> list[Any]:
    cranked = found.cranking
    if cranked is None or not cranked.cables:
        return []
    told = say(
        "protection.cranking",
        place=cranked.title,
        warm=fixed(cranked.warm, 0),
        cold=fixed(cranked.cold, 0),
        volts=fixed(cranked.at_starter, 1),
        cables="; ".join(f"{capital(plain(one.title, 60))} {one.amperes:.0f} A" for one in cranked.cables),
    )
    return [text(told, "note")]


def _curves(build: Build, found: Protection) -> list[Any]:
    """Two by two: the message above each figure, what its dots are below it, one legend for all."""
    if not found.curves:
        return []
    blocks = [_curve(build, found, run) for run in found.curves]
    rows = [columns([*blocks[at : at + 2], *([[]] * (at + 1 == len(blocks)))]) for at in range(0, len(blocks), 2)]
    legend = say(
        "protection.curve_legend", rating=say("protection.curve_dots"), damage=say("protection.curve_long_dash")
    )
    return [
        heading(say("protection.time_against_current"), 2, "protection-curves"),
        text(legend, "note"),
        *rows,
    ]


def _curve(build: Build, found: Protection, run: TimeCurrent) -> list[Any]:
    clears = next(one.clears.verdict for one in found.fuses if (one.cable, one.fuse) == (run.cable, run.fuse))
    title = _message(tag_at(tags_of(build), f"cables.{run.cable}.fuses.{run.fuse}"), run.least, clears)
    faults = (
        say("protection.faults_from_to_a", least=at_most(run.least), most=fault_ka(run.most))
        if run.least
        else say("protection.largest_fault_a", most=fault_ka(run.most))
    )
    alt = say(
        "protection.time_against_current_of_fuse_a",
        title=plain(run.title, 60),
        fuse=run.fuse,
        rating=f"{run.rating:g}",
        allowed=at_most(run.allowed),
        faults=faults,
    )
    caption = say(
        "protection.curve_caption",
        title=capital(plain(run.title, 60)),
        rating=f"{run.rating:g}",
        points=say("protection.curve_points_not_entered")
        if run.recalled
        else say("protection.curve_points_of_its_data_sheet"),
        loads=", ".join(
            say("protection.curve_load", number=number, words=plain(one.words, 44))
            for number, one in enumerate(shown_loads(run), start=1)
        ),
    )
    box = FigureBox(f"time-current-{run.cable}-{run.fuse}", partial(time_current, run, SIZE), SIZE, alt)
    return [text(title, "cell_strong"), box, text(caption, "caption")]


def _message(tag: str, least: float | None, clears: Reply) -> str:
    """What the figure shows: whether the fuse opens in time at the smallest fault."""
    if least is None:
        return say("protection.curve_no_fault", tag=tag)
    amperes = f"{at_most(least)} A"
    if clears is Reply.YES:
        return say("protection.curve_opens", tag=tag, least=amperes)
    if clears is Reply.NO:
        return say("protection.curve_does_not_open", tag=tag, least=amperes)
    return say("protection.curve_not_judged", tag=tag, least=amperes)


def _leads(found: Protection, units: Units) -> list[Any]:
    story: list[Any] = []
    if found.speaker_leads:
        story += [
            heading(say("protection.speaker_leads"), 2, "protection-speakers"),
            table_of(
                found.speaker_leads,
                [
                    Column(say("protection.lead"), lambda one: capital(plain(one.title, 60)), row_head=True, share=1.2),
                    Column(say("columns.size"), lambda one: one.size, share=0.8),
                    num(
                        say("protection.length", sign=units.sign("run")),
                        lambda one: shown(units, "run", one.length, places=1),
                    ),
                    num(say("protection.full_tone_a_rms"), lambda one: at_least(one.amperes)),
                    num(say("protection.music_9_db_a_rms"), lambda one: at_least(one.programme)),
                    num(say("columns.allowed_a"), lambda one: at_most(one.allowed)),
                    num(say("protection.both_ways_m"), lambda one: fixed(1e3 * one.resistance, 1)),
                    num(say("columns.loss_w"), lambda one: fixed(one.loss, 0)),
                    num(say("columns.level_db"), lambda one: fixed(one.level, 2)),
                ],
                alike=1,
            ),
        ]
    if found.remote_leads:
        story += [
            heading(say("protection.remote_leads"), 2, "protection-remote"),
            table_of(
                found.remote_leads,
                [
                    Column(say("columns.amplifier"), lambda one: capital(plain(one.title, 60)), row_head=True),
                    Column(say("columns.size"), lambda one: one.size),
                    num(say("protection.fuse_rating_a"), lambda one: fixed(one.fuse, 1)),
                    num(say("columns.allowed_a"), lambda one: at_most(one.allowed)),
                ],
                alike=1,
            ),
        ]
    if found.couplings:
        story += [
            heading(say("protection.couplings"), 2, "protection-couplings"),
            table_of(
                found.couplings,
                [
                    Column(
                        say("columns.coupling"), lambda one: capital(plain(one.title, 60)), row_head=True, share=1.3
                    ),
                    Column(say("columns.kind"), lambda one: word(one.kind)),
                    num(say("protection.for_long_a"), lambda one: at_least(one.lasting)),
                    num(say("protection.rated_a"), lambda one: fixed(one.continuous_rating, 0)),
                    num(say("columns.peak_a"), lambda one: at_least(one.peak)),
                    num(say("protection.rated_a"), lambda one: fixed(one.peak_rating, 0)),
                ],
            ),
        ]
    return story


def _remedies(remedies: tuple[Remedy, ...]) -> list[Any]:
    if not remedies:
        return []
    return [
        heading(say("protection.what_would_pass"), 2, "protection-remedies"),
        text(say("protection.the_smallest_standard_size_and_the"), "note"),
        table_of(
            remedies,
            [
                Column(say("columns.conductor"), lambda one: capital(plain(one.title, 60)), row_head=True, share=0.18),
                Column(say("protection.remedy"), _remedy, share=0.82),
                num(say("protection.drop_now_v"), lambda one: fixed(one.drop, 2)),
                num(say("protection.then_v"), lambda one: fixed(one.drop_after, 2)),
            ],
        ),
    ]


def _remedy(one: Remedy) -> Any:
    codes = ", ".join(dict.fromkeys(code for code, _ in one.cures))
    lines = [
        f"<b>{markup(capital(one.words))}</b>",
        f'<font size="7.4" color="{style.MUTED}">{"leaves" if one.patch is None else "clears"} {markup(codes)}</font>',
    ]
    if one.patch is not None:
        lines.insert(1, f'<font size="7.4">{markup(json.dumps(one.patch, ensure_ascii=False))}</font>')
    return rich("<br/>".join(lines), "cell")
