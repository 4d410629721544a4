"""The equipment register: every energy source, location, supply, battery, bank, amplifier, speaker and coupling."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Battery, Build, Coupling, Supply
from dossier.pages.appendix.sources import counted, turning, warning
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, capital, count, fixed, name, place_of, stated, word
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup
from dossier.reader.wording import say
from dossier.results.overview import AmplifierRow, Results


def equipment(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """What is fitted, as the build file states it."""
    story: list[Any] = [
        text(
            say("equipment.values_are_those_the_build_file"),
        ),
        *_sources(build, results),
        *_table(
            say("equipment.locations"),
            "locations",
            [
                Column(say("columns.location"), row_head=True),
                Column(say("equipment.id"), style="cell_muted"),
                num(say("equipment.ambient")),
            ],
            [[capital(one.title), one.id, stated(one.ambient)] for one in build.locations.values()],
        ),
        *_table(
            say("equipment.supplies"),
            "supplies",
            [
                Column(say("equipment.supply"), row_head=True, share=0.9),
                Column(say("columns.kind"), share=0.75),
                Column(say("columns.at"), share=0.9),
                Column(say("equipment.charging_voltage"), share=0.9),
                Column(say("equipment.output"), share=1.7),
            ],
            [_supply(build, one) for one in build.supplies.values()],
        ),
        *_table(
            say("equipment.batteries"),
            "batteries",
            [
                Column(say("columns.battery"), row_head=True, share=1.1),
                Column(say("columns.chemistry"), share=1.0),
                Column(say("columns.at"), share=1.1),
                num(say("equipment.capacity")),
                num(say("equipment.cranking")),
                num(say("equipment.resistance")),
                Column(say("columns.remarks"), share=1.4),
            ],
            [_battery(build, one) for one in build.batteries.values()],
        ),
        *_table(
            say("equipment.capacitor_banks"),
            "banks",
            [
                Column(say("columns.bank"), row_head=True),
                Column(say("columns.at")),
                Column(say("equipment.cells"), share=0.8),
                num(say("equipment.one_cell")),
                num(say("equipment.esr_cell")),
                num(say("equipment.rated_cell")),
            ],
            [
                [
                    capital(one.title),
                    place_of(build, one.at),
                    say("equipment.in_series_in_parallel", series=one.series, parallel=one.parallel),
                    stated(one.capacitance),
                    stated(one.esr),
                    stated(one.rated_voltage),
                ]
                for one in build.capacitor_banks.values()
            ],
        ),
        *_amplifiers(build, results),
        *_table(
            say("equipment.speakers"),
            "speakers",
            [
                Column(say("equipment.speakers"), row_head=True, share=1.2),
                Column(say("columns.amplifier"), share=1.0),
                Column(say("equipment.drivers_and_coils"), share=1.9),
                num(say("equipment.under_power")),
            ],
            [
                [
                    capital(one.title),
                    ", ".join(_title(build.amplifiers, a) for a in one.amplifiers),
                    say(
                        "equipment.several_drivers",
                        drivers=count(one.drivers, "driver"),
                        drivers_in=word(one.drivers_in),
                        voice_coils=one.voice_coils,
                        coil_impedance=stated(one.coil_impedance),
                        coils_in=word(one.coils_in),
                    )
                    if one.drivers > 1
                    else say(
                        "equipment.one_driver",
                        voice_coils=one.voice_coils,
                        coil_impedance=stated(one.coil_impedance),
                        coils_in=word(one.coils_in),
                    ),
                    stated(one.operating_impedance or one.impedance_rise),
                ]
                for one in build.speakers.values()
            ],
        ),
        *_table(
            say("equipment.couplings"),
            "couplings",
            [
                Column(say("columns.coupling"), row_head=True, share=1.1),
                Column(say("columns.kind"), share=1.1),
                Column(say("equipment.between"), share=1.5),
                Column(say("equipment.thresholds"), share=1.2),
                num(say("equipment.resistance")),
                num(say("equipment.continuous")),
            ],
            [_coupling(build, one) for one in build.couplings.values()],
        ),
    ]
    return story


def _title(devices: Any, key: str) -> str:
    return name(devices[key].title) if key in devices else key


def _table(title: str, key: str, columns: list[Column], rows: list[list[Any]]) -> list[Any]:
    if not rows:
        return []
    return [heading(title, 2, f"equipment-{key}"), data_table(columns, rows)]


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
                warning=markup(warning(build, results)),
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


def _supply(build: Build, one: Supply) -> list[Any]:
    volts = "; ".join(
        stated(v) if state == "any" else f"{word(state)} {stated(v)}" for state, v in one.charging_voltage.items()
    )
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
    return [capital(one.title), word(one.kind), place_of(build, one.at), volts or NONE, "; ".join(output) or NONE]


def _battery(build: Build, one: Battery) -> list[Any]:
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
    cranking = stated(one.cold_cranking)
    if one.cold_cranking and one.cold_cranking_standard:
        cranking += f" {one.cold_cranking_standard.upper()}"
    return [
        capital(one.title),
        word(one.chemistry),
        place_of(build, one.at),
        stated(one.capacity),
        cranking,
        stated(one.internal_resistance),
        "; ".join(remarks) or NONE,
    ]


def _amplifiers(build: Build, results: Results) -> list[Any]:
    if not results.amplifiers:
        return []
    story = [
        heading(say("equipment.amplifiers_and_the_loads_they_drive"), 2, "equipment-amplifiers"),
        data_table(
            [
                Column(say("columns.amplifier"), row_head=True, share=1.1),
                Column(say("equipment.at_supply"), share=1.3),
                num(say("columns.load")),
                num(say("equipment.under_power_ohm")),
                num(say("equipment.lowest_rated")),
                num(say("columns.output_w")),
                num(say("equipment.at_v")),
                num(say("equipment.input_w")),
                num(say("equipment.input_a")),
                num(say("equipment.out_rms_v")),
            ],
            [_amplifier(build, one) for one in results.amplifiers],
        ),
    ]
    high = [name(one.title) for one in results.amplifiers if one.terminal_v > 50.0]
    if high:
        story.append(
            rich(
                say("equipment.over_50_v_rms_at_the", high=markup(", ".join(high))),
            )
        )
    return story


def _amplifier(build: Build, one: AmplifierRow) -> list[Any]:
    return [
        capital(one.title),
        f"{place_of(build, one.at)}, {word(one.supply)}",
        fixed(one.load_ohm, 2),
        fixed(one.power_ohm, 2),
        fixed(one.lowest_rated_ohm, 2),
        fixed(one.rated_w, 0),
        fixed(one.rated_at, 1),
        fixed(one.input_w, 0),
        fixed(one.input_a, 0),
        fixed(one.terminal_v, 1),
    ]


def _coupling(build: Build, one: Coupling) -> list[Any]:
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
    return [
        capital(one.title),
        word(one.kind),
        say("equipment.between_places", start=place_of(build, one.start), end=place_of(build, one.end)),
        ", ".join(parts) or NONE,
        stated(one.resistance),
        stated(one.continuous),
    ]
