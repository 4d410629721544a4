"""The cable and fuse schedule: every conductor and every fuse with the numbers it is judged by."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import NONE, fixed, name, used, word
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup, plain
from dossier.results.overview import Results
from dossier.results.schedule import ConductorRow, FuseRow


def schedule(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Conductors, fuses, and how the allowed currents come about."""
    rows = results.schedule
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
        data_table(
            [
                Column("Conductor", row_head=True, share=1.5),
                Column("Size", share=0.85),
                num("Length\nm"),
                num("Resist.\nmΩ"),
                num("rms, run\nA"),
                num("Allowed,\nrun A"),
                num("Used\n%"),
                num("Peak\nA"),
                num("Drop at\npeak V"),
                num("Loss\nW"),
            ],
            [_conductor(build, row) for row in rows],
        ),
        text(
            "Length is one way, of one run. Rms and allowed current are per run; peak, drop and loss are "
            "of all runs "
            "together. The body has no allowed current of its own: its joints decide.",
            "note",
        ),
    ]
    fuses = [(row, fuse) for row in rows for fuse in row.fuses]
    story.append(heading("Fuses", 2, "schedule-fuses"))
    if fuses:
        story += [
            data_table(
                [
                    Column("Conductor", row_head=True, share=1.1),
                    Column("Fuse", share=0.8),
                    Column("Near", share=1.2),
                    Column("Style", share=0.7),
                    num("Rating\nA"),
                    num("Needed\nA"),
                    num("Largest\nA"),
                    num("From source\nmm"),
                    num("Breaks\nkA"),
                ],
                [_fuse(build, row, fuse) for row, fuse in fuses],
            ),
            text(
                "Needed: the smallest rating that carries the load with the usual margin. Largest: the "
                "allowed current of the conductor it protects. Distance is along the conductor from the "
                "terminal the fuse is near.",
                "note",
            ),
        ]
    else:
        story.append(text("No fuse is recorded in any conductor."))
    return [*story, *_factors(rows)]


def _place(build: Build, key: str) -> str:
    return name(build.locations[key].title) if key in build.locations else key


def _conductor(build: Build, row: ConductorRow) -> list[Any]:
    path = f"{_place(build, row.start)} → {_place(build, row.end)}"
    if row.chassis:
        size = "vehicle body"
    else:
        runs = f"{row.runs} × " if row.runs > 1 else ""
        area = f"{row.size_mm2:g} mm²" if row.size_mm2 is not None else row.size
        size = f"{runs}{area} {word(row.material)}"
        if row.insulation is not None:
            size += f", {row.insulation:.0f} °C"
    title = rich(
        f"<b>{markup(name(row.title))}</b>, {markup(word(row.role))}<br/>"
        f"<font size='7.4'>{markup(plain(path, 120))}</font>",
        "cell",
    )
    return [
        title,
        size,
        fixed(row.length, 2),
        fixed(1e3 * row.resistance, 2),
        fixed(row.rms, 0),
        fixed(row.allowed, 0),
        used(row.rms, row.allowed),
        fixed(row.peak, 0),
        fixed(row.drop, 2),
        fixed(row.loss, 0),
    ]


def _fuse(build: Build, row: ConductorRow, fuse: FuseRow) -> list[Any]:
    breaking = None if fuse.breaking_capacity is None else fuse.breaking_capacity / 1000.0
    each = "" if row.runs == 1 else (" (shared)" if fuse.shared else f" (× {row.runs})")
    return [
        name(row.title),
        f"{fuse.id}{each}",
        _place(build, fuse.near),
        word(fuse.style),
        fixed(fuse.rating, 0),
        fixed(fuse.needed, 0),
        fixed(fuse.largest, 0),
        NONE if fuse.distance is None else fixed(1000.0 * fuse.distance, 0),
        fixed(breaking, 1),
    ]


def _factors(rows: tuple[ConductorRow, ...]) -> list[Any]:
    corrected = [row for row in rows if row.base_ampacity is not None]
    if not corrected:
        return []
    return [
        heading("How the allowed current comes about", 2, "schedule-factors"),
        data_table(
            [
                Column("Conductor", row_head=True, share=0.8),
                num("Published\nA"),
                Column("Factors and their source", share=2.6),
                num("Allowed\nA"),
            ],
            [
                [
                    name(row.title),
                    fixed(row.base_ampacity, 0),
                    "; ".join(f"{one.name} × {one.value:.2f} ({one.source})" for one in row.factors)
                    or "none apply",
                    fixed(row.allowed, 0),
                ]
                for row in corrected
            ],
        ),
    ]
