"""Spreads a wiring over as many sheets as it needs: nothing is dropped, every cut conductor says where it goes on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from dossier.pages.diagram.place import Placed, Sheet, fits_wide, place
from dossier.pages.diagram.wiring import MINUS, Bond, Conductor, Station, Wiring
from dossier.reader.wording import say

_ABOVE: Final = "~above"
_BELOW: Final = "~below"


def sheets(wires: Wiring, most: float) -> list[Placed]:
    """The sheets of a drawing, each no higher than ``most`` [mm].

    Args:
        wires: what to draw.
        most: height of one sheet without its legend [mm], at least 120.

    Raises:
        ValueError: ``most`` is too low for a single device.
    """
    packed = _pack(list(wires.stations), wires, most)
    drawn: dict[tuple[str, str], int] = {}
    for number, sheet in enumerate(packed, start=1):
        for one in sheet.conductors:
            drawn.update({(one.tag, end): number for end in (one.upper, one.lower) if end not in (_ABOVE, _BELOW)})
    titles = {one.id: one.title for one in wires.stations}
    whole = {one.tag: one for one in wires.conductors}
    made = []
    for sheet in packed:
        named = tuple(_named(one, whole[one.tag], titles, drawn) for one in sheet.conductors)
        placed = place(replace(sheet, conductors=named), most)
        if placed is None:  # the words of the band changed nothing about the heights
            raise ValueError("a sheet does not fit")
        made.append(placed)
    return made


def _named(one: Conductor, whole: Conductor, titles: dict[str, str], drawn: dict[tuple[str, str], int]) -> Conductor:
    away = whole.upper if one.upper == _ABOVE else whole.lower if one.lower == _BELOW else ""
    if not away:
        return one
    return replace(
        one, far=say("diagram.to_sheet", tag=one.tag, titles=titles[away], number=drawn.get((one.tag, away), 0))
    )


def _pack(stations: list[Station], wires: Wiring, most: float) -> list[Sheet]:
    made: list[Sheet] = []
    left = stations
    while left:
        number = _stations(left, wires, most)
        if number:
            made.append(_sheet(left[:number], wires))
            left = left[number:]
        else:
            made += _one_station(left[0], wires, most)
            left = left[1:]
    return made


def _stations(left: Sequence[Station], wires: Wiring, most: float) -> int:
    """How many of the stations that are left fit on one sheet."""
    return _largest(len(left), lambda number: _fits(_sheet(left[:number], wires), most))


def _rows_and_conductors(
    sheet: Callable[[int, Sequence[Conductor]], Sheet], rows: int, mine: Sequence[Conductor], most: float
) -> tuple[int, int]:
    """How many devices of one station fit on a sheet, and how many conductors beside them."""
    count = _largest(rows, lambda number: _fits(sheet(number, ()), most))
    return count, _largest(len(mine), lambda number: _fits(sheet(count, mine[:number]), most))


def _largest(most: int, fits: Callable[[int], bool]) -> int:
    """The largest number up to ``most`` that fits, taking it that fewer fit wherever more do; 0 without one."""
    if most and fits(most):
        return most
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _fits(sheet: Sheet, most: float) -> bool:
    return fits_wide(sheet) and place(sheet, most) is not None


def _one_station(station: Station, wires: Wiring, most: float) -> list[Sheet]:
    """A station that needs more than one sheet: devices first, as many conductors as fit, then the rest of both."""
    rows = list(station.rows)
    mine = [one for one in wires.conductors if station.id in (one.upper, one.lower)]
    bonds = tuple(one for one in wires.bonds if one.station == station.id)
    made: list[Sheet] = []
    part = 1
    while rows or mine or bonds or part == 1:
        title = station.title if part == 1 else say("diagram.continued", title=station.title)
        here = replace(station, title=title)

        def sheet(
            count: int,
            wired: Sequence[Conductor],
            here: Station = here,
            rows: list = rows,  # type: ignore[type-arg]
            bonds: tuple[Bond, ...] = bonds,
        ) -> Sheet:
            return _sheet([replace(here, rows=tuple(rows[:count]))], wires, wired, bonds)

        if not _fits(sheet(0, ()), most):
            raise ValueError("the sheet is too low for a single station")
        count, wired = _rows_and_conductors(sheet, len(rows), mine, most)
        if not count and not wired and (rows or mine):
            raise ValueError("the sheet is too low for a single device or conductor")
        made.append(sheet(count, mine[:wired]))
        rows, mine, bonds = rows[count:], mine[wired:], ()
        part += 1
    return made


def _sheet(
    stations: Sequence[Station],
    wires: Wiring,
    only: Sequence[Conductor] | None = None,
    bonds: tuple[Bond, ...] | None = None,
) -> Sheet:
    """A sheet with these stations and the ends of every conductor that has one here."""
    order = {one.id: place for place, one in enumerate(wires.stations)}
    here = {one.id for one in stations}
    first = min(order[one] for one in here)
    conductors: list[Conductor] = []
    above = below = False
    for one in wires.conductors if only is None else only:
        if one.upper in here and one.lower in here:
            conductors.append(one)
        elif one.lower in here and order[one.upper] < first:
            conductors.append(replace(one, upper=_ABOVE, upper_slots=()))
            above = True
        elif one.upper in here or one.lower in here:
            conductors.append(_to_below(one, here))
            below = True
    banded = [
        *([Station(_ABOVE, say("diagram.from_the_sheets_before"), "", (), ends=True)] if above else []),
        *stations,
        *([Station(_BELOW, say("diagram.to_the_sheets_after"), "", (), ends=True)] if below else []),
    ]
    found = tuple(one for one in wires.bonds if one.station in here) if bonds is None else bonds
    return Sheet(tuple(banded), tuple(conductors), found)


def _to_below(one: Conductor, here: set[str]) -> Conductor:
    if one.upper in here:
        return replace(one, lower=_BELOW, lower_slots=())
    raise ValueError(f"{one.tag} goes to a station between those of the sheet")


__all__ = ["MINUS", "sheets"]
