"""The equipment register: every energy source, location, supply, battery, bank, amplifier, speaker and coupling."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, TypeVar

from dossier.buildfile.model import Battery, Build, Coupling, Speaker, Supply
from dossier.pages.appendix.sources import counted, turning, warning
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, at_least, capital, count, fixed, high_v, name, place_of, stated, word
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, data_table, num, table_of
from dossier.pdf.text import markup
from dossier.reader.wording import say
from dossier.results.overview import Results, Wiring

_Row = TypeVar("_Row")


def equipment(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """What is fitted, as the build file states it."""
    story: list[Any] = [
        text(say("equipment.values_are_those_the_build_file")),
        *_sources(build, results),
        *_table(
            say("equipment.locations"),
            "locations",
            build.locations.values(),
            [
                Column(say("columns.location"), lambda one: capital(one.title), row_head=True),
                Column(say("equipment.id"), lambda one: one.id, style="cell_muted"),
                num(say("equipment.ambient"), lambda one: stated(one.ambient)),
            ],
        ),
        *_table(
            say("equipment.supplies"),
            "supplies",
            build.supplies.values(),
            [
                Column(say("equipment.supply"), lambda one: capital(one.title), row_head=True, share=0.9),
                Column(say("columns.kind"), lambda one: word(one.kind), share=0.75),
                Column(say("columns.at"), lambda one: place_of(build, one.at), share=0.9),
                Column(say("equipment.charging_voltage"), _charging, share=0.9),
                Column(say("equipment.output"), lambda one: _output(build, one), share=1.7),
            ],
        ),
        *_table(
            say("equipment.batteries"),
            "batteries",
            build.batteries.values(),
            [
                Column(say("columns.battery"), lambda one: capital(one.title), row_head=True, share=1.1),
                Column(say("columns.chemistry"), lambda one: word(one.chemistry), share=1.0),
                Column(say("columns.at"), lambda one: place_of(build, one.at), share=1.1),
                num(say("equipment.capacity"), lambda one: stated(one.capacity)),
                num(say("equipment.cranking"), _cranking),
                num(say("equipment.resistance"), lambda one: stated(one.internal_resistance)),
                Column(say("columns.remarks"), _remarks, share=1.4),
            ],
        ),
        *_table(
            say("equipment.capacitor_banks"),
            "banks",
            build.capacitor_banks.values(),
            [
                Column(say("columns.bank"), lambda one: capital(one.title), row_head=True),
                Column(say("columns.at"), lambda one: place_of(build, one.at)),
                Column(
                    say("equipment.cells"),
                    lambda one: say("equipment.in_series_in_parallel", series=one.series, parallel=one.parallel),
                    share=0.8,
                ),
                num(say("equipment.one_cell"), lambda one: stated(one.capacitance)),
                num(say("equipment.esr_cell"), lambda one: stated(one.esr)),
                num(say("equipment.rated_cell"), lambda one: stated(one.rated_voltage)),
            ],
        ),
        *_amplifiers(build, results),
        *_table(
            say("equipment.speakers"),
            "speakers",
            build.speakers.values(),
            [
                Column(say("equipment.speakers"), lambda one: capital(one.title), row_head=True, share=1.2),
                Column(
                    say("columns.amplifier"),
                    lambda one: ", ".join(_title(build.amplifiers, a) for a in one.amplifiers),
                    share=1.0,
                ),
                Column(say("equipment.drivers_and_coils"), _drivers, share=1.9),
                num(say("equipment.under_power"), lambda one: stated(one.operating_impedance or one.impedance_rise)),
            ],
        ),
        *_table(
            say("equipment.couplings"),
            "couplings",
            build.couplings.values(),
            [
                Column(say("columns.coupling"), lambda one: capital(one.title), row_head=True, share=1.1),
                Column(say("columns.kind"), lambda one: word(one.kind), share=1.1),
                Column(
                    say("equipment.between"),
                    lambda one: say(
                        "equipment.between_places", start=place_of(build, one.start), end=place_of(build, one.end)
                    ),
                    share=1.5,
                ),
                Column(say("equipment.thresholds"), _thresholds, share=1.2),
                num(say("equipment.resistance"), lambda one: stated(one.resistance)),
                num(say("equipment.continuous"), lambda one: stated(one.continuous)),
            ],
        ),
    ]
    return story


def _title(devices: Any, key: str) -> str:
    return name(devices[key].title) if key in devices else key


def _table(title: str, key: str, rows: Collection[_Row], columns: list[Column[_Row] | None]) -> list[Any]:
    return [heading(title, 2, f"equipment-{key}"), table_of(rows, columns)] if rows else []


def _drivers(one: Speaker) -> str:
    coils = {
        "voice_coils": one.voice_coils,
        "coil_impedance": stated(one.coil_impedance),
        "coils_in": word(one.coils_in),
    }
    if one.drivers == 1:
        return say("equipment.one_driver", **coils)
    several = count(one.drivers, "driver")
    return say("equipment.several_drivers", drivers=several, drivers_in=word(one.drivers_in), **coils)


def _sources(build: Build, results: Results) -> list[Any]:
    sources = results.energy_sources
    if not sources:
        return []
    return [
        heading(say("equipment.energy_sources"), 2, "equipment-sources"),
        rich(
            say(
                "equipment.each_is_isolated_by_itself_before"
                if len(sources) > 1
                else "equipment.it_is_isolated_before",
                sources=counted(results),
                warning=markup(warning(results)),
            )
        ),
        data_table(
            [
                num(say("columns.no")),
                Column(say("columns.source"), row_head=True),
                Column(say("columns.kind"), share=0.8),
                Column(say("columns.where")),
                Column(say("equipment.detail"), share=1.5),
            ],
            [
                [str(i), capital(one.title), one.kind, one.location, one.detail]
                for i, one in enumerate(sources, start=1)
            ],
        ),
        *([text(turning(results), "note")] if results.further_sources else []),
    ]


def _charging(one: Supply) -> str:
    by_state = one.charging_voltage.items()
    return "; ".join(stated(v) if state == "any" else f"{word(state)} {stated(v)}" for state, v in by_state) or NONE


def _output(build: Build, one: Supply) -> str:
    output: list[str] = []
    if one.rated_current:
        output.append(say("equipment.rated", rated_current=stated(one.rated_current)))
    if one.output_at_shaft:
        points = ", ".join(
            say("equipment.at", amps=stated(amps), speed=stated(speed)) for speed, amps in one.output_at_shaft
        )
        output.append(say("equipment.shaft", points=points, hot=say("equipment.hot") if one.output_is_hot else ""))
    if one.pulley_ratio:
        output.append(say("equipment.pulley_ratio", pulley_ratio=stated(one.pulley_ratio)))
    if one.load_response:
        output.append(say("equipment.load_response", load_response=stated(one.load_response)))
    if one.input_from:
        output.append(say("equipment.from", input_from=place_of(build, one.input_from)))
    if one.efficiency:
        output.append(say("equipment.efficiency", efficiency=stated(one.efficiency)))
    if one.runs_in:
        output.append(say("equipment.runs_in", state=", ".join(word(state) for state in one.runs_in)))
    return "; ".join(output) or NONE


def _cranking(one: Battery) -> str:
    standard = one.cold_cranking_standard.upper() if one.cold_cranking else ""
    return f"{stated(one.cold_cranking)} {standard}".rstrip()


def _remarks(one: Battery) -> str:
    remarks: list[str] = []
    if one.parallel > 1:
        remarks.append(say("equipment.in_parallel_figures_for_one", parallel=one.parallel))
    if one.series > 1:
        remarks.append(say("equipment.in_series", series=one.series))
    if one.cells:
        remarks.append(say("equipment.number_of_cells", cells=one.cells))
    if one.starts_engine:
        remarks.append(say("equipment.starts_the_engine"))
    if one.state_of_charge:
        remarks.append(say("equipment.charge", state_of_charge=stated(one.state_of_charge)))
    if one.management:
        limits = [stated(q) for q in (one.management.continuous, one.management.peak) if q]
        remarks.append(
            say("equipment.management", limits=" / ".join(limits)) if limits else say("equipment.own_management")
        )
    if one.mass:
        remarks.append(stated(one.mass))
    return "; ".join(remarks) or NONE


def _amplifiers(build: Build, results: Results) -> list[Any]:
    if not results.amplifiers:
        return []
    story = [
        heading(say("equipment.amplifiers_and_the_loads_they_drive"), 2, "equipment-amplifiers"),
        table_of(
            results.amplifiers,
            [
                Column(say("columns.amplifier"), lambda one: capital(one.title), row_head=True, share=1.1),
                Column(
                    say("equipment.at_supply"), lambda one: f"{place_of(build, one.at)}, {word(one.supply)}", share=1.3
                ),
                num(say("columns.load"), lambda one: fixed(one.load_ohm, 2)),
                num(say("equipment.under_power_ohm"), lambda one: fixed(one.power_ohm, 2)),
                num(say("equipment.lowest_rated"), lambda one: fixed(one.lowest_rated_ohm, 2)),
                num(say("columns.output_w"), lambda one: fixed(one.rated_w, 0)),
                num(say("equipment.at_v"), lambda one: fixed(one.rated_at, 1)),
                num(say("equipment.input_w"), lambda one: fixed(one.input_w, 0)),
                num(say("equipment.input_a"), lambda one: at_least(one.input_a)),
                num(say("equipment.out_rms_v"), lambda one: high_v(one.terminal_v)),
            ],
        ),
    ]
    high = [name(one.title) for one in results.amplifiers if one.covered]
    if high:
        story.append(rich(say("equipment.over_50_v_rms_at_the", high=markup(", ".join(high)))))
    return story + _wirings(results)


def _wirings(results: Results) -> list[Any]:
    """Every wiring of the fitted drivers, where there is more than one."""
    rows = [(row, one) for row in results.amplifiers for one in row.wirings]
    rows.sort(key=lambda of: (of[1].load, of[1].output or 0.0))  # what is alike side by side: it becomes one row
    if not rows:
        return []
    return [
        text(say("equipment.how_the_coils_can_be_wired"), "note"),
        table_of(
            rows,
            [
                Column(say("columns.amplifier"), lambda one: capital(one[0].title), row_head=True, share=1.1),
                Column(say("equipment.wiring"), lambda one: _way(one[1]), share=2.6),
                num(say("equipment.net_ohm"), lambda one: fixed(one[1].load, 2)),
                Column(say("equipment.rated_for_it"), lambda one: _rated(one[1]), share=1.0),
                num(say("equipment.gives_w"), lambda one: fixed(one[1].output, 0)),
            ],
            alike=1,
        ),
    ]


def _way(one: Wiring) -> Any:
    ways = []
    for a, coils, b, drivers in one.ways:
        parts = [_grouped("coils", a, coils), _grouped("drivers", b, drivers)]
        ways.append(say("equipment.way_joint").join(part for part in parts if part))
    words = markup(say("equipment.way_or").join(ways))
    return rich(f"<b>{words}</b>" if one.fitted else words, "cell")


def _grouped(what: str, series: int, count: int) -> str:
    """How equal parts are joined; nothing where there is one alone."""
    if count == 1:
        return ""
    coils, groups = what == "coils", count // series
    if groups == 1:
        return say("equipment.coils_series" if coils else "equipment.drivers_series")
    if series == 1:
        return say("equipment.coils_side" if coils else "equipment.drivers_side")
    return say("equipment.coils_mixed" if coils else "equipment.drivers_mixed", series=series, groups=groups)


def _rated(one: Wiring) -> str:
    return say("equipment.not_rated") if one.output is None else say("equipment.is_rated")


def _thresholds(one: Coupling) -> str:
    parts: list[str] = []
    if one.closes:
        parts.append(say("equipment.closes", closes=stated(one.closes)))
    if one.opens:
        parts.append(say("equipment.opens", opens=stated(one.opens)))
    if one.delay:
        parts.append(say("equipment.delay", delay=stated(one.delay)))
    if one.forward_drop:
        parts.append(say("equipment.drop", forward_drop=stated(one.forward_drop)))
    if one.kind == "switch":
        parts.append(say("equipment.found_closed") if one.closed else say("equipment.found_open"))
    return ", ".join(parts) or NONE
