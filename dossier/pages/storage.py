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
        heading("Engine off, and back on the road", 2, "storage-reserve"),
        data_table(
            [
                Column("Programme", row_head=True, share=1.4),
                num(f"at\n{units.sign('temperature')}"),
                num("Discharge\nA"),
                num("Time until\nthen"),
                num("Taken\nAh"),
                num("Put back on\nthe road in"),
                num("Cranking\nthen, V"),
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
            "Of the batteries that give out first, from the present state of charge, by Peukert's law; in the cold "
            f"lead-acid has less. {capital(found.reserve[0].words)}. Cranking with worn resistance at that "
            "temperature, with what the starter battery has left then.",
            "note",
        ),
    ]


def _standing(rows: tuple[StandingRow, ...]) -> list[Any]:
    if not rows:
        return []
    return [
        heading("Parked", 2, "storage-parked"),
        data_table(
            [
                Column("Batteries", row_head=True, share=1.0),
                num("Usable\nAh"),
                Column("What draws, mA", share=2.2),
                num("Sum\nmA"),
                num("Days"),
            ],
            [
                [
                    ", ".join(capital(plain(name, 40)) for name in one.batteries),
                    fixed(one.usable / 3600.0, 0),
                    _draws(one),
                    fixed(1e3 * one.amperes, 0),
                    fixed(one.days, 0),
                ]
                for one in rows
            ],
        ),
        text("* not stated, assumed. Relays open, switches as found. The days end at the "
        "starter's reserve, or where a battery that starts nothing should not be drawn further.", "note"),
    ]


def _draws(one: StandingRow) -> Any:
    parts = [
        f"{markup(capital(plain(d.title, 60)))} {1e3 * d.amperes:.1f}{' *' if d.assumed else ''}" for d in one.drains
    ]
    return rich("<br/>".join(parts), "cell")


def _mass(found: Storage, units: Units) -> list[Any]:
    if not found.masses:
        return []
    story: list[Any] = [
        heading("Mass and restraint", 2, "storage-mass"),
        data_table(
            [
                Column("What must be fixed", row_head=True, share=1.4),
                Column("Where", share=1.2),
                num(f"Mass\n{units.sign('mass')}"),
                num(f"{found.along_g:.0f} g along\n{units.sign('force')}"),
                num(f"{found.across_g:.0f} g across\n{units.sign('force')}"),
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
    left = "" if found.payload is None else f" Payload left: {with_unit(units, 'mass', found.payload, Way.DOWN, 0)}."
    story.append(
        text(
            f"Stated masses together: {with_unit(units, 'mass', found.added_mass, Way.UP, 0)}.{left} The "
            "accelerations are of the class "
            "of vehicle-tank and battery rules "
            "(UN R67, R100, R110, from memory): bolted to the body through backing plates, never to trim, "
            "never to seat or belt bolts.",
        )
    )
    return story
