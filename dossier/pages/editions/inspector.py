"""The inspector's edition: page one in the order of a ten-minute inspection, then the detail, tick list, signatures."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build, Cable, Fuse
from dossier.diagnostic import Severity
from dossier.pages.appendix.sources import counted, turning, with_place
from dossier.pages.delivery.signoff import code, digest_block, seen_table, signature_blocks
from dossier.pages.diagram.section import picture
from dossier.pages.opening.open_points import reserved, without_fields
from dossier.pages.proof.measurements import readings, sound
from dossier.pages.proof.photos import some_photos
from dossier.pages.section import Section, Stamp
from dossier.pages.system.identity import identity_rows
from dossier.pages.words import NONE, at_least, at_most, capital, count, fixed, high_v, low_v, name, shown, stated, word
from dossier.pdf.blank import BlankLines
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import beneath, gap, heading, rich, text
from dossier.pdf.marks import TICK_BOX, mark
from dossier.pdf.tables import Column, columns, data_table, num, pairs, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units, Way
from dossier.reader.wording import lines, rows_of, say, terms
from dossier.results.overview import Results
from dossier.results.protection import Answer, Reply
from dossier.results.sag import LoadCaseResult, Reading
from dossier.results.schedule import ConductorRow

_REMARK_LINES: Final = (4, 16)  # at least, at most
_SHARE: Final = 0.68
_SIGNS: Final = {Reply.YES: Severity.OK, Reply.NO: Severity.STOP, Reply.NOT_ASKED: Severity.NOTE}
_WIDE: Final = (style.LIVE_WIDTH - style.GUTTER) * _SHARE


def cover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Page one: who, and the ten minutes."""
    record = build.record
    customer = say("inspector.masked") if stamp.masked and record.customer else plain(record.customer, 60)
    rows: list[tuple[str, Any]] = [
        (
            say("inspector.record"),
            say(
                "inspector.revision",
                number=plain(record.number, 40),
                revision=plain(record.revision, 20),
                date=record.date,
                stage=word(record.stage),
            ),
        ),
        (say("inspector.vehicle"), plain(build.vehicle.description, 110)),
        *identity_rows(build, stamp),
        (say("inspector.workshop"), plain(record.workshop, 60) or NONE),
        (say("inspector.owner"), customer or NONE),
        (say("inspector.digest"), stamp.digest),
    ]
    facts = _facts(build, results)
    steps = [
        [
            rich(f'<font size="11">{markup(TICK_BOX)}</font>', "cell"),
            what,
            text(see.format(revision=plain(record.revision, 20)), "cell"),
            text(plain(facts[key], 420), "cell"),
        ]
        for (what, see), key in zip(rows_of("inspector.steps"), _KEYS, strict=True)
    ]
    return [
        text(plain(record.title, 100), "heading_1"),
        text(say("inspector.title"), "note"),
        columns(
            [[pairs(rows, _WIDE, 0.2)], [gap(2), _verdict(results), gap(4), code(build, stamp)]],
            shares=(_SHARE, 1 - _SHARE),
        ),
        gap(2),
        heading(say("inspector.ten_minutes"), 1, "inspector-ten"),
        text(say("inspector.ten_lead"), "note"),
        *([text(say("inspector.ten_plan"), "warning")] if record.stage == "design" else []),
        data_table(
            [
                Column("", share=0.07),
                Column(say("columns.step"), row_head=True, share=0.32, style="cell_strong"),
                Column(say("inspector.to_see"), share=1.0),
                Column(say("columns.recorded"), share=1.25),
            ],
            steps,
        ),
    ]


_KEYS: Final = ("sources", "stores", "front", "route", "rear", "outputs", "meter", "tone", "open")


def _verdict(results: Results) -> Any:
    return rich(f"{mark(results.verdict.severity)}&nbsp; {markup(results.verdict.sentence)}", "cell")


