"""A placed sheet as a display list: frames, lanes, buses, devices, fuses, labels."""

from __future__ import annotations

from typing import Final

from dossier import style
from dossier.pages.diagram.display import CAP, MINUS_COLOUR, MM, POSITIVE, Display, cut, measured
from dossier.pages.diagram.place import HEADING, SMALL, TEXT, WIDTH, Placed
from dossier.pages.diagram.symbols import DEVICES, IN_LINE, UP, body, speaker
from dossier.pages.diagram.wiring import MINUS, PLUS, Conductor, Row, Slot, Station
from dossier.reader.wording import say

_BUS: Final = 1.1
_WIRE: Final = 0.4
_JOINT: Final = 0.85
_COLOUR: Final = {PLUS: POSITIVE, MINUS: MINUS_COLOUR}


def draw(placed: Placed) -> Display:
    """Everything on the sheet but its legend."""
    out = Display(WIDTH, placed.height, shortened=set())
    for index, station in enumerate(placed.sheet.stations):
        _frame(out, placed, index, station)
        if station.ends:
            _ends(out, placed, station)
            continue
        _buses(out, placed, index, station)
        for row in station.rows:
            _row(out, placed, row)
    for one in placed.sheet.conductors:
        _conductor(out, placed, one)
    if placed.sheet.bonds:
        _body(out, placed)
    return out


def _frame(out: Display, placed: Placed, index: int, station: Station) -> None:
    zones, profile = placed.zones, placed.profile
    top, height = placed.tops[index], placed.heights[index]
    left, right = zones.frame_left, zones.frame_right
    out.shape(
        (left, top),
        (right, top),
        (right, top + profile.head),
        (left, top + profile.head),
        stroke="",
        fill=style.TINT,
        layer=0,
    )
    corners = ((left, top), (right, top), (right, top + height), (left, top + height))
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        out.line(x1, y1, x2, y2, 0.22, style.MUTED, dash=() if station.ends else (2.4, 0.8, 0.5, 0.8), layer=0)
    base = top + profile.head / 2 + 0.85
    remark = ""
    if station.remark:
        remark = cut(station.remark, SMALL, (right - left) * 0.62)
        out.label(remark, right - 2, base, SMALL, anchor="right", colour=style.MUTED)
    room = right - left - 6 - measured(remark, SMALL)
    shown = cut(station.title, HEADING, room, True)
    if shown != station.title:
        out.shortened.add(station.id)
    out.label(shown, left + 2, base, HEADING, bold=True)


def _buses(out: Display, placed: Placed, index: int, station: Station) -> None:
    zones = placed.zones
    top = placed.tops[index] + placed.profile.head
    bottom = placed.tops[index] + placed.heights[index] - 1.0
    for pole, x in ((PLUS, zones.plus), (MINUS, zones.minus)):
        if not station.rows and not _lands(placed, station, pole):
            continue
        out.line(x, top + 1.0, x, bottom, _BUS, _COLOUR[pole], layer=3, wire=True)
        _polarity(out, x + (1.9 if pole == PLUS else -1.9), top + 1.5, pole)


def _lands(placed: Placed, station: Station, pole: str) -> bool:
    """Whether a conductor or a bond ends at a pole of a station."""
    if pole == MINUS and any(one.station == station.id for one in placed.sheet.bonds):
        return True
    return any(one.pole == pole and station.id in (one.upper, one.lower) for one in placed.sheet.conductors)


def _polarity(out: Display, x: float, y: float, pole: str) -> None:
    colour = _COLOUR[pole]
    out.line(x - 0.75, y, x + 0.75, y, 0.4, colour, layer=5)
    if pole == PLUS:
        out.line(x, y - 0.75, x, y + 0.75, 0.4, colour, layer=5)


def _row(out: Display, placed: Placed, row: Row) -> None:
    zones, y = placed.zones, placed.rows[row.tag]
    out.line(zones.plus, y, zones.minus, y, _WIRE, layer=2, wire=True)
    for x in (zones.plus, zones.minus):
        out.circle(x, y, _JOINT, stroke="", fill=style.INK, layer=5)
    DEVICES[row.symbol](out, zones.axis, y)
    tag = f"{row.tag}  "
    wide = measured(tag, TEXT, True)
    out.label(row.tag, zones.words, y - 1.1, TEXT, bold=True)
    _cut(out, row.tag, row.title, zones.words + wide, y - 1.1, TEXT, zones.room - wide)
    _cut(out, row.tag, row.detail, zones.words, y + 2.6, SMALL, zones.room)
    below = y + placed.profile.down - 0.3
    for number, one in enumerate(row.speakers):
        middle = below + placed.profile.speaker * (number + 0.5)
        out.line(
            zones.axis,
            y + 3.6 if not number else middle - placed.profile.speaker,
            zones.axis,
            middle,
            0.3,
            layer=2,
            wire=True,
        )
        out.line(zones.axis, middle, zones.words, middle, 0.3, layer=2, wire=True)
        speaker(out, zones.words, middle)
        start = zones.words + 4.2
        tag_wide = measured(f"{one.tag}  ", SMALL, True)
        out.label(one.tag, start, middle + 0.8, SMALL, bold=True)
        _cut(out, one.tag, one.words, start + tag_wide, middle + 0.8, SMALL, zones.room - 4.2 - tag_wide)


