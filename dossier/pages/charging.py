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
        heading("Charging windows", 2, "charging-windows"),
        data_table(
            [
                Column("Battery", row_head=True, share=1.3),
                Column("Chemistry", share=1.1),
                num(f"Air at it\n{units.sign('temperature')}"),
                num("Charged at\nV"),
                num("Fills from\nV"),
                num("Usual most\nV"),
                num("Never above\nV"),
                num(f"No charge\nbelow {units.sign('temperature')}"),
                Column("Verdict", share=1.5),
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
            "A battery is taken to be as warm as the air at its place. Windows of lead-acid move by −3.9 mV/K per cell "
            f"from {limits[2]}, between {limits[0]} and {limits[1]} (encyclopaedia, itself uncited; the limits are "
            "common practice, no source): in the warm the usual most falls, in the cold it takes more to fill them. "
            "Lithium is not corrected.",
            "note",
        )
    )
    return story + [
        text(
            f"{_title(one.title)} gives {with_unit(units, 'gas', one.hydrogen, Way.UP)} of hydrogen an hour at 10 A of "
            "overcharge; 4 % in air burns.",
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
        heading("Capacitor banks", 2, "charging-banks"),
        data_table(
            [
                Column("Bank", row_head=True, share=1.2),
                num("F"),
                num("Bus\nV"),
                num("Cell\nV"),
                num("Worst cell\nV"),
                num("Rated\nV"),
                Column("Balancing", share=0.8),
                num("Stored\nkJ"),
                num("Inrush if\nempty, kA"),
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
                Column("Charging and emptying", row_head=True, share=1.2),
                num("Pre-charge\nΩ"),
                num("at first\nW"),
                num("to 95 %"),
                num("to 99 %"),
                num("Bleed\nΩ"),
                num("at first\nW"),
                num("to 1 V"),
                num("to 50 J"),
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
            "All of ½ C V² ends in the resistor, whatever its value: rate it by energy and first power, "
            "heat-sunk, or use a lamp (out "
            "= charged). 1 V can still hold hundreds of joules; keep the bank shorted through the resistor, "
            "it recovers.",
            "note",
        ),
    ]
    return story


def _relays(found: Charging) -> list[Any]:
    if not found.relays:
        return []
    return [
        heading("Voltage-controlled units", 2, "charging-relays"),
        data_table(
            [
                Column("Unit", row_head=True, share=1.2),
                Column("Kind"),
                num("On above\nV"),
                num("Off below\nV"),
                num("Driving\nV"),
                num("Lowest in a\nload case, V"),
                Column("What it does", share=1.6),
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
        heading("Alternators", 2, "charging-alternators"),
        data_table(
            [
                Column("Alternator", row_head=True, share=1.1),
                Column("State", share=0.8),
                num("Engine\nr/min"),
                num("Shaft\nr/min"),
                num("Limit\nr/min"),
                num("Hot output\nA"),
                num("Efficiency\n%"),
                num("From the\nengine, kW"),
                num(f"Torque\n{units.sign('torque')}"),
            ],
            table,
            blocks=blocks,
        ),
        text("Power at full hot output. * not stated: the low end of data sheets is taken.", "note"),
    ]
    for one in rows:
        if one.belt_change is not None:
            way = "shorter" if one.belt_change < 0.0 else "longer"
            story.append(
                text(
                    f"{_title(one.title)}: the new pulley takes a belt "
                    f"{with_unit(units, 'fine', abs(one.belt_change))} {way} "
                    f"({one.belt_words})."
                )
            )
        elif one.belt_words:
            story.append(text(f"{_title(one.title)}: {one.belt_words}."))
    return story


def _sharing(found: Charging) -> list[Any]:
    if not found.sharing:
        return []
    return [
        heading("Two alternators on one bus", 2, "charging-sharing"),
        *(
            text(
                f"{_title(one.first)} and {_title(one.second)}: {one.volts:.2f} V apart ({one.words}) over "
                f"{1e3 * one.ohms:.1f} mΩ of "
                f"droop is {one.amperes:.0f} A that one gives and the other does not."
            )
            for one in found.sharing
        ),
    ]


def _live(found: Charging) -> list[Any]:
    if not found.live:
        return []
    return [
        heading("With the starter battery taken off", 2, "charging-live"),
        data_table(
            [Column("Still live", row_head=True), Column("Fed by", share=2.0)],
            [[one.title, ", ".join(_title(name) for name in one.sources)] for one in found.live],
        ),
    ]


def _dumps(found: Charging) -> list[Any]:
    if not found.dumps:
        return []
    return [
        heading("Openings while charging", 2, "charging-dump"),
        data_table(
            [
                Column("What opens", row_head=True, share=1.2),
                num("Interrupts\nup to, A"),
                Column("Left on the bus", share=1.0),
                Column("What follows", share=1.8),
            ],
            [
                [capital(plain(one.what, 80)), fixed(one.amperes, 0), capital(plain(one.buffer, 120)), one.words]
                for one in found.dumps
            ],
        ),
    ]