def _facts(build: Build, results: Results) -> dict[str, str]:
    """What is recorded for each step of the inspection."""
    stores = results.energy_sources
    starters = {one.at for one in build.batteries.values() if one.starts_engine}
    inside = {one.at for one in build.batteries.values()} | {one.at for one in build.capacitor_banks.values()}
    front = [_fuse(build, c, f) for c in build.cables.values() for f in c.fuses.values() if f.near in starters]
    rear = [_fuse(build, c, f) for c in build.cables.values() for f in c.fuses.values() if f.near in inside - starters]
    feeds = [
        f"{name(c.title, 40)} {stated(c.size)}"
        for c in build.cables.values()
        if c.role == "feed" and c.size is not None
    ]
    hot = [
        say("inspector.v_rms", title=name(one.title, 40), terminal_v=high_v(one.terminal_v))
        for one in results.amplifiers
        if one.covered
    ]
    found, held = results.findings, reserved(results)
    checks = say("inspector.checks_reserved", points=count(len(held), "point")) if held else ""
    stops, cautions = (sum(one.severity is grade for one in found) for grade in (Severity.STOP, Severity.CAUTION))
    return {
        "sources": f"{counted(results)}: {with_place(results.energy_sources)}. {turning(results)}",
        "stores": "; ".join(f"{name(one.title, 40)}: {plain(one.location, 40)}, {one.detail}" for one in stores)
        or NONE,
        "front": "; ".join(front) or say("inspector.no_fuse_recorded_at_the_starter"),
        "route": "; ".join(feeds) or NONE,
        "rear": "; ".join(rear)
        or (
            say("inspector.no_fuse_recorded_at_a_rear") if inside - starters else say("inspector.no_source_at_the_rear")
        ),
        "outputs": "; ".join(hot) or say("inspector.none_over_50_v_rms"),
        "meter": _meter(results),
        "tone": _tone(build, results),
        "open": say("inspector.open", stops=count(stops, "stop"), cautions=count(cautions, "caution"), checks=checks)
        if stops or cautions
        else say("inspector.no_stop_no_caution_open", checks=checks),
    }


def _fuse(build: Build, cable: Cable, fuse: Fuse) -> str:
    distance = (
        say("inspector.from_its_terminal", distance=stated(fuse.distance))
        if fuse.distance
        else say("inspector.distance_not_recorded")
    )
    breaking = (
        say("inspector.breaks", breaking_capacity=stated(fuse.breaking_capacity))
        if fuse.breaking_capacity
        else say("inspector.breaking_capacity_not_recorded")
    )
    each = f"{cable.runs} × " if cable.runs > 1 and not fuse.shared else ""
    return f"{name(cable.title, 40)}: {each}{stated(fuse.rating)} {word(fuse.style)}{distance}{breaking}"


def _meter(results: Results) -> str:
    rests = [
        say(
            "inspector.volts_at",
            title=name(case.title, 40),
            rest=low_v(amplifier.rest),
            amplifier=name(amplifier.title, 30),
        )
        for case in results.load_cases
        for amplifier in case.amplifiers
        if amplifier.id == case.worst
    ]
    return say("inspector.before_the_sound_computed") + "; ".join(rests) if rests else say("inspector.not_verified")


def _tone(build: Build, results: Results) -> str:
    """What a meter's lowest reading must lie in, of the tones that can be played in a yard."""
    parts = []
    for case in results.load_cases:
        asked = build.load_cases[case.id]
        if asked.engine.state == "cruise" or asked.signal.kind == "music":
            continue
        worst = next(one for one in case.amplifiers if one.id == case.worst)
        reading = worst.mean_minimum
        if reading.volts is None:
            parts.append(say("inspector.a_collapse_is_computed", title=name(case.title, 40)))
        elif reading.band is not None and reading.band.low is not None and reading.band.high is not None:
            parts.append(
                say(
                    "inspector.to_v",
                    title=_as_played(case),
                    at=fixed((reading.at or 0.0) - case.lead_in, 0),
                    low=low_v(reading.band.low),
                    high=low_v(reading.band.high),
                )
            )
        else:
            parts.append(_unbanded(case, reading))
    return "; ".join(parts) or say("inspector.no_tone_in_a_yard")


def _as_played(case: LoadCaseResult) -> str:
    return f"{name(case.title, 40)} ({case.engine})"


def _unbanded(case: LoadCaseResult, reading: Reading) -> str:
    at = fixed((reading.at or 0.0) - case.lead_in, 0)
    return say("inspector.v_no_band_computed", title=_as_played(case), at=at, volts=low_v(reading.volts))


