"""The equipment register: every energy source, location, supply, battery, bank, amplifier, speaker and coupling."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Battery, Build, Coupling, Supply
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, capital, count, fixed, name, place_of, stated, word
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup
from dossier.results.overview import AmplifierRow, Results


def equipment(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """What is fitted, as the build file states it."""
    story: list[Any] = [
        text(
            "Values are those the build file states, in the units of this paper; a dash means that it does not say. "
            "What was then assumed stands under Assumptions and inputs.",
        ),
        *_sources(results),
        *_table(
            "Locations",
            "locations",
            [Column("Location", row_head=True), Column("Id", style="cell_muted"), num("Ambient")],
            [[capital(one.title), one.id, stated(one.ambient)] for one in build.locations.values()],
        ),
        *_table(
            "Supplies",
            "supplies",
            [
                Column("Supply", row_head=True, share=0.9),
                Column("Kind", share=0.75),
                Column("At", share=0.9),
                Column("Charging voltage", share=0.9),
                Column("Output", share=1.7),
            ],
            [_supply(build, one) for one in build.supplies.values()],
        ),
        *_table(
            "Batteries",
            "batteries",
            [
                Column("Battery", row_head=True, share=1.1),
                Column("Chemistry", share=1.0),
                Column("At", share=1.1),
                num("Capacity"),
                num("Cranking"),
                num("Resistance"),
                Column("Remarks", share=1.4),
            ],
            [_battery(build, one) for one in build.batteries.values()],
        ),
        *_table(
            "Capacitor banks",
            "banks",
            [
                Column("Bank", row_head=True),
                Column("At"),
                Column("Cells", share=0.8),
                num("One cell"),
                num("ESR, cell"),
                num("Rated, cell"),
            ],
            [
                [
                    capital(one.title),
                    place_of(build, one.at),
                    f"{one.series} in series, {one.parallel} in parallel",
                    stated(one.capacitance),
                    stated(one.esr),
                    stated(one.rated_voltage),
                ]
                for one in build.capacitor_banks.values()
            ],
        ),
        *_amplifiers(build, results),
        *_table(
            "Speakers",
            "speakers",
            [
                Column("Speakers", row_head=True, share=1.2),
                Column("Amplifier", share=1.0),
                Column("Drivers and coils", share=1.9),
                num("Under power"),
            ],
            [
                [
                    capital(one.title),
                    ", ".join(_title(build.amplifiers, a) for a in one.amplifiers),
                    f"{count(one.drivers, 'driver')} in {one.drivers_in}, {one.voice_coils} × "
                    f"{stated(one.coil_impedance)} "
                    f"in {one.coils_in}"
                    if one.drivers > 1
                    else f"1 driver, {one.voice_coils} × {stated(one.coil_impedance)} in {one.coils_in}",
                    stated(one.operating_impedance or one.impedance_rise),
                ]
                for one in build.speakers.values()
            ],
        ),
        *_table(
            "Couplings",
            "couplings",
            [
                Column("Coupling", row_head=True, share=1.1),
                Column("Kind", share=1.1),
                Column("Between", share=1.5),
                Column("Thresholds", share=1.2),
                num("Resistance"),
                num("Continuous"),
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


def _sources(results: Results) -> list[Any]:
    sources = results.energy_sources
    if not sources:
        return []
    warning = " Taking off the front terminal does not make the rear dead." if len(sources) > 1 else ""
    return [
        heading("Energy sources", 2, "equipment-sources"),
        rich(
            f"<b>{count(len(sources), 'energy source')}.</b>{markup(warning)} "
            "Each is isolated by itself before anything is touched."
        ),
        data_table(
            [
                num("No."),
                Column("Source", row_head=True),
                Column("Kind", share=0.8),
                Column("Where"),
                Column("Detail", share=1.5),
            ],
            [
                [str(i), capital(one.title), one.kind, one.location, one.detail]
                for i, one in enumerate(sources, start=1)
            ],
        ),
    ]


def _supply(build: Build, one: Supply) -> list[Any]:
    volts = "; ".join(
        stated(v) if state == "any" else f"{word(state)} {stated(v)}" for state, v in one.charging_voltage.items()
    )
    output: list[str] = []
    if one.rated_current:
        output.append(f"{stated(one.rated_current)} rated")
    if one.output_at_shaft:
        points = ", ".join(f"{stated(amps)} at {stated(speed)}" for speed, amps in one.output_at_shaft)
        output.append(f"{points} (shaft{', hot' if one.output_is_hot else ''})")
    if one.pulley_ratio:
        output.append(f"pulley ratio {stated(one.pulley_ratio)}")
    if one.load_response:
        output.append(f"load response {stated(one.load_response)}")
    if one.input_from:
        output.append(f"from {place_of(build, one.input_from)}")
    if one.efficiency:
        output.append(f"efficiency {stated(one.efficiency)}")
    if one.runs_in:
        output.append(f"runs in {', '.join(word(state) for state in one.runs_in)}")
    return [capital(one.title), word(one.kind), place_of(build, one.at), volts or NONE, "; ".join(output) or NONE]


def _battery(build: Build, one: Battery) -> list[Any]:
    remarks: list[str] = []
    if one.parallel > 1:
        remarks.append(f"{one.parallel} in parallel, figures for one")
    if one.series > 1:
        remarks.append(f"{one.series} in series")
    if one.cells:
        remarks.append(f"{one.cells} cells")
    if one.starts_engine:
        remarks.append("starts the engine")
    if one.state_of_charge:
        remarks.append(f"charge {stated(one.state_of_charge)}")
    if one.management:
        limits = [stated(q) for q in (one.management.continuous, one.management.peak) if q]
        remarks.append(f"management {' / '.join(limits)}" if limits else "own management")
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
        heading("Amplifiers and the loads they drive", 2, "equipment-amplifiers"),
        data_table(
            [
                Column("Amplifier", row_head=True, share=1.1),
                Column("At, supply", share=1.3),
                num("Load\nΩ"),
                num("Under\npower Ω"),
                num("Lowest\nrated Ω"),
                num("Output\nW"),
                num("at\nV"),
                num("Input\nW"),
                num("Input\nA"),
                num("Out, rms\nV"),
            ],
            [_amplifier(build, one) for one in results.amplifiers],
        ),
    ]
    high = [name(one.title) for one in results.amplifiers if one.terminal_v > 50.0]
    if high:
        story.append(
            rich(
                f"<b>Over 50 V rms at the output terminals: {markup(', '.join(high))}.</b> The terminals must "
                "be covered.",
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
        parts.append(f"closes {stated(one.closes)}")
    if one.opens:
        parts.append(f"opens {stated(one.opens)}")
    if one.delay:
        parts.append(f"delay {stated(one.delay)}")
    if one.forward_drop:
        parts.append(f"drop {stated(one.forward_drop)}")
    if one.kind == "switch":
        parts.append("found closed" if one.closed else "found open")
    return [
        capital(one.title),
        word(one.kind),
        f"{place_of(build, one.start)} and {place_of(build, one.end)}",
        ", ".join(parts) or NONE,
        stated(one.resistance),
        stated(one.continuous),
    ]
