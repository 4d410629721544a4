"""The cable and fuse schedule: every conductor and every fuse with the numbers it is judged by."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import at_least, at_most, fixed, minutes, name, place_of, shown, used, with_unit, word
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units, Way
from dossier.results.overview import Results
from dossier.results.schedule import ConductorRow, FuseRow


def schedule(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Conductors, fuses, and how the allowed currents come about."""
    rows, units = results.schedule, stamp.units
    story: list[Any] = [
        rich(
            "<b>The fuse protects the cable, not the equipment.</b> Each conductor is judged by the rms "
            "current of the load case that heats it most, against the current its size, insulation, ambient "
            "and bundling allow. Resistance is of the whole path at operating temperature with joints and "
            "fuses.",
        )
    ]
    if not rows:
        return [*story, text("The build file lists no conductor.")]
    story += [
        heading("Conductors", 2, "schedule-cables"),
        text(
            "Length is one way, of one run. Rms and allowed current are per run; peak, drop and loss are "
            "of all runs together. The body has no allowed current of its own: its joints decide.",
            "note",
        ),
        data_table(
            [
                Column("Conductor", row_head=True, share=1.5),
                Column("Size", share=0.85),
                num(f"Length\n{units.sign('run')}"),
                num("Resist.\nmΩ"),
                num("rms, run\nA"),
                num("Allowed,\nrun A"),
                num("Used\n%"),
                num("Peak\nA"),
                num("Drop at\npeak V"),
                num("Loss\nW"),
            ],
            [_conductor(build, row, units) for row in rows],
        ),
    ]
    fuses = [(row, fuse) for row in rows for fuse in row.fuses]
    story.append(heading("Fuses", 2, "schedule-fuses"))
    if fuses:
        story += [
            text(
                "Needed: the smallest rating that carries the load with the usual margin. Largest: the "
                "allowed current of the conductor it protects. Distance is along the conductor from the "
                "terminal the fuse is near.",
                "note",
            ),
            data_table(
                [
                    Column("Conductor", row_head=True, share=1.1),
                    Column("Fuse", share=0.8),
                    Column("Near", share=1.2),
                    Column("Style", share=0.7),
                    num("Rating\nA"),
                    num("Needed\nA"),
                    num("Largest\nA"),
                    num(f"From source\n{units.sign('distance')}"),
                    num("Breaks\nkA"),
                ],
                [_fuse(build, row, fuse, units) for row, fuse in fuses],
            ),
        ]
    else:
        story.append(text("No fuse is recorded in any conductor."))
    return [*story, *_factors(rows, stamp.units), *_warmth(rows, units)]


def _conductor(build: Build, row: ConductorRow, units: Units) -> list[Any]:
    path = f"{place_of(build, row.start)} → {place_of(build, row.end)}"
    if row.chassis:
        size = "vehicle body"
    else:
        runs = f"{row.runs} × " if row.runs > 1 else ""
        size = f"{runs}{row.size} {word(row.material)}"
        if row.insulation is not None:
            size += f", {with_unit(units, 'temperature', row.insulation, Way.DOWN)}"
    title = rich(
        f"<b>{markup(name(row.title))}</b>, {markup(word(row.role))}<br/>"
        f"<font size='7.4'>{markup(plain(path, 120))}</font>",
        "cell",
    )
    return [
        title,
        size,
        shown(units, "run", row.length),
        fixed(1e3 * row.resistance, 2),
        at_least(row.rms),
        at_most(row.allowed),
        used(row.rms, row.allowed),
        at_least(row.peak),
        fixed(row.drop, 2),
        fixed(row.loss, 0),
    ]


def _warmth(rows: tuple[ConductorRow, ...], units: Units) -> list[Any]:
    """How warm each conductor gets in the load case that heats it most."""
    warm = [(row, row.warmth) for row in rows if row.warmth is not None]
    if not warm:
        return []
    degrees = units.sign("temperature")
    return [
        heading("How warm the conductors get", 2, "schedule-warmth"),
        text(
            "Counted: temperature of the metal with which the load case was computed, "
            f"{with_unit(units, 'rise', 15.0)} above the air or more where its own heat changes the voltage. "
            "May last: from its starting temperature until the rating of the insulation is reached, at this current. "
            "A rating that is not stated is assumed at its lowest.",
            "note",
        ),
        data_table(
            [
                Column("Conductor", row_head=True, share=1.1),
                Column("Load case that heats it most", share=1.3),
                num("rms, run\nA"),
                num("Lasts"),
                num(f"Starts at\n{degrees}"),
                num(f"Reaches\n{degrees}"),
                num(f"Counted\n{degrees}"),
                num(f"Insulation\n{degrees}"),
                num("May last"),
            ],
            [
                [
                    name(row.title),
                    name(one.case),
                    at_least(one.rms),
                    "continuous" if one.seconds is None else f"{one.seconds:.0f} s",
                    shown(units, "temperature", one.start, Way.UP),
                    shown(units, "temperature", one.peak, Way.UP),
                    shown(units, "temperature", row.counted_temperature, Way.UP),
                    shown(units, "temperature", row.insulation, Way.DOWN),
                    "no limit" if one.holds is None else minutes(one.holds),
                ]
                for row, one in warm
            ],
        ),
    ]


def _fuse(build: Build, row: ConductorRow, fuse: FuseRow, units: Units) -> list[Any]:
    breaking = None if fuse.breaking_capacity is None else fuse.breaking_capacity / 1000.0
    each = "" if row.runs == 1 else (" (shared)" if fuse.shared else f" (× {row.runs})")
    return [
        name(row.title),
        f"{fuse.id}{each}",
        place_of(build, fuse.near),
        word(fuse.style),
        fixed(fuse.rating, 0),
        at_least(fuse.needed),
        at_most(fuse.largest),
        shown(units, "distance", fuse.distance, Way.UP),
        fixed(breaking, 1),
    ]


def _factors(rows: tuple[ConductorRow, ...], units: Units) -> list[Any]:
    corrected = [row for row in rows if row.base_ampacity is not None]
    if not corrected:
        return []
    return [
        heading("How the allowed current comes about", 2, "schedule-factors"),
        text(
            "Published: 33 CFR 183.425, Table 5, one copper conductor in air of "
            f"{with_unit(units, 'temperature', 30.0)}, in the column at or below the rating of the insulation. Between "
            "its sizes log-log on area; above 4/0 AWG the value of 4/0; nothing below 18 AWG. No factor raises it.",
            "note",
        ),
        data_table(
            [
                Column("Conductor", row_head=True, share=0.8),
                num(f"Column\n{units.sign('temperature')}"),
                num("Published\nA"),
                Column("Factors and their source", share=3.6),
                num("Allowed\nA"),
            ],
            [
                [
                    name(row.title),
                    shown(units, "temperature", row.column, Way.DOWN),
                    fixed(row.base_ampacity, 0),
                    "; ".join(f"{one.name} × {one.value:.2f} ({one.source})" for one in row.factors)
                    or "none apply",
                    at_most(row.allowed),
                ]
                for row in corrected
            ],
        ),
    ]
