"""The section with the wiring diagram: its sheets, and the list that says every tag in full."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.diagram.display import Display
from dossier.pages.diagram.draw import draw
from dossier.pages.diagram.flowable import Drawing
from dossier.pages.diagram.joints import without_empty
from dossier.pages.diagram.legend import add_legend
from dossier.pages.diagram.sheets import sheets
from dossier.pages.diagram.wiring import Wiring, wiring
from dossier.pages.section import Stamp
from dossier.pages.words import count, fault_ka, low_v
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import gap, heading, new_page, text, together
from dossier.pdf.tables import Column, table_of
from dossier.pdf.text import plain
from dossier.reader.units import Units
from dossier.reader.wording import say
from dossier.results.overview import Results

_MOST: Final = 184.0  # mm, height of one sheet without its legend


def diagram(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every sheet, then the list of tags."""
    wires, displays = drawings(build, results, stamp.units)
    return [
        text(say("diagram.locations_are_drawn_as_bands_in")),
        FigureWithTable(
            sheets_of(build, wires, displays),
            heading(say("diagram.list_of_tags"), 2, "diagram-tags"),
            table_of(
                wires.tags,
                [
                    Column(say("diagram.tag"), lambda one: one.tag, row_head=True, share=0.16),
                    Column(say("columns.what"), lambda one: one.title, share=0.9),
                    Column(say("diagram.in_full"), lambda one: one.detail, share=2.2),
                ],
            ),
        ),
    ]


def picture(build: Build, results: Results | None, units: Units) -> list[Any]:
    """The sheets alone; without results no voltages and fault currents are written in."""
    return sheets_of(build, *drawings(build, results, units))


def sheets_of(build: Build, wires: Wiring, displays: list[Display]) -> list[Any]:
    """The sheets, each with what it could not write out."""
    story: list[Any] = []
    total = len(displays)
    for number, display in enumerate(displays, start=1):
        if number > 1:
            story.append(new_page())
        sheet: Any = Drawing(display, _alt(build, wires, number, total))
        if total > 1:
            sheet = together(text(say("diagram.sheet_of", number=number, total=total), "note"), sheet)
        story += [sheet, gap(3)]
        if display.shortened:
            story.append(
                text(
                    say("diagram.not_written_out_on_this_sheet", tags=", ".join(_sorted(display.shortened))), "caption"
                )
            )
    return story


def drawings(
    build: Build, results: Results | None, units: Units = Units.METRIC, most: float = _MOST, *, legend: bool = True
) -> tuple[Wiring, list[Display]]:
    """The wiring and the display list of every sheet, with or without its legend."""
    wires = without_empty(wiring(build, _remarks(results) if results else None))
    displays = []
    for placed in sheets(wires, most):
        display = draw(placed)
        if legend:
            add_legend(display, placed, units)
        displays.append(display)
    return wires, displays


def _remarks(results: Results) -> dict[str, str]:
    """The lowest mean voltage of every location over the load cases, and the largest fault current there."""
    remarks: dict[str, list[str]] = {}
    for place in dict.fromkeys(one.id for case in results.load_cases for one in case.locations):
        seen = [one.mean_minimum.volts for case in results.load_cases for one in case.locations if one.id == place]
        volts = [one for one in seen if one is not None]
        low = (
            say("diagram.voltage_collapses")
            if len(volts) < len(seen)
            else say("diagram.lowest_mean_v", volts=low_v(min(volts)))
        )
        remarks.setdefault(place, []).append(low)
    for fault in results.protection.places:
        remarks.setdefault(fault.location, []).append(say("diagram.fault_up_to_ka", amperes=fault_ka(fault.most)))
    return {place: " · ".join(words) for place, words in remarks.items()}


def _sorted(tags: set[str]) -> list[str]:
    return sorted(tags, key=lambda tag: (tag.rstrip("0123456789"), len(tag), tag))


def _alt(build: Build, wires: Wiring, number: int, total: int) -> str:
    places = ", ".join(one.title for one in wires.stations)
    sheet = say("diagram.sheet_of_in_words", number=number, total=total) if total > 1 else ""
    return plain(
        say(
            "diagram.one_line_wiring_diagram_the_list",
            sheet=sheet,
            stations=count(len(wires.stations), "location"),
            places=places,
            conductors=count(len(build.cables), "conductor"),
        ),
        600,
    )
