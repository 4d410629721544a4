"""Storage and mass: engine-off reserve and recharge, key-off drain, cranking with what is left, restraint."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import capital, fixed, minutes, shown, with_unit
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units, Way
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.storage import StandingRow, Storage


def storage(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everything about reserve, drain and mass."""
    found = results.storage
    return [*_reserve(found, stamp.units), *_standing(found.standing), *_mass(found, stamp.units)]


def _reserve(found: Storage, units: Units) -> list[Any]:
    if not found.reserve:
        return []
    return [
        heading(say("storage.engine_off_and_back_on_the"), 2, "storage-reserve"),
        data_table(
            [
                Column(say("storage.programme"), row_head=True, share=1.4),
                num(say("storage.at", sign=units.sign("temperature"))),
                num(say("storage.discharge_a")),
                num(say("storage.time_until_then")),
                num(say("storage.taken_ah")),
                num(say("storage.put_back_on_the_road_in")),
                num(say("storage.cranking_then_v")),
            ],
            [
                [
                    one.level,
                    shown(units, "temperature", one.temperature),
                    fixed(one.amperes, 0),
                    minutes(one.seconds),
                    fixed(one.used / 3600.0, 0),
                    minutes(one.recharge),
                    fixed(one.cranking, 1),
                ]
                for one in found.reserve
            ],
        ),
        text(
            say("storage.of_the_batteries_that_give_out", words=capital(found.reserve[0].words)),
            "note",
        ),
    ]


def _standing(rows: tuple[StandingRow, ...]) -> list[Any]:
    if not rows:
        return []
    return [
        heading(say("storage.parked"), 2, "storage-parked"),
        data_table(
            [
                Column(say("storage.batteries"), row_head=True, share=1.0),
                num(say("storage.usable_ah")),
                Column(say("storage.what_draws_ma"), share=2.2),
                num(say("storage.sum_ma")),
                num(say("storage.days")),
            ],
            [
                [
                    ", ".join(capital(plain(name, 60)) for name in one.batteries),
                    fixed(one.usable / 3600.0, 0),
                    _draws(one),
                    fixed(1e3 * one.amperes, 0),
                    fixed(one.days, 0),
                ]
                for one in rows
            ],
        ),
        text(say("storage.not_stated_assumed_relays_open_switches"), "note"),
    ]


def _draws(one: StandingRow) -> Any:
    parts = [
        f"{markup(capital(plain(d.title, 100)))} {1e3 * d.amperes:.1f}{' *' if d.assumed else ''}" for d in one.drains
    ]
    return rich("<br/>".join(parts), "cell")


def _mass(found: Storage, units: Units) -> list[Any]:
    if not found.masses:
        return []
    story: list[Any] = [
        heading(say("storage.mass_and_restraint"), 2, "storage-mass"),
        data_table(
            [
                Column(say("storage.what_must_be_fixed"), row_head=True, share=1.4),
                Column(say("columns.where"), share=1.2),
                num(say("storage.mass", sign=units.sign("mass"))),
                num(say("storage.g_along", along_g=f"{found.along_g:.0f}", sign=units.sign("force"))),
                num(say("storage.g_across", across_g=f"{found.across_g:.0f}", sign=units.sign("force"))),
            ],
            [
                [
                    capital(plain(one.title, 60)),
                    one.location,
                    shown(units, "mass", one.mass),
                    shown(units, "force", one.along, Way.UP),
                    shown(units, "force", one.across, Way.UP),
                ]
                for one in found.masses
            ],
        ),
    ]
    left = (
        ""
        if found.payload is None
        else say("storage.payload_left", payload=with_unit(units, "mass", found.payload, Way.DOWN, 0))
    )
    story.append(
        text(
            say(
                "storage.stated_masses_together_the_accelerations_are",
                added_mass=with_unit(units, "mass", found.added_mass, Way.UP, 0),
                left=left,
            ),
        )
    )
    return story