def _cut(out: Display, tag: str, words: str, x: float, y: float, size: float, room: float) -> None:
    if not words:
        return
    shown = cut(words, size, room)
    if shown != words:
        out.shortened.add(tag)
    out.label(shown, x, y, size)


def _conductor(out: Display, placed: Placed, one: Conductor) -> None:
    zones, colour = placed.zones, _COLOUR[one.pole]
    x = zones.lane(one.pole, placed.lanes[one.tag])
    bus = zones.plus if one.pole == PLUS else zones.minus
    top, bottom = placed.taps[one.tag, one.upper], placed.taps[one.tag, one.lower]
    out.line(x, top, x, bottom, one.weight, colour, layer=1, wire=True)
    stations = {station.id: station for station in placed.sheet.stations}
    for end, y, slots in ((one.upper, top, one.upper_slots), (one.lower, bottom, one.lower_slots)):
        if stations[end].ends:
            edge = zones.frame_left + 1.5 if one.pole == PLUS else zones.frame_right - 1.5
            out.line(x, y, edge, y, one.weight, colour, layer=2, wire=True)
            continue
        out.line(x, y, bus, y, one.weight, colour, layer=2, wire=True)
        out.circle(bus, y, 0.95, stroke="", fill=colour, layer=5)
        _slots(out, placed, one.pole, y, slots, colour)
        if one.runs > 1:
            _strokes(out, placed, one, y)
        _end_label(out, placed, one, y, slots, spelt=end == one.upper or stations[one.upper].ends)


def _end_label(out: Display, placed: Placed, one: Conductor, y: float, slots: tuple[Slot, ...], *, spelt: bool) -> None:
    """The conductor's tag above its end, level; in full at the upper end."""
    zones = placed.zones
    up = max((UP[slot.symbol] for slot in slots), default=one.weight / 2)
    words = one.words if spelt else one.tag
    room = (zones.plus - zones.frame_left if one.pole == PLUS else zones.frame_right - zones.minus) - 2.4
    shown = cut(words, SMALL, room)
    if shown != words:
        out.shortened.add(one.tag)
    x, anchor = (zones.plus - 1.4, "right") if one.pole == PLUS else (zones.minus + 1.4, "left")
    out.label(shown, x, y - up - 0.8, SMALL, anchor=anchor)


def _slots(out: Display, placed: Placed, pole: str, y: float, slots: tuple[Slot, ...], colour: str) -> None:
    zones = placed.zones
    wide = zones.slot[pole]
    for number, slot in enumerate(slots):
        x = zones.plus - 0.8 - wide * (number + 0.5) if pole == PLUS else zones.minus + 0.8 + wide * (number + 0.5)
        IN_LINE[slot.symbol](out, x, y, colour)
        shown = cut(slot.label, SMALL, wide)
        if shown != slot.label:
            out.shortened.update(slot.tags)
        out.label(shown, x, y + UP[slot.symbol] + 0.8 + SMALL * CAP / MM, SMALL, anchor="middle")


def _strokes(out: Display, placed: Placed, one: Conductor, y: float) -> None:
    """Oblique strokes for conductors in parallel; the label says how many."""
    zones = placed.zones
    start = zones.frame_left + 0.5 if one.pole == PLUS else zones.frame_right - 2.1
    for number in range(min(one.runs, 3)):
        out.line(start + 0.7 * number, y + 1.0, start + 0.7 * number + 0.5, y - 1.0, 0.3, _COLOUR[one.pole], layer=4)


def _ends(out: Display, placed: Placed, station: Station) -> None:
    """The band that says where conductors go on."""
    zones = placed.zones
    half = (zones.frame_right - zones.frame_left) / 2 - 5.6
    for one in placed.sheet.conductors:
        if station.id not in (one.upper, one.lower):
            continue
        y = placed.taps[one.tag, station.id]
        sign = 1 if one.pole == PLUS else -1
        edge = zones.frame_left + 1.5 if one.pole == PLUS else zones.frame_right - 1.5
        tip = edge + 2.0 * sign
        out.shape((edge, y - 0.9), (tip, y), (edge, y + 0.9), stroke="", fill=_COLOUR[one.pole], layer=5)
        shown = cut(one.far, SMALL, half)
        if shown != one.far:
            out.shortened.add(one.tag)
        out.label(shown, tip + 1.2 * sign, y + 0.8, SMALL, anchor="left" if sign > 0 else "right")


def _body(out: Display, placed: Placed) -> None:
    """The vehicle's body as a hatched strip, and the bonds to it."""
    zones = placed.zones
    x, top, bottom = zones.strip, placed.tops[0] + 1.0, placed.height - 1.0
    out.line(x, top, x, bottom, 0.7, layer=3, wire=True)
    y = top + 0.6
    while y < bottom - 1.6:
        out.line(x, y, x + 1.2, y + 1.1, 0.25, style.MUTED, layer=3)
        y += 2.2
    out.height += 3.4
    out.label(say("diagram.vehicle_body_head"), WIDTH - 0.4, out.height, SMALL, bold=True, anchor="right")
    for bond in placed.sheet.bonds:
        y = placed.taps[bond.tag, bond.station]
        out.line(zones.minus, y, x, y, bond.weight, MINUS_COLOUR, layer=2, wire=True)
        out.circle(zones.minus, y, 0.95, stroke="", fill=MINUS_COLOUR, layer=5)
        body(out, x, y)
        out.label(bond.words, zones.minus + 1.4, y - bond.weight / 2 - 0.6, SMALL)
