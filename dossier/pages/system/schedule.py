"""The cable and fuse schedule: every conductor and every fuse with the numbers it is judged by."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dossier.buildfile.model import Build
from dossier.buildfile.tags import tag_at, tags_of
from dossier.pages.section import Stamp
from dossier.pages.system.fuse_answers import fuse_answers
from dossier.pages.words import (
    at_least,
    at_most,
    fixed,
    lettered,
    minutes,
    name,
    place_of,
    shown,
    told,
    used,
    with_unit,
    word,
)
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, num, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.units import Units, Way
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.schedule import ConductorRow, FuseRow, Warmth


def schedule(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Conductors, fuses, and how the allowed currents come about."""
    rows, units = results.schedule, stamp.units
    story: list[Any] = [rich(say("schedule.the_fuse_protects_the_cable_not"))]
    if not rows:
        return [*story, text(say("schedule.the_build_file_lists_no_conductor"))]
    story += [
        heading(say("schedule.conductors"), 2, "schedule-cables"),
        text(say("schedule.length_is_one_way_of_one"), "note"),
        table_of(
            rows,
            [
                Column(say("columns.conductor"), lambda row: _conductor(build, row), row_head=True, share=2.3),
                Column(say("columns.size"), lambda row: _size(row, units), share=1.0),
                num(say("schedule.length", sign=units.sign("run")), lambda row: shown(units, "run", row.length)),
                num(say("schedule.resist_m"), lambda row: fixed(1e3 * row.resistance, 2)),
                num(say("schedule.rms_run_a"), lambda row: at_least(row.rms)),
                num(say("schedule.allowed_run_a"), lambda row: at_most(row.allowed)),
                num(say("schedule.used"), lambda row: used(row.rms, row.allowed)),
                num(say("columns.peak_a"), lambda row: at_least(row.peak)),
                num(say("schedule.drop_at_peak_v"), lambda row: fixed(row.drop, 2)),
                num(say("columns.loss_w"), lambda row: fixed(row.loss, 0)),
            ],
        ),
    ]
    fuses, tags = [(row, fuse) for row in rows for fuse in row.fuses], tags_of(build)
    story.append(heading(say("schedule.fuses"), 2, "schedule-fuses"))
    if fuses:
        story += [
            text(say("schedule.needed_the_smallest_rating_that_carries"), "note"),
            table_of(
                fuses,
                [
                    Column(say("columns.conductor"), lambda one: name(one[0].title), row_head=True, share=1.1),
                    Column(say("columns.fuse"), lambda one: _fuse(tags, *one), share=0.8),
                    Column(say("schedule.near"), lambda one: place_of(build, one[1].near), share=1.2),
                    Column(say("columns.style"), lambda one: word(one[1].style), share=0.7),
                    num(say("columns.rating_a"), lambda one: fixed(one[1].rating, 0)),
                    num(say("schedule.needed_a"), lambda one: at_least(one[1].needed)),
                    num(say("columns.largest_a"), lambda one: at_most(one[1].largest)),
                    num(
                        say("schedule.from_source", sign=units.sign("distance")),
                        lambda one: shown(units, "distance", one[1].distance, Way.UP),
                    ),
                    num(say("columns.breaks_ka"), lambda one: fixed(_kilo(one[1].breaking_capacity), 1)),
                ],
                alike=2,
            ),
            heading(say("schedule.answers"), 2, "schedule-answers"),
            *fuse_answers(build, results),
        ]
    else:
        story.append(text(say("schedule.no_fuse_is_recorded_in_any")))
    return [*story, *_factors(rows, stamp.units), *_warmth(rows, units)]


def _size(row: ConductorRow, units: Units) -> str:
    if row.chassis:
        return say("schedule.vehicle_body")
    runs = f"{row.runs} × " if row.runs > 1 else ""
    size = f"{runs}{row.size} {word(row.material)}"
    if row.insulation is not None:
        size += f", {with_unit(units, 'temperature', row.insulation, Way.DOWN)}"
    return size


