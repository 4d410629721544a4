"""The customer's edition: what was fitted, how to live with it, what to do; plain words, no equations."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages import wording as say
from dossier.pages.diagram.section import picture
from dossier.pages.handover import advice, maintenance
from dossier.pages.identity import identity_rows
from dossier.pages.photos import photos
from dossier.pages.section import Section, Stamp
from dossier.pages.signoff import code, signature_blocks
from dossier.pages.words import at_most, count, fixed, minutes, name, stated, word
from dossier.pdf.flow import Rule, gap, heading, rich, text, together
from dossier.pdf.marks import mark
from dossier.pdf.tables import Column, columns, data_table, num, pairs
from dossier.pdf.text import plain
from dossier.results.budget import EngineBudget
from dossier.results.overview import Results

_LOG_LINES: Final = 12
_STORES: Final = ("battery", "capacitor bank")
_FULL: Final = 0.25  # of rated output, the mean of loud music (9 dB crest)
_ORDER: Final = {"battery": 0, "capacitor bank": 1}


def cover(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The first page: what must be read first, and what the paper belongs to."""
    record = build.record
    number = len(results.energy_sources)
    sources = count(number, "energy source")
    off = _off(results, 0.125)
    stopped = any(one.severity is Severity.STOP for one in results.findings)
    first = [
        *([say.STOP_FIRST] if stopped else []),
        say.HEARING_FIRST,
        say.OFF_FIRST.format(time=off) if off else say.OFF_UNKNOWN,
        (say.SOURCES_FIRST if number > 1 else say.SOURCE_FIRST).format(sources=sources),
    ]
    half = (style.LIVE_WIDTH - style.GUTTER) / 2
    rows: list[tuple[str, Any]] = [
        ("Vehicle", plain(build.vehicle.description, 120)),
        *identity_rows(build, stamp),
        ("Customer", plain(record.customer, 80) or "not recorded"),
        ("Workshop", plain(record.workshop, 80) or "not recorded"),
        ("Record", f"{plain(record.number, 40)}, revision {plain(record.revision, 20)}"),
        ("Date", record.date),
        ("State", word(record.stage)),
    ]
    contact = build.kept.handover.contact if build.kept.handover else ""
    if contact:
        rows.append(("Questions to", plain(contact, 120)))
    return [
        gap(4),
        text(plain(record.title, 110), "title"),
        text(f"For the owner. Record {plain(record.number, 40)}, revision {plain(record.revision, 20)}", "subtitle"),
        gap(4),
        text(say.CUSTOMER_LEAD, "lead"),
        gap(2),
        Rule(after=6),
        text(say.FIRST, "heading_1"),
        *(text(line, "warning") for line in first),
        Rule(before=6, after=8),
        columns(
            [
                [pairs(rows, half, 0.3)],
                [*_settled(results), gap(6), code(build, stamp), text(stamp.digest, "note")],
            ]
        ),
        gap(6),
        *_fitted(build, results),
    ]


def _settled(results: Results) -> list[Any]:
    found = [one for one in results.findings if one.severity >= Severity.CAUTION]
    if not found:
        return [text(say.OPEN_POINTS, "heading_2"), text(say.OPEN_NONE, "cell")]
    worst = max(one.severity for one in found)
    return [
        text(say.OPEN_POINTS, "heading_2"),
        rich(
            f"{mark(worst, count(len(found), 'point'))}&nbsp; to be settled with the workshop; the list is at the end.",
            "cell",
        ),
    ]


def _fitted(build: Build, results: Results) -> list[Any]:
    return [
        text(say.FITTED, "heading_2"),
        text(say.FITTED_WORDS, "note"),
        data_table(
            [
                num("No."),
                Column("Source", row_head=True, share=1.1),
                Column("Kind", share=0.7),
                Column("Where", share=1.0),
                Column("What it is", share=1.2),
            ],
            [
                [str(i), name(one.title), one.kind, plain(one.location, 80), one.detail]
                for i, one in enumerate(results.energy_sources, start=1)
            ],
        ),
        data_table(
            [
                Column("Amplifier", row_head=True),
                Column("Where"),
                Column("Loudspeakers", share=1.2),
                num("Output\nW"),
            ],
            [
                [
                    name(one.title),
                    _place(build, one.at),
                    ", ".join(name(build.speakers[key].title, 60) for key in one.speakers if key in build.speakers)
                    or "none",
                    fixed(one.rated_w, 0),
                ]
                for one in results.amplifiers
            ],
        ),
    ]


