"""Storage and mass: engine-off reserve and recharge, key-off drain, cranking with what is left, restraint."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import at_least, at_most, capital, fixed, low_v, minutes, shown, with_unit
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, num, table_of
from dossier.pdf.text import plain
from dossier.reader.units import Units, Way
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.storage import NoRecharge, StandingRow, Storage

NOT_RECHARGED = {
    NoRecharge.NO_SUPPLY: "storage.recharge_no_supply",
    NoRecharge.NOT_RUN_DOWN: "storage.recharge_not_run_down",
    NoRecharge.NO_OPERATING_POINT: "storage.recharge_no_operating_point",
    NoRecharge.NO_CURRENT: "storage.recharge_no_current",
}


def storage(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everything about reserve, drain and mass."""
    found = results.storage
    return [*_reserve(found, stamp.units), *_standing(found.standing), *_mass(found, stamp.units)]


def _reserve(found: Storage, units: Units) -> list[Any]:
    title = heading(say("storage.engine_off_and_back_on_the"), 2, "storage-reserve")
    if not found.reserve:
        return [title, *unsaid] if (unsaid := _recharge(found)) else []
    return [
        title,
        table_of(
            found.reserve,
            [
                Column(say("storage.programme"), lambda one: one.level, row_head=True, share=1.4),
                num(
                    say("storage.at", sign=units.sign("temperature")),
                    lambda one: shown(units, "temperature", one.temperature),
                ),
                num(say("storage.discharge_a"), lambda one: at_least(one.amperes)),
                num(say("storage.time_until_then"), lambda one: minutes(one.seconds)),
                num(say("storage.taken_ah"), lambda one: fixed(one.used / 3600.0, 0)),
                num(say("storage.put_back_on_the_road_in"), lambda one: minutes(one.recharge)),
                num(say("storage.cranking_then_v"), lambda one: low_v(one.cranking)),
                num(say("storage.at_the_starter_v"), lambda one: low_v(one.at_starter)),
            ],
        ),
        text(say("storage.of_the_batteries_that_give_out", words=capital(found.reserve[0].words)), "note"),
        *_recharge(found),
    ]


def _recharge(found: Storage) -> list[Any]:
    """The standard case in which everything is judged too."""
    case = found.recharge
    if case is None:
        key = NOT_RECHARGED.get(found.no_recharge)
        return [text(say(key), "note")] if key else []
    shares = []
    for one in case.sources:
        amperes = at_least(abs(one.mean))
        most = "" if one.limit is None else say("storage.recharge_most", limit=fixed(one.limit, 0))
        title = capital(plain(one.title, 60))
        said = say(
            "storage.recharge_takes" if one.mean < 0.0 else "storage.recharge_gives", title=title, amperes=amperes
        )
        shares.append(said + most)
    return [
        text(say("storage.recharge", title=case.title, sources="; ".join(shares), time=minutes(case.seconds)), "note")
    ]


def _standing(rows: tuple[StandingRow, ...]) -> list[Any]:
    if not rows:
        return []
    return [
        heading(say("storage.parked"), 2, "storage-parked"),
        table_of(
            rows,
            [
                Column(
                    say("storage.batteries"),
                    lambda one: ", ".join(capital(plain(name, 60)) for name in one.batteries),
                    row_head=True,
                    share=1.0,
                ),
                num(say("storage.usable_ah"), lambda one: fixed(one.usable / 3600.0, 0)),
                Column(say("storage.what_draws_ma"), _draws, share=2.2),
                num(say("storage.sum_ma"), lambda one: at_least(1e3 * one.amperes)),
                num(say("storage.days"), lambda one: at_most(one.days)),
            ],
        ),
        text(say("storage.not_stated_assumed_relays_open_switches"), "note"),
    ]


def _draws(one: StandingRow) -> Any:
    parts = [f"{capital(plain(d.title, 100))} {1e3 * d.amperes:.1f}{' *' if d.assumed else ''}" for d in one.drains]
    return text(", ".join(parts), "cell")


def _mass(found: Storage, units: Units) -> list[Any]:
    if not found.masses:
        return []
    story: list[Any] = [
        heading(say("storage.mass_and_restraint"), 2, "storage-mass"),
        table_of(
            found.masses,
            [
                Column(
                    say("storage.what_must_be_fixed"),
                    lambda one: capital(plain(one.title, 60)),
                    row_head=True,
                    share=1.4,
                ),
                Column(say("columns.where"), lambda one: one.location, share=1.2),
                num(say("storage.mass", sign=units.sign("mass")), lambda one: shown(units, "mass", one.mass)),
                num(
                    say("storage.g_along", along_g=f"{found.along_g:.0f}", sign=units.sign("force")),
                    lambda one: shown(units, "force", one.along, Way.UP),
                ),
                num(
                    say("storage.g_across", across_g=f"{found.across_g:.0f}", sign=units.sign("force")),
                    lambda one: shown(units, "force", one.across, Way.UP),
                ),
            ],
            alike=1,
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
