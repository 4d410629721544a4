"""Protection: fault currents, what is asked of every fuse, what every end is exposed to, time-current figures.

Remedies.
"""

from __future__ import annotations

import json
from functools import partial
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.figures.time_current import time_current
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, capital, fixed, shown, word
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import Number, heading, rich, text, together
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units
from dossier.results.overview import Results
from dossier.results.protection import Answer, FuseCheck, PlaceFault, Protection, Remedy, TimeCurrent

SIZE = (style.LIVE_WIDTH, 198.0)
_SHOWN = {
    "yes": "yes",
    "no": "no",
    "maybe": "partly",
    "not known": "not known",
    "not judged": "not judged",
    "not asked": NONE,
}
_COLOURS = {"no": style.BAD, "maybe": style.CARE, "not known": style.CARE, "not judged": style.CARE}


def protection(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everything about faults and fuses."""
    found = results.protection
    if not (found.places or found.fuses or found.ends):
        return []
    story: list[Any] = [
        rich(
            "<b>Four questions to every fuse:</b> does it carry the load; does it protect the conductor; "
            "can it interrupt the "
            "fault; does it sit where it should. That it opens within five seconds and that the conductor "
            "survives until then "
            "are two verdicts. The dangerous zone is the overload between 1.1 and 2.5 times the rating, not "
            "the bolted fault.",
        )
    ]
    story += _places(found.places)
    story += _questions(found.fuses)
    story += _ends(found)
    story += _selectivity(found)
    story += _curves(found.curves)
    story += _leads(found, stamp.units)
    return [*story, *_remedies(found.remedies)]


def _places(places: tuple[PlaceFault, ...]) -> list[Any]:
    if not places:
        return []
    return [
        heading("Prospective short-circuit current", 2, "protection-faults"),
        text(
            "Largest: every source charged, every resistance at its low end; for breaking capacity. Likely: nominal "
            "resistances. Smallest: the weakest battery alone, worn and low, with hot cables; for clearing. Shares are "
            "of the largest, by superposition. Table V-A: breaking capacity that ABYC E-11 (read second-hand) asks of "
            "a main and of a branch fuse by the cold-cranking current connected, stated or from capacity; its last row "
            "has no end, and where more is computed that counts.",
            "note",
        ),
        data_table(
            [
                Column("Location", row_head=True, share=0.9),
                num("Largest\nkA"),
                num("Likely\nkA"),
                num("Smallest\nkA"),
                num("Table V-A\nkA"),
                Column("What each source adds, A", share=2.0),
            ],
            [
                [
                    one.title,
                    fixed(one.most / 1e3, 1),
                    fixed(one.likely / 1e3, 1),
                    fixed(None if one.least is None else one.least / 1e3, 2),
                    _by_table(one),
                    ", ".join(f"{capital(plain(s.title, 30))} {s.amperes:.0f}" for s in one.shares),
                ]
                for one in places
            ],
        ),
    ]


def _by_table(one: PlaceFault) -> str:
    if one.table_main is None or one.table_branch is None:
        return NONE
    return f"{fixed(one.table_main / 1e3, 1)} / {fixed(one.table_branch / 1e3, 2)}"


def _questions(fuses: tuple[FuseCheck, ...]) -> list[Any]:
    story: list[Any] = [heading("What is asked of every fuse", 2, "protection-fuses")]
    if not fuses:
        return [*story, text("No fuse is recorded in any feed.")]
    story.append(
        data_table(
            [Column("Fuse", row_head=True, share=0.22), Column("Answers", share=0.78)],
            [[_who(one), _answers(one)] for one in fuses],
        )
    )
    return story


def _who(one: FuseCheck) -> Any:
    return rich(
        f"<b>{markup(capital(plain(one.cable_title, 60)))}</b>, {markup(one.fuse)}<br/>{one.rating:g} A "
        f"{markup(word(one.style))}"
        f"<br/><font size='7.4'>{markup(plain(one.near_title, 60))}</font>",
        "cell",
    )


def _answers(one: FuseCheck) -> Any:
    questions = (
        ("Carries the load", one.carries),
        ("Protects the conductor", one.protects),
        ("Opens within 5 s", one.clears),
        ("Conductor survives", one.survives),
        ("Interrupts the fault", one.interrupts),
        ("Sits close enough", one.placed),
    )
    lines = [
        _answer(question, answer)
        for question, answer in questions
        if not (question == "Conductor survives" and answer == one.clears)
    ]
    if one.holder.verdict != "yes":
        lines.append(_answer("Holder and voltage", one.holder))
    return rich("<br/>".join(lines), "cell")


def _answer(question: str, answer: Answer) -> str:
    shown = markup(_SHOWN[answer.verdict])
    colour = _COLOURS.get(answer.verdict)
    marked = f'<b><font color="{colour}">{shown}</font></b>' if colour else f"<b>{shown}</b>"
    why = f' <font size="7.6" color="{style.MUTED}">{markup(answer.words)}</font>' if answer.words else ""
    return f"{question}: {marked}{why}"


def _ends(found: Protection) -> list[Any]:
    exposed = [one for one in found.ends if one.answer.verdict != "yes"]
    covered = len(found.ends) - len(exposed)
    story: list[Any] = [
        heading("What can feed a conductor past its fuses", 2, "protection-ends"),
        text(
            "Both ends of every feed are followed to every source, over closed couplings, through fuses "
            "that would protect it. "
            f"{covered} of {len(found.ends)} ends are covered."
        ),
    ]
    if exposed:
        story.append(
            data_table(
                [
                    Column("Conductor", row_head=True, share=0.9),
                    Column("End", share=0.9),
                    Column("Fed by", share=1.2),
                    Column("Why", share=1.3),
                    num("Largest\nfuse, A"),
                ],
                [
                    [
                        capital(plain(one.title, 60)),
                        one.location_title,
                        ", ".join(capital(plain(name, 60)) for name in one.feeders),
                        one.answer.words,
                        Number(fixed(one.most_rating, 0), "cell_bad" if one.answer.verdict == "no" else "cell"),
                    ]
                    for one in exposed
                ],
            )
        )
    return story


def _selectivity(found: Protection) -> list[Any]:
    if not found.selectivity:
        return []
    return [
        heading("Which fuse opens first", 2, "protection-selectivity"),
        data_table(
            [Column("Main", row_head=True), Column("Branch"), num("Ratio"), Column("Branch opens first", share=1.5)],
            [
                [
                    one.main,
                    one.branch,
                    fixed(one.ratio, 1),
                    rich(f"<b>{markup(_SHOWN[one.answer.verdict])}</b>, {markup(one.answer.words)}", "cell"),
                ]
                for one in found.selectivity
            ],
        ),
    ]


def _curves(curves: tuple[TimeCurrent, ...]) -> list[Any]:
    if not curves:
        return []
    story: list[Any] = [heading("Time against current", 2, "protection-curves")]
    for run in curves:
        say = partial(plain, limit=34)
        faults = (
            f"faults from {fixed(run.least, 0)} to {fixed(run.most, 0)} A"
            if run.least
            else f"largest fault {fixed(run.most, 0)} A"
        )
        alt = (
            f"Time against current of {plain(run.title, 60)}, fuse {run.fuse}, {run.rating:g} A; conductor allowed "
            f"{run.allowed:.0f} A; {faults}."
        )
        box = FigureBox(f"time-current-{run.cable}", partial(time_current, run, SIZE, say), SIZE, alt)
        caption = f"{capital(plain(run.title, 60))}, fuse {run.fuse}, {run.rating:g} A. " + (
            f"Fuse limits are recalled ({run.band_source}): drawn, nothing is judged from them."
            if run.recalled
            else "Fuse by the points of its data sheet."
        )
        story.append(together(box, text(caption, "caption")))
    return story


def _leads(found: Protection, units: Units) -> list[Any]:
    story: list[Any] = []
    if found.speaker_leads:
        story += [
            heading("Speaker leads", 2, "protection-speakers"),
            data_table(
                [
                    Column("Lead", row_head=True, share=1.2),
                    Column("Size", share=0.8),
                    num(f"Length\n{units.sign('run')}"),
                    num("Full tone\nA rms"),
                    num("Music 9 dB\nA rms"),
                    num("Allowed\nA"),
                    num("Both ways\nmΩ"),
                    num("Loss\nW"),
                    num("Level\ndB"),
                ],
                [
                    [
                        capital(plain(one.title, 60)),
                        one.size,
                        shown(units, "run", one.length, places=1),
                        fixed(one.amperes, 0),
                        fixed(one.programme, 0),
                        fixed(one.allowed, 0),
                        fixed(1e3 * one.resistance, 1),
                        fixed(one.loss, 0),
                        fixed(one.level, 2),
                    ]
                    for one in found.speaker_leads
                ],
            ),
        ]
    if found.remote_leads:
        story += [
            heading("Remote leads", 2, "protection-remote"),
            data_table(
                [Column("Amplifier", row_head=True), Column("Size"), num("Fuse\nA"), num("Allowed\nA")],
                [
                    [capital(plain(one.title, 60)), one.size, fixed(one.fuse, 1), fixed(one.allowed, 0)]
                    for one in found.remote_leads
                ],
            ),
        ]
    if found.couplings:
        story += [
            heading("Couplings", 2, "protection-couplings"),
            data_table(
                [
                    Column("Coupling", row_head=True, share=1.3),
                    Column("Kind"),
                    num("For long\nA"),
                    num("Rated\nA"),
                    num("Peak\nA"),
                    num("Rated\nA"),
                ],
                [
                    [
                        capital(plain(one.title, 60)),
                        word(one.kind),
                        fixed(one.lasting, 0),
                        fixed(one.continuous_rating, 0),
                        fixed(one.peak, 0),
                        fixed(one.peak_rating, 0),
                    ]
                    for one in found.couplings
                ],
            ),
        ]
    return story


def _remedies(remedies: tuple[Remedy, ...]) -> list[Any]:
    if not remedies:
        return []
    return [
        heading("What would pass", 2, "protection-remedies"),
        text(
            "The smallest standard size and the fuses that satisfy every question, judged by the same rules "
            "with the current "
            "they would carry. Each is a JSON Merge Patch over the build file. A breaking capacity is what "
            "to look for on a data "
            "sheet. Heavier copper carries more of the current elsewhere: apply one, then check again.",
            "note",
        ),
        data_table(
            [
                Column("Conductor", row_head=True, share=0.18),
                Column("Remedy", share=0.82),
                num("Drop now\nV"),
                num("then\nV"),
            ],
            [
                [capital(plain(one.title, 60)), _remedy(one), fixed(one.drop, 2), fixed(one.drop_after, 2)]
                for one in remedies
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
