"""Tables for other programs and for the workbench: schedule, fuses, budget, traces and cable list as CSV (RFC 4180)."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from dossier.buildfile.file_names import file_stem
from dossier.buildfile.model import Build
from dossier.reader.reading import read_by
from dossier.reader.said import read
from dossier.reader.units import Kind, Units
from dossier.record.files import replace_file
from dossier.results.budget import LoadBudget
from dossier.results.overview import Results
from dossier.results.sag import LoadCaseResult
from dossier.results.schedule import ConductorRow

Cell = str | float | int | None
Row = tuple[Cell, ...]


def tables(build: Build, results: Results, units: Units = Units.METRIC) -> dict[str, bytes]:
    """File name ending -> content in UTF-8; units stand in the head line.

    Args:
        build: what was read.
        results: what was computed from it.
        units: of the reader. Sizes stand as stated and in mm2, in US units as a gauge too.
    """
    build = read_by(units, build)
    made = {
        "schedule": _csv(_schedule(results.schedule, units)),
        "fuses": _csv(_fuses(results.schedule, units)),
        "budget": _csv(_budget(results.budget)),
        "cable-list": _csv(_cable_list(build, results.schedule, units)),
    }
    made |= {f"trace-{case.id}": _csv(_trace(case)) for case in results.load_cases}
    return {f"{name}.csv": content for name, content in made.items()}


def write_tables(build: Build, results: Results, directory: Path, units: Units = Units.METRIC) -> tuple[Path, ...]:
    """Write ``<stem>.<table>.csv`` into ``directory``; returns what was written.

    Raises:
        OutputError: a file cannot be written.
    """
    stem = file_stem(build.name)
    written = []
    for name, content in tables(build, results, units).items():
        path = directory / f"{stem}.{name}"
        replace_file(path, content)
        written.append(path)
    return tuple(written)


_NAMES: Final = {"m": "m", "ft": "ft", "mm": "mm", "in": "in", "°C": "degc", "°F": "degf"}


def _in(units: Units, kind: Kind, value: float | None) -> float | None:
    scale = units.scale(kind)
    return None if value is None else value / scale.size + scale.zero


def _named(units: Units, what: str, kind: Kind) -> str:
    """Name of a column with its unit."""
    return f"{what}_{_NAMES[units.sign(kind)]}"


def _gauge(units: Units, row: ConductorRow) -> tuple[Cell, ...]:
    if units is Units.METRIC:
        return ()
    return ("" if row.size_mm2 is None else units.size(row.size_mm2 * 1e-6, row.size).partition(" (")[0],)


def _schedule(rows: Iterable[ConductorRow], units: Units) -> Iterator[Row]:
    yield (
        "cable", "title", "role", "from", "to", "size", "size_mm2", *(["size_awg"] if units is Units.US else []),
        "runs", "material", _named(units, "insulation", "temperature"), _named(units, "ambient", "temperature"),
        _named(units, "length", "run"), "resistance_mohm", "rms_a_per_run", "peak_a_all_runs", "mean_a_all_runs",
        "allowed_a_per_run", "drop_v", "loss_w", "worst_load_case",
    )
    for row in rows:
        yield (
            row.id, row.title, row.role, row.start, row.end, row.size, row.size_mm2, *_gauge(units, row), row.runs,
            row.material, _in(units, "temperature", row.insulation), _in(units, "temperature", row.ambient),
            _in(units, "run", row.length), row.resistance * 1e3, row.rms, row.peak, row.mean,
            row.allowed, row.drop, row.loss, row.worst_case,
        )


def _fuses(rows: Iterable[ConductorRow], units: Units) -> Iterator[Row]:
    yield (
        "cable", "fuse", "near", "style", "rating_a", _named(units, "distance", "distance"),
        "breaking_capacity_a", "shared", "needed_a", "largest_a",
    )
    for row in rows:
        for fuse in row.fuses:
            distance = _in(units, "distance", fuse.distance)
            yield (
                row.id, fuse.id, fuse.near, fuse.style, fuse.rating, distance, fuse.breaking_capacity,
                "yes" if fuse.shared else "no", fuse.needed, fuse.largest,
            )


def _budget(budget: LoadBudget) -> Iterator[Row]:
    yield (
        "engine", "engine_rpm", "bus", "supply_a", "base_load_a", "at_v", "demand", "crest_db", "share_of_rated_output",
        "demand_a", "passed_on_a", "balance_a",
    )
    for state in budget.states:
        for bus in state.buses:
            for demand, taken, balance in zip(bus.demands, bus.passed_on, bus.balances, strict=True):
                yield (
                    state.state, state.engine_rpm, bus.place, bus.supply, bus.base_load, bus.volts, demand.name,
                    demand.crest_db, demand.fraction, demand.amperes, taken, balance,
                )


def _trace(case: LoadCaseResult) -> Iterator[Row]:
    """Voltages in time, the sound starting at zero; empty after a collapse."""
    columns = [(f"{a.id}_mean_v", a.mean) for a in case.amplifiers]
    columns += [(f"{a.id}_trough_v", a.trough) for a in case.amplifiers if a.trough is not None]
    columns += [(f"{place.id}_mean_v", place.mean) for place in case.locations]
    yield ("time_s", *(name for name, _ in columns))
    for index, moment in enumerate(case.t):
        yield (float(moment), *(float(values[index]) for _, values in columns))


def _cable_list(build: Build, rows: Iterable[ConductorRow], units: Units) -> Iterator[Row]:
    """What to cut: a line for every piece of cable, and a line for every fuse and its holder."""
    yield (
        "label", "what", "from", "to", "size", "material", "insulation", _named(units, "length", "run"), "near",
        "rating_a", "done",
    )
    places = {id_: place.title for id_, place in build.locations.items()}
    for row in rows:
        if row.chassis:
            continue
        cable = build.cables.get(row.id)
        if cable is None:
            continue
        insulation = cable.insulation.text if cable.insulation else ""
        for run in range(1, row.runs + 1):
            label = row.id if row.runs == 1 else f"{row.id} {run}/{row.runs}"
            yield (
                label, f"{row.title}, {row.role}", places[row.start], places[row.end], read(row.size, units),
                row.material, insulation, _in(units, "run", row.length), "", None, "",
            )
        for fuse in row.fuses:
            for run in range(1, (1 if fuse.shared else row.runs) + 1):
                label = f"{row.id}.{fuse.id}" + ("" if fuse.shared or row.runs == 1 else f" {run}/{row.runs}")
                yield (
                    label, f"fuse, {fuse.style}", "", "", "", "", "", _in(units, "run", fuse.distance),
                    places[fuse.near], fuse.rating, "",
                )


def _csv(rows: Iterable[Row]) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_shown(cell) for cell in row])
    return out.getvalue().encode("utf-8")


def _shown(cell: Cell) -> str:
    """Six significant digits; nothing for what is not known; a text that a spreadsheet would run is disarmed."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
    if isinstance(cell, int):
        return str(cell)
    return f"{cell:.6g}" if math.isfinite(cell) else ""
