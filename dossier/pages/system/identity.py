"""Which vehicle and which units: identity, serial numbers, people, instruments; and how the amplifiers are set."""

from __future__ import annotations

from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import NOT_SET
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, fixed, name, stated, word
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, data_table, num, pairs
from dossier.pdf.text import plain
from dossier.reader.wording import say, terms
from dossier.reference.instruments import WORDS as SEES
from dossier.results.overview import Results


def identity(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Vehicle, serial numbers, people and instruments; nothing where the build file says nothing of them."""
    kept = build.kept
    made: list[Any] = []
    rows = identity_rows(build, stamp)
    if rows:
        made.append(pairs(rows, style.LIVE_WIDTH, 0.22))
    if build.serials:
        made += [
            heading(say("identity.serial_numbers"), 2, "identity-serials"),
            data_table(
                [
                    Column(say("columns.unit"), row_head=True),
                    Column(say("columns.kind"), share=0.8),
                    Column(say("identity.serial_number")),
                ],
                [_serial(build, *device, serial) for device, serial in build.serials.items()],
            ),
        ]
    if kept.people:
        made += [
            heading(say("identity.people"), 2, "identity-people"),
            data_table(
                [Column(say("columns.name"), row_head=True), Column(say("identity.what_this_person_did"), share=1.6)],
                [[plain(one.name, 120), plain(one.role, 200) or NONE] for one in kept.people.values()],
            ),
        ]
    if kept.instruments:
        made += [
            heading(say("identity.instruments"), 2, "identity-instruments"),
            data_table(
                [
                    Column(say("identity.instrument"), row_head=True),
                    Column(say("columns.kind"), share=0.8),
                    Column(say("identity.what_it_can_see"), share=1.3),
                    Column(say("identity.serial"), share=0.5),
                    Column(say("identity.calibrated"), share=0.6),
                    Column(say("columns.remarks"), share=1.0),
                ],
                [
                    [
                        name(one.title),
                        word(one.kind),
                        SEES[one.kind],
                        one.serial or NONE,
                        one.calibrated or NONE,
                        one.note or NONE,
                    ]
                    for one in kept.instruments.values()
                ],
            ),
        ]
    return made


def identity_rows(build: Build, stamp: Stamp) -> list[tuple[str, Any]]:
    """Plate, vehicle number and odometer as (label, value), masked where that is asked for."""
    kept = build.kept.identity
    hide = stamp.masked
    rows: list[tuple[str, Any]] = []
    if kept.plate:
        rows.append((say("identity.plate"), say("identity.masked") if hide else plain(kept.plate, 60)))
    if kept.vehicle_number:
        rows.append(
            (say("identity.vehicle_number"), say("identity.masked") if hide else plain(kept.vehicle_number, 60))
        )
    if kept.odometer:
        rows.append((say("identity.odometer"), stated(kept.odometer)))
    return rows


def _serial(build: Build, section: str, key: str, serial: str) -> list[Any]:
    unit = getattr(build, section)[key]
    return [name(unit.title), terms("identity.kinds")[section], plain(serial, 200)]


def settings(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The settings sheet: what sets every amplifier again."""
    rows = results.recorded.settings
    if all(one.settings == NOT_SET for one in build.amplifiers.values()):
        return []
    made: list[Any] = [
        text(say("identity.the_gain_is_set_with_a")),
        data_table(
            [
                Column(say("columns.amplifier"), row_head=True, share=1.1),
                num(say("identity.rated_w")),
                num(say("columns.load")),
                num(say("identity.computed_v_rms")),
                num(say("identity.set_to_v_rms")),
                num(say("identity.against_computed_db")),
                Column(say("identity.test_tone"), share=0.6),
                Column(say("columns.input"), share=1.1),
            ],
            [
                [
                    name(one.title),
                    fixed(one.rated_w, 0),
                    fixed(one.load_ohm, 2),
                    fixed(one.computed, 1),
                    fixed(one.recorded, 1),
                    fixed(one.above_db, 1, sign=True),
                    one.tone or NONE,
                    one.input or NONE,
                ]
                for one in rows
            ],
        ),
        data_table(
            [
                Column(say("columns.amplifier"), row_head=True),
                Column(say("identity.high_pass")),
                Column(say("identity.low_pass")),
                Column(say("identity.boost"), share=0.5),
                Column(say("identity.phase"), share=0.6),
                Column(say("columns.remarks"), share=1.4),
            ],
            [
                [
                    name(one.title),
                    one.high_pass or NONE,
                    one.low_pass or NONE,
                    one.boost or NONE,
                    one.phase or NONE,
                    one.note or NONE,
                ]
                for one in rows
            ],
        ),
    ]
    return made