def detail(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every fuse with its questions, conductors, readings, sound runs and what is open."""
    made: list[Any] = []
    if results.protection.fuses:
        made += [heading(say("inspector.fuses"), 2, "inspector-fuses"), _fuses(results, stamp.units)]
    made += [heading(say("inspector.conductors"), 2, "inspector-conductors"), _conductors(build, results, stamp.units)]
    made += [*readings(results.recorded.readings), *sound(results.recorded.sound)]
    found = [one for one in results.findings if one.severity >= Severity.CAUTION]
    if found:
        made += [
            heading(say("inspector.open_points"), 2, "inspector-open"),
            table_of(
                found,
                [
                    Column("", lambda one: rich(mark(one.severity), "cell"), share=0.32),
                    Column(
                        say("columns.finding"),
                        lambda one: capital(without_fields(plain(one.headline, 250))),
                        row_head=True,
                        share=1.6,
                    ),
                    Column(say("inspector.what_cures_it"), lambda one: without_fields(plain(one.fix, 320)), share=1.2),
                ],
                tight=True,
            ),
        ]
    return made


def _fuses(results: Results, units: Units) -> Any:
    return data_table(
        [
            Column(say("columns.cable"), row_head=True, share=0.95),
            Column(say("columns.at"), share=0.85),
            Column(say("columns.style"), share=0.64),
            num(say("columns.rating_a")),
            num(say("inspector.distance", sign=units.sign("distance"))),
            num(say("columns.breaks_ka")),
            num(say("inspector.asked_ka")),
            *(  # the first has the gap after the numbers in it
                Column(question, share=0.62 if index else 0.7)
                for index, question in enumerate(lines("inspector.fuse_questions"))
            ),
        ],
        [
            [
                name(one.cable_title),
                name(one.near_title),
                word(one.style),
                fixed(one.rating, 0),
                shown(units, "distance", one.distance, Way.UP),
                fixed(None if one.breaking is None else one.breaking / 1000.0, 1),
                fixed(one.asked_breaking / 1000.0, 1),
                *(_answered(answer) for answer in (one.carries, one.protects, one.interrupts, one.placed)),
            ]
            for one in results.protection.fuses
        ],
        tight=True,
    )


def _answered(answer: Answer) -> Any:
    """One answer as sign and word; what is neither yes nor no is not judged here."""
    words = terms("protection.verdicts")[answer.verdict]
    return rich(mark(_SIGNS.get(answer.verdict, Severity.CAUTION), words), "cell")


def _conductors(build: Build, results: Results, units: Units) -> Any:
    return table_of(
        results.schedule,
        [
            Column(say("columns.conductor"), lambda one: name(one.title), row_head=True, share=1.2),
            Column(say("inspector.role"), lambda one: one.role, share=0.5),
            Column(say("columns.size"), _size, share=0.8),
            num(say("inspector.length", sign=units.sign("run")), lambda one: shown(units, "run", one.length)),
            num(say("inspector.rms_one_run_a"), lambda one: at_least(one.rms)),
            num(say("columns.allowed_a"), lambda one: at_most(one.allowed)),
            num(say("inspector.drop_at_peak_v"), lambda one: fixed(one.drop, 2)),
        ],
        tight=True,
    )


def _size(row: ConductorRow) -> str:
    return f"{row.runs} × {row.size}" if row.runs > 1 else row.size


def wired(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The wiring diagram with the checklist of the fitted parts, in the order that fits; photos, signatures, digest."""
    wanted = ("cables", "batteries", "power", "own")
    rows = [one for one in results.recorded.checklist if one.group in wanted]
    pictures = some_photos(build, results, stamp)
    ending = [*signature_blocks(rows_of("inspector.inspected"), results), *digest_block(build, stamp)]
    first, *others = picture(build, results, stamp.units)
    title = heading(say("sections.inspector-wired"), 1, "inspector-wired")
    return [
        FigureWithTable(
            [beneath(title, first), *others], heading(say("inspector.ticks"), 1, "inspector-ticks"), seen_table(rows)
        ),
        *([heading(say("inspector.photos"), 2, "inspector-photos"), *pictures] if pictures else []),
        heading(say("inspector.remarks"), 2, "inspector-remarks"),
        BlankLines(tuple(zip(lines("inspector.remarks_heads"), (0.3, 2.2, 1.0), strict=True)), *_REMARK_LINES, ending),
        *ending,
    ]


SECTIONS: Final = (
    Section("inspector-detail", detail, fresh=True),
    Section("inspector-wired", wired, titled=False),
)
