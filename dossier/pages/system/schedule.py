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
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.schedule import ConductorRow, FuseRow


def schedule(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Conductors, fuses, and how the allowed currents come about."""
    rows, units = results.schedule, stamp.units
    story: list[Any] = [
        rich(
            say("schedule.the_fuse_protects_the_cable_not"),
        )
    ]
    if not rows:
        return [*story, text(say("schedule.the_build_file_lists_no_conductor"))]
    story += [
        heading(say("schedule.conductors"), 2, "schedule-cables"),
        text(
            say("schedule.length_is_one_way_of_one"),
            "note",
        ),
        data_table(
            [
                Column(say("columns.conductor"), row_head=True, share=1.5),
                Column(say("columns.size"), share=0.85),
                num(say("schedule.length", sign=units.sign("run"))),
                num(say("schedule.resist_m")),
                num(say("schedule.rms_run_a")),
                num(say("schedule.allowed_run_a")),
                num(say("schedule.used")),
                num(say("columns.peak_a")),
                num(say("schedule.drop_at_peak_v")),
                num(say("columns.loss_w")),
            ],
            [_conductor(build, row, units) for row in rows],
        ),
    ]
    fuses = [(row, fuse) for row in rows for fuse in row.fuses]
    story.append(heading(say("schedule.fuses"), 2, "schedule-fuses"))
    if fuses:
        story += [
            text(
                say("schedule.needed_the_smallest_rating_that_carries"),
                "note",
            ),
            data_table(
                [
                    Column(say("columns.conductor"), row_head=True, share=1.1),
                    Column(say("columns.fuse"), share=0.8),
                    Column(say("schedule.near"), share=1.2),
                    Column(say("columns.style"), share=0.7),
                    num(say("columns.rating_a")),
                    num(say("schedule.needed_a")),
                    num(say("columns.largest_a")),
                    num(say("schedule.from_source", sign=units.sign("distance"))),
                    num(say("columns.breaks_ka")),
                ],
                [_fuse(build, row, fuse, units) for row, fuse in fuses],
            ),
        ]
    else:
        story.append(text(say("schedule.no_fuse_is_recorded_in_any")))
    return [*story, *_factors(rows, stamp.units), *_warmth(rows, units)]


def _conductor(build: Build, row: ConductorRow, units: Units) -> list[Any]:
    path = f"{place_of(build, row.start)} → {place_of(build, row.end)}"
    if row.chassis:
        size = say("schedule.vehicle_body")
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
        heading(say("schedule.how_warm_the_conductors_get"), 2, "schedule-warmth"),
        text(
            say("schedule.counted_temperature_of_the_metal_with", rise=with_unit(units, "rise", 15.0)),
            "note",
        ),
        data_table(
            [
                Column(say("columns.conductor"), row_head=True, share=1.1),
                Column(say("schedule.load_case_that_heats_it_most"), share=1.3),
                num(say("schedule.rms_run_a")),
                num(say("schedule.lasts")),
                num(say("schedule.starts_at", degrees=degrees)),
                num(say("schedule.reaches", degrees=degrees)),
                num(say("schedule.counted", degrees=degrees)),
                num(say("schedule.insulation", degrees=degrees)),
                num(say("schedule.may_last")),
            ],
            [
                [
                    name(row.title),
                    name(one.case),
                    at_least(one.rms),
                    say("schedule.continuous") if one.seconds is None else f"{one.seconds:.0f} s",
                    shown(units, "temperature", one.start, Way.UP),
                    shown(units, "temperature", one.peak, Way.UP),
                    shown(units, "temperature", row.counted_temperature, Way.UP),
                    shown(units, "temperature", row.insulation, Way.DOWN),
                    say("schedule.no_limit") if one.holds is None else minutes(one.holds),
                ]
                for row, one in warm
            ],
        ),
    ]


def _fuse(build: Build, row: ConductorRow, fuse: FuseRow, units: Units) -> list[Any]:
    breaking = None if fuse.breaking_capacity is None else fuse.breaking_capacity / 1000.0
    each = "" if row.runs == 1 else (say("schedule.shared") if fuse.shared else f" (× {row.runs})")
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
        heading(say("schedule.how_the_allowed_current_comes_about"), 2, "schedule-factors"),
        text(
            say("schedule.published_33_cfr_183_425_table", air=with_unit(units, "temperature", 30.0)),
            "note",
        ),
        data_table(
            [
                Column(say("columns.conductor"), row_head=True, share=0.8),
                num(say("schedule.column", sign=units.sign("temperature"))),
                num(say("schedule.published_a")),
                Column(say("schedule.factors_and_their_source"), share=3.6),
                num(say("columns.allowed_a")),
            ],
            [
                [
                    name(row.title),
                    shown(units, "temperature", row.column, Way.DOWN),
                    fixed(row.base_ampacity, 0),
                    "; ".join(f"{one.name} × {one.value:.2f} ({one.source})" for one in row.factors)
                    or say("schedule.none_apply"),
                    at_most(row.allowed),
                ]
                for row in corrected
            ],
        ),
    ]
