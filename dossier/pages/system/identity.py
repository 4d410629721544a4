"""Which vehicle and which units: identity, serial numbers, people, instruments; and how the amplifiers are set."""

from __future__ import annotations

from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import NOT_SET
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, fixed, name, stated, word
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, data_table, num, pairs, table_of
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
            table_of(
                kept.people.values(),
                [
                    Column(say("columns.name"), lambda one: plain(one.name, 120), row_head=True),
                    Column(say("identity.what_this_person_did"), lambda one: plain(one.role, 200) or NONE, share=1.6),
                ],
            ),
        ]
    if kept.instruments:
        made += [
            heading(say("identity.instruments"), 2, "identity-instruments"),
            table_of(
                kept.instruments.values(),
                [
                    Column(say("identity.instrument"), lambda one: name(one.title), row_head=True),
                    Column(say("columns.kind"), lambda one: word(one.kind), share=0.8),
                    Column(say("identity.what_it_can_see"), lambda one: SEES[one.kind], share=1.3),
                    Column(say("identity.serial"), lambda one: one.serial or NONE, share=0.5),
                    Column(say("identity.calibrated"), lambda one: one.calibrated or NONE, share=0.6),
                    Column(say("columns.remarks"), lambda one: one.note or NONE, share=1.0),
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
        table_of(
            rows,
            [
                Column(say("columns.amplifier"), lambda one: name(one.title), row_head=True, share=1.1),
                num(say("identity.rated_w"), lambda one: fixed(one.rated_w, 0)),
                num(say("columns.load"), lambda one: fixed(one.load_ohm, 2)),
                num(say("identity.computed_v_rms"), lambda one: fixed(one.computed, 1)),
                num(say("identity.set_to_v_rms"), lambda one: fixed(one.recorded, 1)),
                num(say("identity.against_computed_db"), lambda one: fixed(one.above_db, 1, sign=True)),
                Column(say("identity.test_tone"), lambda one: one.tone or NONE, share=0.6),
                Column(say("columns.input"), lambda one: one.input or NONE, share=1.1),
            ],
        ),
        table_of(
            rows,
            [
                Column(say("columns.amplifier"), lambda one: name(one.title), row_head=True),
                Column(say("identity.high_pass"), lambda one: one.high_pass or NONE),
                Column(say("identity.low_pass"), lambda one: one.low_pass or NONE),
                Column(say("identity.boost"), lambda one: one.boost or NONE, share=0.5),
                Column(say("identity.phase"), lambda one: one.phase or NONE, share=0.6),
                Column(say("columns.remarks"), lambda one: one.note or NONE, share=1.4),
            ],
        ),
    ]
    return made
