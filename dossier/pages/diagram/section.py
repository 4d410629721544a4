"""The section with the wiring diagram: its sheets, and the list that says every tag in full."""

from __future__ import annotations

import math
from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.diagram.display import Display
from dossier.pages.diagram.draw import draw
from dossier.pages.diagram.flowable import Drawing
from dossier.pages.diagram.legend import add_legend
from dossier.pages.diagram.sheets import sheets
from dossier.pages.diagram.wiring import Wiring, wiring
from dossier.pages.section import Stamp
from dossier.pages.words import count, fixed
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import gap, heading, new_page, text
from dossier.pdf.tables import Column, data_table
from dossier.pdf.text import plain
from dossier.reader.units import Units
from dossier.results.overview import Results

_MOST: Final = 190.0  # mm, height of one sheet without its legend


def diagram(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every sheet, then the list of tags."""
    wires, displays = drawings(build, results, stamp.units)
    return [
        text(
            "Locations are drawn as bands in the order of the build file, positive at the left and negative at the "
            "right of each; conductors run beside the bands, every run of a conductor has the fuses shown at its ends. "
            "Lengths are one way."
        ),
        FigureWithTable(
            _sheets(build, wires, displays),
            heading("List of tags", 2, "diagram-tags"),
            data_table(
                [Column("Tag", row_head=True, share=0.16), Column("What", share=0.9), Column("In full", share=2.2)],
                [[one.tag, one.title, one.detail] for one in wires.tags],
            ),
        ),
    ]


def picture(build: Build, results: Results | None, units: Units) -> list[Any]:
    """The sheets alone; without results no voltages and fault currents are written in."""
    return _sheets(build, *drawings(build, results, units))


def _sheets(build: Build, wires: Wiring, displays: list[Display]) -> list[Any]:
    story: list[Any] = []
    total = len(displays)
    for number, display in enumerate(displays, start=1):
        if number > 1:
            story.append(new_page())
        if total > 1:
            story.append(text(f"Sheet {number} of {total}", "note"))
        story += [Drawing(display, _alt(build, wires, number, total)), gap(3)]
        if display.shortened:
            story.append(
                text(
                    f"Not written out on this sheet for want of room: {', '.join(_sorted(display.shortened))}. "
                    "The list of tags in the workshop's edition says each in full.",
                    "caption",
                )
            )
    return story


def drawings(
    build: Build, results: Results | None, units: Units = Units.METRIC, most: float = _MOST
) -> tuple[Wiring, list[Display]]:
    """The wiring and the display list of every sheet, legends included."""
    wires = wiring(build, _remarks(results) if results else None)
    displays = []
    for placed in sheets(wires, most):
        display = draw(placed)
        add_legend(display, placed, units)
        displays.append(display)
    return wires, displays


def _remarks(results: Results) -> dict[str, str]:
    """The lowest mean voltage of every location over the load cases, and the largest fault current there."""
    remarks: dict[str, list[str]] = {}
    for place in dict.fromkeys(one.id for case in results.load_cases for one in case.locations):
        seen = [one.mean_minimum.volts for case in results.load_cases for one in case.locations if one.id == place]
        volts = [one for one in seen if one is not None]
        low = "voltage collapses" if len(volts) < len(seen) else f"lowest mean {fixed(min(volts))} V"
        remarks.setdefault(place, []).append(low)
    for fault in results.protection.places:
        amperes = math.ceil(fault.most / 100.0) / 10.0  # what a fuse has to break: rounded up
        remarks.setdefault(fault.location, []).append(f"fault up to {fixed(amperes)} kA")
    return {place: " · ".join(words) for place, words in remarks.items()}


def _sorted(tags: set[str]) -> list[str]:
    return sorted(tags, key=lambda tag: (tag.rstrip("0123456789"), len(tag), tag))


def _alt(build: Build, wires: Wiring, number: int, total: int) -> str:
    places = ", ".join(one.title for one in wires.stations)
    sheet = f", sheet {number} of {total}" if total > 1 else ""
    return plain(
        f"One-line wiring diagram{sheet}. {count(len(wires.stations), 'location')}: {places}. "
        f"{count(len(wires.conductors) + len(wires.bonds) // 2, 'conductor')}; the list of tags says each in full.",
        600,
    )
