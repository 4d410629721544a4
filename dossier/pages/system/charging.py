"""Charging: windows on the bus, capacitor banks, voltage-controlled units, alternators and belts, live places.

Load dump.
"""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import (
    at_least,
    capital,
    fault_ka,
    fixed,
    high_v,
    low_v,
    minutes,
    most_v,
    shown,
    with_unit,
    word,
)
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, data_table, num, table_of
from dossier.pdf.text import plain
from dossier.reader.units import Units, Way
from dossier.reader.wording import say
from dossier.results.charging import AlternatorRow, BankRow, Charging
from dossier.results.overview import Results


def charging(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everything about sources on one bus."""
    found = results.charging
    if not (found.windows or found.banks or found.alternators):
        return []
    return [
        *_windows(found, stamp.units),
        *_banks(found.banks),
        *_relays(found),
        *_alternators(found.alternators, stamp.units),
        *_sharing(found),
        *_live(found),
        *_dumps(found),
    ]


def _title(raw: str) -> str:
    return capital(plain(raw, 60))


def _windows(found: Charging, units: Units) -> list[Any]:
    if not found.windows:
        return []
    story: list[Any] = [
        heading(say("charging.charging_windows"), 2, "charging-windows"),
        table_of(
            found.windows,
            [
                Column(say("columns.battery"), lambda one: _title(one.title), row_head=True, share=1.3),
                Column(say("columns.chemistry"), lambda one: one.chemistry, share=1.1),
                num(
                    say("charging.air_at_it", sign=units.sign("temperature")),
                    lambda one: shown(units, "temperature", one.temperature),
                ),
                num(say("charging.charged_at_v"), lambda one: _span(one.lowest, one.highest)),
                num(say("charging.fills_from_v"), lambda one: fixed(one.full, 1)),
                num(say("charging.usual_most_v"), lambda one: most_v(one.most)),
                num(say("charging.never_above_v"), lambda one: fixed(one.never, 1)),
                num(
                    say("charging.no_charge_below", sign=units.sign("temperature")),
                    lambda one: shown(units, "temperature", one.charge_from, Way.UP),
                ),
                Column(say("charging.verdict"), lambda one: one.verdict, share=1.5),
            ],
        ),
    ]
    limits = [with_unit(units, "temperature", t) for t in (0.0, 50.0, 25.0)]
    story.append(
        text(say("charging.a_battery_is_taken_to_be", reference=limits[2], low=limits[0], high=limits[1]), "note")
    )
    return story + [
        text(
            say(
                "charging.gives_of_hydrogen_an_hour_at",
                title=_title(one.title),
                hydrogen=with_unit(units, "gas", one.hydrogen, Way.UP),
            ),
            "note",
        )
        for one in found.windows
        if one.hydrogen is not None
    ]


def _span(low: float | None, high: float | None) -> str:
    if low is None or high is None or fixed(low) == fixed(high):
        return high_v(high)
    return f"{low_v(low)}–{high_v(high)}"


def _banks(banks: tuple[BankRow, ...]) -> list[Any]:
    if not banks:
        return []
    story: list[Any] = [
        heading(say("charging.capacitor_banks"), 2, "charging-banks"),
        table_of(
            banks,
            [
                Column(say("columns.bank"), lambda one: _title(one.title), row_head=True, share=1.2),
                num("F", lambda one: fixed(one.farads, 0)),
                num(say("charging.bus_v"), lambda one: high_v(one.volts)),
                num(say("charging.cell_v"), lambda one: fixed(one.cell, 2)),
                num(say("charging.worst_cell_v"), lambda one: fixed(one.worst_cell, 2)),
                num(say("charging.rated_v"), lambda one: fixed(one.rated, 2)),
                Column(say("charging.balancing"), lambda one: one.balancing, share=0.8),
                num(say("charging.stored_kj"), lambda one: fixed(one.energy / 1e3, 1)),
                num(say("charging.inrush_if_empty_ka"), lambda one: fault_ka(one.inrush)),
            ],
        ),
        table_of(
            banks,
            [
                Column(say("charging.charging_and_emptying"), lambda one: _title(one.title), row_head=True, share=1.2),
                num(say("charging.pre_charge"), lambda one: fixed(one.precharge, 1)),
                num(say("charging.at_first_w"), lambda one: fixed(one.precharge_power, 0)),
                num(say("charging.to_95"), lambda one: minutes(one.precharge_95, up=True)),
                num(say("charging.to_99"), lambda one: minutes(one.precharge_99, up=True)),
                num(say("charging.bleed"), lambda one: fixed(one.bleed, 1)),
                num(say("charging.at_first_w"), lambda one: fixed(one.bleed_power, 0)),
                num(say("charging.to_1_v"), lambda one: minutes(one.bleed_to_1v, up=True)),
                num(say("charging.to_50_j"), lambda one: minutes(one.bleed_to_50j, up=True)),
            ],
        ),
        text(say("charging.all_of_c_v_ends_in"), "note"),
    ]
    return story


def _relays(found: Charging) -> list[Any]:
    if not found.relays:
        return []
    return [
        heading(say("charging.voltage_controlled_units"), 2, "charging-relays"),
        table_of(
            found.relays,
            [
                Column(say("columns.unit"), lambda one: _title(one.title), row_head=True, share=1.2),
                Column(say("columns.kind"), lambda one: word(one.kind)),
                num(say("charging.on_above_v"), lambda one: fixed(one.acts_above, 1)),
                num(say("charging.off_below_v"), lambda one: fixed(one.acts_below, 1)),
                num(say("charging.driving_v"), lambda one: low_v(one.highest)),
                num(say("charging.lowest_in_a_load_case_v"), lambda one: low_v(one.lowest)),
                Column(say("charging.what_it_does"), lambda one: one.words, share=1.6),
            ],
        ),
    ]


def _alternators(rows: tuple[AlternatorRow, ...], units: Units) -> list[Any]:
    if not rows:
        return []
    table: list[list[Any]] = []
    blocks: list[tuple[int, int]] = []
    for one in rows:
        blocks.append((len(table), len(table) + len(one.speeds) - 1))
        for index, speed in enumerate(one.speeds):
            table.append(
                [
                    _title(one.title) if index == 0 else "",
                    speed.state,
                    fixed(speed.engine_rpm, 0),
                    fixed(speed.shaft_rpm, 0),
                    fixed(one.maximum, 0) + ("" if one.maximum_stated else " *"),
                    fixed(speed.output, 0),
                    fixed(100.0 * speed.efficiency, 0),
                    fixed(speed.mechanical / 1e3, 1),
                    shown(units, "torque", speed.torque),
                ]
            )
    story: list[Any] = [
        heading(say("charging.alternators"), 2, "charging-alternators"),
        data_table(
            [
                Column(say("charging.alternator"), row_head=True, share=1.1),
                Column(say("columns.state"), share=0.8),
                num(say("charging.engine_r_min")),
                num(say("charging.shaft_r_min")),
                num(say("charging.limit_r_min")),
                num(say("charging.hot_output_a")),
                num(say("charging.efficiency")),
                num(say("charging.from_the_engine_kw")),
                num(say("charging.torque", sign=units.sign("torque"))),
            ],
            table,
            blocks=blocks,
        ),
        text(say("charging.power_at_full_hot_output_not"), "note"),
    ]
    for one in rows:
        if one.belt_change is not None:
            way = say("charging.shorter") if one.belt_change < 0.0 else say("charging.longer")
            story.append(
                text(
                    say(
                        "charging.the_new_pulley_takes_a_belt",
                        title=_title(one.title),
                        belt_change=with_unit(units, "fine", abs(one.belt_change)),
                        way=way,
                        belt_words=one.belt_words,
                    )
                )
            )
        elif one.belt_words:
            story.append(text(f"{_title(one.title)}: {one.belt_words}."))
    return story


def _sharing(found: Charging) -> list[Any]:
    if not found.sharing:
        return []
    return [
        heading(say("charging.two_alternators_on_one_bus"), 2, "charging-sharing"),
        *(
            text(
                say(
                    "charging.and_v_apart_over_m_of",
                    first=_title(one.first),
                    second=_title(one.second),
                    volts=f"{one.volts:.2f}",
                    words=one.words,
                    ohms=f"{1e3 * one.ohms:.1f}",
                    amperes=at_least(one.amperes),
                )
            )
            for one in found.sharing
        ),
    ]


def _live(found: Charging) -> list[Any]:
    if not found.live:
        return []
    return [
        heading(say("charging.with_the_starter_battery_taken_off"), 2, "charging-live"),
        table_of(
            found.live,
            [
                Column(say("charging.still_live"), lambda one: one.title, row_head=True),
                Column(say("columns.fed_by"), lambda one: ", ".join(_title(name) for name in one.sources), share=2.0),
            ],
        ),
    ]


def _dumps(found: Charging) -> list[Any]:
    if not found.dumps:
        return []
    return [
        heading(say("charging.openings_while_charging"), 2, "charging-dump"),
        table_of(
            found.dumps,
            [
                Column(say("charging.what_opens"), lambda one: capital(plain(one.what, 80)), row_head=True, share=1.2),
                num(say("charging.interrupts_up_to_a"), lambda one: at_least(one.amperes)),
                Column(say("charging.left_on_the_bus"), lambda one: capital(plain(one.buffer, 120)), share=1.0),
                Column(say("charging.what_follows"), lambda one: one.words, share=1.8),
            ],
        ),
    ]
