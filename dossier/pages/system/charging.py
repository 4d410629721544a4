"""Charging: windows on the bus, capacitor banks, voltage-controlled units, alternators and belts, live places.

Load dump.
"""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import capital, fixed, minutes, shown, with_unit, word
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, data_table, num
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
        data_table(
            [
                Column(say("columns.battery"), row_head=True, share=1.3),
                Column(say("columns.chemistry"), share=1.1),
                num(say("charging.air_at_it", sign=units.sign("temperature"))),
                num(say("charging.charged_at_v")),
                num(say("charging.fills_from_v")),
                num(say("charging.usual_most_v")),
                num(say("charging.never_above_v")),
                num(say("charging.no_charge_below", sign=units.sign("temperature"))),
                Column(say("charging.verdict"), share=1.5),
            ],
            [
                [
                    _title(one.title),
                    one.chemistry,
                    shown(units, "temperature", one.temperature),
                    _span(one.lowest, one.highest),
                    fixed(one.full, 1),
                    fixed(one.most, 1),
                    fixed(one.never, 1),
                    shown(units, "temperature", one.charge_from, Way.UP),
                    one.verdict,
                ]
                for one in found.windows
            ],
        ),
    ]
    limits = [with_unit(units, "temperature", t) for t in (0.0, 50.0, 25.0)]
    story.append(
        text(
            say("charging.a_battery_is_taken_to_be", reference=limits[2], low=limits[0], high=limits[1]),
            "note",
        )
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
    if low is None or high is None or abs(high - low) < 0.05:
        return fixed(high, 1)
    return f"{fixed(low, 1)}–{fixed(high, 1)}"


def _banks(banks: tuple[BankRow, ...]) -> list[Any]:
    if not banks:
        return []
    story: list[Any] = [
        heading(say("charging.capacitor_banks"), 2, "charging-banks"),
        data_table(
            [
                Column(say("columns.bank"), row_head=True, share=1.2),
                num("F"),
                num(say("charging.bus_v")),
                num(say("charging.cell_v")),
                num(say("charging.worst_cell_v")),
                num(say("charging.rated_v")),
                Column(say("charging.balancing"), share=0.8),
                num(say("charging.stored_kj")),
                num(say("charging.inrush_if_empty_ka")),
            ],
            [
                [
                    _title(one.title),
                    fixed(one.farads, 0),
                    fixed(one.volts, 1),
                    fixed(one.cell, 2),
                    fixed(one.worst_cell, 2),
                    fixed(one.rated, 2),
                    one.balancing,
                    fixed(one.energy / 1e3, 1),
                    fixed(one.inrush / 1e3, 1),
                ]
                for one in banks
            ],
        ),
        data_table(
            [
                Column(say("charging.charging_and_emptying"), row_head=True, share=1.2),
                num(say("charging.pre_charge")),
                num(say("charging.at_first_w")),
                num(say("charging.to_95")),
                num(say("charging.to_99")),
                num(say("charging.bleed")),
                num(say("charging.at_first_w")),
                num(say("charging.to_1_v")),
                num(say("charging.to_50_j")),
            ],
            [
                [
                    _title(one.title),
                    fixed(one.precharge, 1),
                    fixed(one.precharge_power, 0),
                    minutes(one.precharge_95),
                    minutes(one.precharge_99),
                    fixed(one.bleed, 1),
                    fixed(one.bleed_power, 0),
                    minutes(one.bleed_to_1v),
                    minutes(one.bleed_to_50j),
                ]
                for one in banks
            ],
        ),
        text(
            say("charging.all_of_c_v_ends_in"),
            "note",
        ),
    ]
    return story


def _relays(found: Charging) -> list[Any]:
    if not found.relays:
        return []
    return [
        heading(say("charging.voltage_controlled_units"), 2, "charging-relays"),
        data_table(
            [
                Column(say("columns.unit"), row_head=True, share=1.2),
                Column(say("columns.kind")),
                num(say("charging.on_above_v")),
                num(say("charging.off_below_v")),
                num(say("charging.driving_v")),
                num(say("charging.lowest_in_a_load_case_v")),
                Column(say("charging.what_it_does"), share=1.6),
            ],
            [
                [
                    _title(one.title),
                    word(one.kind),
                    fixed(one.acts_above, 1),
                    fixed(one.acts_below, 1),
                    fixed(one.highest, 1),
                    fixed(one.lowest, 1),
                    one.words,
                ]
                for one in found.relays
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
                    amperes=f"{one.amperes:.0f}",
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
        data_table(
            [Column(say("charging.still_live"), row_head=True), Column(say("columns.fed_by"), share=2.0)],
            [[one.title, ", ".join(_title(name) for name in one.sources)] for one in found.live],
        ),
    ]


def _dumps(found: Charging) -> list[Any]:
    if not found.dumps:
        return []
    return [
        heading(say("charging.openings_while_charging"), 2, "charging-dump"),
        data_table(
            [
                Column(say("charging.what_opens"), row_head=True, share=1.2),
                num(say("charging.interrupts_up_to_a")),
                Column(say("charging.left_on_the_bus"), share=1.0),
                Column(say("charging.what_follows"), share=1.8),
            ],
            [
                [capital(plain(one.what, 80)), fixed(one.amperes, 0), capital(plain(one.buffer, 120)), one.words]
                for one in found.dumps
            ],
        ),
    ]