def wired(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The wiring diagram, without its list of tags."""
    return picture(build, results)


def dead(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """How to make everything dead, step by step, and the note for garage and rescue."""
    stores = sorted(
        (one for one in results.energy_sources if one.kind in _STORES),
        key=lambda one: _first(build, one.id, one.kind),
    )
    steps = [say.DEAD_ENGINE]
    steps += [
        (say.DEAD_BANK if one.kind == "capacitor bank" else say.DEAD_STORE).format(
            title=name(one.title), place=one.location
        )
        for one in stores
    ]
    steps.append(say.DEAD_LAST)
    listed = "; ".join(f"{name(one.title, 40)}: {plain(one.location, 40)}" for one in stores)
    note = say.GARAGE_WORDS.format(sources=count(len(results.energy_sources), "energy source"), list=listed)
    return [
        text(say.DEAD_WORDS.format(places=count(len(stores), "place"))),
        data_table(
            [num("Step"), Column("What to do", row_head=True, style="cell_large")],
            [[str(i), line] for i, line in enumerate(steps, start=1)],
        ),
        together(heading(say.GARAGE, 2, "customer-garage"), text(note, "warning"), gap(4)),
    ]


def _first(build: Build, key: str, kind: str) -> tuple[int, int]:
    """The starter battery first, then the other batteries, then the banks."""
    battery = build.batteries.get(key)
    return _ORDER[kind], 0 if battery is not None and battery.starts_engine else 1


def living(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everyday use, warning signs, fuses, jump start, charging, winter."""
    off, full = _off(results, 0.125), _off(results, _FULL)
    words = {
        "off": off or "for a time that is not known",
        "off_full": full or "much shorter",
        "idle": _idle(results),
        "rest": _rest(build),
        "charging": _charging(build),
    }
    standing = min((one.days for one in results.storage.standing if one.starts), default=None)
    stands = say.STANDING.format(days=at_most(standing)) if standing is not None else say.STANDING_UNKNOWN
    care = [[head, line.format(standing=stands)] for head, line in say.CARE_LINES]
    if any(one.chemistry in ("lifepo4", "lto") for one in build.batteries.values()):
        care.append(["Cold", say.LITHIUM_COLD])
    fuses = [
        [name(cable.title), _place(build, one.near), word(one.style), stated(one.rating)]
        for cable in build.cables.values()
        for one in cable.fuses.values()
    ]
    made: list[Any] = [
        _lines([[head, line.format(**words)] for head, line in say.LIVING_LINES]),
        heading(say.SIGNS, 2, "customer-signs"),
        data_table([Column("", row_head=True, style="cell_large")], [[line] for line in say.SIGNS_LINES], head=False),
    ]
    if fuses:
        made += [
            heading(say.FUSES, 2, "customer-fuses"),
            data_table(
                [Column("In the cable", row_head=True), Column("Where"), Column("Style", share=0.6), num("Rating")],
                fuses,
            ),
        ]
    return [*made, heading(say.CARE, 2, "customer-care"), _lines(care)]


def _lines(rows: list[list[str]]) -> Any:
    return data_table(
        [
            Column("", row_head=True, share=0.22, style="cell_large_strong"),
            Column("", share=0.78, style="cell_large"),
        ],
        rows,
        head=False,
    )


def ears(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Minutes for the levels that were measured, or the table everybody should know."""
    judged = [one for one in results.recorded.sound if one.permitted and one.a_weighted is not None]
    made: list[Any] = [
        text(
            say.EARS_MEASURED.format(
                level=fixed(one.a_weighted, 0),
                position=plain(one.position, 80),
                time=minutes(min(row.seconds for row in one.permitted)),
            ),
            "warning",
        )
        for one in judged
    ] or [text(say.EARS_NOT)]
    levels = [85 + 3 * step for step in range(12)]
    half = [
        [[f"{level}", minutes(8 * 3600.0 / 2 ** ((level - 85) / 3))] for level in part]
        for part in (levels[:6], levels[6:])
    ]
    wide = (style.LIVE_WIDTH - style.GUTTER) / 2
    heads = [num("dB(A)"), Column("A day, without protection")]
    return [
        *made,
        columns([[data_table(heads, part, total=wide)] for part in half]),
        gap(4),
        text(say.EARS_TABLE, "note"),
    ]


def upkeep(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Maintenance, advice, insurer, what is open, photos, receipt."""
    found = [one for one in results.findings if one.severity >= Severity.CAUTION]
    made: list[Any] = [*maintenance(results.recorded.due), *advice(build), text(say.INSURER)]
    if found:
        made += [
            heading(say.OPEN_POINTS, 2, "customer-open"),
            data_table(
                [
                    Column("", share=0.22),
                    Column("What", row_head=True, share=1.5),
                    Column("What cures it", share=1.3),
                ],
                [[rich(mark(one.severity), "cell"), plain(one.headline, 300), plain(one.fix, 300)] for one in found],
            ),
        ]
    pictures = photos(build, results, stamp)
    if pictures:
        made += [heading("Photos", 2, "customer-photos"), *pictures]
    log = [["", "", "", ""] for _ in range(_LOG_LINES)]
    return [
        *made,
        heading(say.LOG, 2, "customer-log"),
        text(say.LOG_WORDS, "note"),
        data_table(
            [Column(words, share=share) for words, share in zip(say.LOG_HEADS, (0.5, 0.5, 2.2, 0.8), strict=True)],
            [[gap(13), *row[1:]] for row in log],
        ),
        *signature_blocks(say.RECEIVED),
    ]


def _off(results: Results, fraction: float) -> str:
    """How long it plays with the engine off at the level nearest to ``fraction`` of rated output; empty if unknown."""
    rows = [one for one in results.budget.engine_off if one.seconds is not None]
    levels = {demand.name: demand.fraction for state in results.budget.states for demand in state.demands}
    row = min(rows, key=lambda one: abs(levels.get(one.name, 1.0) - fraction), default=None)
    return minutes(row.seconds) if row is not None else ""


def _idle(results: Results) -> str:
    state: EngineBudget | None = next((one for one in results.budget.states if one.state == "idle"), None)
    if state is None or not state.demands:
        return say.IDLE_DEFICIT.format(amps="an unknown number of")
    pairs_ = zip(state.demands, state.balances, strict=True)
    _, balance = min(pairs_, key=lambda pair: abs(pair[0].fraction - _FULL))
    return say.IDLE_BALANCED if balance >= 0.0 else say.IDLE_DEFICIT.format(amps=fixed(-balance, 0))


def _rest(build: Build) -> str:
    starter = next((one for one in build.batteries.values() if one.starts_engine), None)
    chemistry = starter.chemistry if starter else "agm"
    return {"lifepo4": "13.2 to 13.4 V", "lto": "as the workshop wrote down"}.get(chemistry, "12.6 to 12.8 V")


def _charging(build: Build) -> str:
    volts = [
        v.si for one in build.supplies.values() if one.kind == "alternator" for v in one.charging_voltage.values()
    ]
    if not volts:
        return "13.8 to 14.6 V"
    low, high = min(volts), max(volts)
    return (
        f"about {low:.1f} V" if high - low < 0.15 else f"{low:.1f} to {high:.1f} V, which is normal for this vehicle"
    )


def _place(build: Build, key: str) -> str:
    return plain(build.locations[key].title, 80) if key in build.locations else key


SECTIONS: Final = (
    Section("customer-dead", say.DEAD, dead, fresh=True),
    Section("customer-ears", say.EARS, ears),
    Section("customer-wired", say.DRAWN, wired),
    Section("customer-living", say.LIVING, living),
    Section("customer-upkeep", say.UPKEEP, upkeep),
)