def _conductor(build: Build, row: ConductorRow) -> Any:
    path = f"{place_of(build, row.start)} → {place_of(build, row.end)}"
    return rich(
        f"<b>{markup(name(row.title))}</b>, {markup(word(row.role))}<br/>"
        f"<font size='7.4'>{markup(plain(path, 120))}</font>",
        "cell",
    )


def _warmth(rows: tuple[ConductorRow, ...], units: Units) -> list[Any]:
    """How warm each conductor gets in the load case that heats it most."""
    warm = [(row, row.warmth) for row in rows if row.warmth is not None]
    if not warm:
        return []
    degrees, cases = units.sign("temperature"), lettered(one.case for _, one in warm)

    def warmth(celsius: float | None, way: Way = Way.UP) -> str:
        return shown(units, "temperature", celsius, way)

    return [
        heading(say("schedule.how_warm_the_conductors_get"), 2, "schedule-warmth"),
        text(say("schedule.counted_temperature_of_the_metal_with", rise=with_unit(units, "rise", 15.0)), "note"),
        table_of(
            warm,
            [
                Column(say("columns.conductor"), lambda one: name(one[0].title), row_head=True),
                Column(say("schedule.load_case_that_heats_it_most"), lambda one: cases[one[1].case], share=0.2),
                num(say("schedule.rms_run_a"), lambda one: at_least(one[1].rms)),
                num(say("schedule.lasts"), lambda one: _lasts(one[1])),
                num(say("schedule.starts_at", degrees=degrees), lambda one: warmth(one[1].start)),
                num(say("schedule.reaches", degrees=degrees), lambda one: warmth(one[1].peak)),
                num(say("schedule.counted", degrees=degrees), lambda one: warmth(one[0].counted_temperature)),
                num(say("schedule.insulation", degrees=degrees), lambda one: warmth(one[0].insulation, Way.DOWN)),
                num(say("schedule.may_last"), lambda one: _may_last(one[1])),
            ],
            alike=1,
            after=2.0,
        ),
        text(told(cases), "note"),
    ]


def _lasts(one: Warmth) -> str:
    return say("schedule.continuous") if one.seconds is None else minutes(one.seconds, up=True)


def _may_last(one: Warmth) -> str:
    return say("schedule.no_limit") if one.holds is None else minutes(one.holds)


def _fuse(tags: Mapping[str, str], row: ConductorRow, fuse: FuseRow) -> str:
    each = "" if row.runs == 1 else (say("schedule.shared") if fuse.shared else f" (× {row.runs})")
    return f"{tag_at(tags, f'cables.{row.id}.fuses.{fuse.id}')} {fuse.id}{each}".lstrip()


def _kilo(amperes: float | None) -> float | None:
    return None if amperes is None else amperes / 1000.0


def _factors(rows: tuple[ConductorRow, ...], units: Units) -> list[Any]:
    corrected = [row for row in rows if row.base_ampacity is not None]
    if not corrected:
        return []
    factors = dict.fromkeys(one.name for row in corrected for one in row.factors)
    sources = dict.fromkeys(f"{one.name}: {one.source}" for row in corrected for one in row.factors)

    def factor(which: str) -> Column[ConductorRow]:
        return num(
            say("schedule.factor_head", name=which),
            lambda row: fixed(next((one.value for one in row.factors if one.name == which), None), 2),
        )

    return [
        heading(say("schedule.how_the_allowed_current_comes_about"), 2, "schedule-factors"),
        text(
            say("schedule.published_33_cfr_183_425_table", air=with_unit(units, "temperature", 30.0))
            + (f" {say('schedule.factor_sources', list='; '.join(sources))}" if sources else ""),
            "note",
        ),
        table_of(
            corrected,
            [
                Column(say("columns.conductor"), lambda row: name(row.title), row_head=True),
                num(
                    say("schedule.column", sign=units.sign("temperature")),
                    lambda row: shown(units, "temperature", row.column, Way.DOWN),
                ),
                num(say("schedule.published_a"), lambda row: at_most(row.base_ampacity)),
                *(factor(which) for which in factors),
                num(say("columns.allowed_a"), lambda row: at_most(row.allowed)),
            ],
            alike=1,
        ),
    ]
