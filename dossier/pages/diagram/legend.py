"""The legend of a sheet: only what is drawn on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from dossier import style
from dossier.pages.diagram.display import MINUS_COLOUR, POSITIVE, Display, measured
from dossier.pages.diagram.place import SMALL, WIDTH, Placed
from dossier.pages.diagram.symbols import DEVICES, HALF, IN_LINE, body, speaker
from dossier.reader.units import Units
from dossier.reader.wording import lines, say, terms

_ROW: Final = 8.6
_GAP: Final = 7.0
_WEIGHTS: Final = (0.3, 0.7, 1.15)  # of lines, under, between and over 35 and 70 mm²

Entry = tuple[float, Callable[[float, float], None], str]  # width of the sign, draws it, words


def add_legend(out: Display, placed: Placed, units: Units) -> None:
    """Append the legend below the drawing and make the sheet that much higher."""
    entries = _entries(out, placed, units)
    out.line(0.4, out.height + 3.0, WIDTH - 0.4, out.height + 3.0, 0.2, style.RULE)
    x, y = 2.0, out.height + 3.0 + _ROW / 2 + 0.8
    for wide, draw, words in entries:
        need = wide + 2.0 + measured(words, SMALL)
        if x + need > WIDTH - 1.0:
            x, y = 2.0, y + _ROW
        draw(x + wide / 2, y)
        out.label(words, x + wide + 2.0, y + 0.8, SMALL, colour=style.MUTED)
        x += need + _GAP
    out.height = y + _ROW / 2


def _entries(out: Display, placed: Placed, units: Units) -> list[Entry]:
    rows = [row for station in placed.sheet.stations for row in station.rows]
    devices = {row.symbol for row in rows}
    slots = [slot for one in placed.sheet.conductors for end in (one.upper_slots, one.lower_slots) for slot in end]
    in_line = {slot.symbol for slot in slots}
    made: list[Entry] = [
        (2 * HALF[name] + 2, _device(out, name), terms("diagram.symbols")[name]) for name in DEVICES if name in devices
    ]
    if any(row.speakers for row in rows):
        made.append((4.4, lambda x, y: speaker(out, x - 1.6, y), terms("diagram.symbols")["speaker"]))
    made += [
        (2 * HALF[name] + 2, _in_line(out, name), terms("diagram.symbols")[name]) for name in IN_LINE if name in in_line
    ]
    used = {one.weight for one in placed.sheet.conductors}
    made += [
        (10.0, _weight(out, weight), words)
        for weight, words in zip(_WEIGHTS, lines(f"diagram.weights_{units.value}"), strict=True)
        if weight in used
    ]
    if any(one.runs > 1 for one in placed.sheet.conductors):
        made.append((7.0, lambda x, y: _parallel(out, x, y), say("diagram.conductors_in_parallel")))
    if placed.sheet.bonds:
        made.append((6.0, lambda x, y: _bond(out, x, y), say("diagram.joined_to_the_body")))
    made.append((9.0, lambda x, y: _poles(out, x, y), say("diagram.left_right")))
    return made


def _device(out: Display, name: str) -> Callable[[float, float], None]:
    def draw(x: float, y: float) -> None:
        out.line(x - HALF[name] - 1, y, x + HALF[name] + 1, y, 0.4)
        DEVICES[name](out, x, y)

    return draw


def _in_line(out: Display, name: str) -> Callable[[float, float], None]:
    def draw(x: float, y: float) -> None:
        out.line(x - HALF[name] - 1, y, x + HALF[name] + 1, y, 0.4)
        IN_LINE[name](out, x, y, style.INK)

    return draw


def _weight(out: Display, weight: float) -> Callable[[float, float], None]:
    return lambda x, y: out.line(x - 5, y, x + 5, y, weight)


def _parallel(out: Display, x: float, y: float) -> None:
    out.line(x - 3.5, y, x + 3.5, y, 0.6)
    for number in range(2):
        out.line(x - 0.5 + 0.7 * number, y + 1.0, x + 0.7 * number, y - 1.0, 0.3)


def _bond(out: Display, x: float, y: float) -> None:
    out.line(x - 3, y, x, y, 0.6, MINUS_COLOUR)
    body(out, x, y)


def _poles(out: Display, x: float, y: float) -> None:
    for left, colour in ((x - 4.5, POSITIVE), (x + 0.5, MINUS_COLOUR)):
        out.line(left, y, left + 4, y, 1.1, colour)
