"""Where everything of one sheet stands: widths of the zones, heights of the stations, taps, labels along the lanes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from dossier.pages.diagram.display import measured
from dossier.pages.diagram.lanes import Span, assign, tap_order
from dossier.pages.diagram.symbols import UP
from dossier.pages.diagram.wiring import MINUS, PLUS, Bond, Conductor, Row, Slot, Station

WIDTH: Final = 174.0  # mm, the live width of the page
SMALL: Final = 6.2  # pt, sizes of type on the drawing
TEXT: Final = 6.8
HEADING: Final = 7.0
PITCH: Final = 5.0  # mm from lane to lane
LANE_LABEL: Final = 3.4  # mm that a label needs beside its lane
LEAST_TEXT: Final = 34.0  # mm for the words beside a symbol
BODY_STRIP: Final = 6.4
_AXIS: Final = 8.2  # from the positive bus to the middle of a device symbol
_WORDS: Final = 5.8  # from there to its words
_PASSES: Final = 14
_TALL_TAP: Final = 6.9  # mm between conductors that carry relays, switches or converters
_SLOT: Final = 7.6  # the least room for a fuse


@dataclass(frozen=True, slots=True)
class Profile:
    """How generous the heights are [mm]."""

    head: float
    gap: float
    up: float
    down: float
    speaker: float
    tap: float


PROFILES: Final = (
    Profile(5.6, 4.0, 4.7, 4.6, 4.9, 6.2),
    Profile(5.2, 3.0, 4.4, 4.3, 4.7, 5.8),
    Profile(4.9, 2.4, 4.2, 4.1, 4.5, 5.5),
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What stands on one sheet; ``body`` = the strip of the vehicle's body is drawn."""

    stations: tuple[Station, ...]
    conductors: tuple[Conductor, ...]
    bonds: tuple[Bond, ...]


@dataclass(slots=True)
class Zones:
    """Horizontal positions [mm]."""

    plus_lanes: int
    minus_lanes: int
    body: bool
    slot: dict[str, float]  # width of one slot, by pole
    stub: dict[str, float]  # width between frame and bus, by pole
    left: float = 0.0
    frame_left: float = 0.0
    plus: float = 0.0
    axis: float = 0.0
    words: float = 0.0
    minus: float = 0.0
    frame_right: float = 0.0
    strip: float = 0.0

    @property
    def room(self) -> float:
        """Room for the words of a device [mm]."""
        return self.minus - self.words - 2.2

    def lane(self, pole: str, number: int) -> float:
        """The x of a lane."""
        away = 3.0 + (number - 1) * PITCH
        return self.frame_left - away if pole == PLUS else self.frame_right + away


@dataclass(slots=True)
class LaneLabel:
    """A label along a lane: its words and the middle of its room."""

    words: str
    middle: float


@dataclass(slots=True)
class Placed:
    """One sheet with every position."""

    sheet: Sheet
    profile: Profile
    zones: Zones
    lanes: dict[str, int]
    tops: list[float]
    heights: list[float]
    rows: dict[str, float] = field(default_factory=dict)  # tag -> y of its wire
    taps: dict[tuple[str, str], float] = field(default_factory=dict)  # (tag, station) -> y
    labels: dict[str, LaneLabel] = field(default_factory=dict)
    shortened: set[str] = field(default_factory=set)

    @property
    def height(self) -> float:
        """Of all stations [mm]."""
        return self.tops[-1] + self.heights[-1]


def row_heights(row: Row, profile: Profile) -> tuple[float, float]:
    """Room above and below the wire of a device [mm]."""
    below = profile.down + profile.speaker * len(row.speakers)
    return profile.up, below


def lanes_of(sheet: Sheet) -> tuple[dict[str, int], dict[str, list[Span]]]:
    """Lanes of both poles, and the spans they come from."""
    index = {one.id: place for place, one in enumerate(sheet.stations)}
    spans = {
        pole: [
            Span(one.tag, index[one.upper], index[one.lower]) for one in sheet.conductors if one.pole == pole
        ]
        for pole in (PLUS, MINUS)
    }
    return {tag: lane for pole in (PLUS, MINUS) for tag, lane in assign(spans[pole]).items()}, spans


def zones_of(sheet: Sheet, lanes: dict[str, int]) -> Zones:
    """Widths; the words of the devices get what is left."""
    most = {
        pole: max((lanes[one.tag] for one in sheet.conductors if one.pole == pole), default=0)
        for pole in (PLUS, MINUS)
    }
    slots = {pole: _slots(sheet, pole) for pole in (PLUS, MINUS)}
    width = {
        pole: max([_SLOT, *(measured(slot.label, SMALL) + 1.2 for end in slots[pole] for slot in end)])
        for pole in (PLUS, MINUS)
    }
    stub = {
        pole: (2.6 if most[pole] else 3.0)
        + width[pole] * max((len(end) for end in slots[pole]), default=0)
        + 0.8
        for pole in (PLUS, MINUS)
    }
    if sheet.bonds:
        stub[MINUS] = max(stub[MINUS], *(measured(one.words, SMALL) + 2.4 for one in sheet.bonds))
    zones = Zones(most[PLUS], most[MINUS], bool(sheet.bonds), width, stub)
    right = WIDTH - (BODY_STRIP if zones.body else 0.4) - _beside(zones.minus_lanes)
    zones.frame_left = 0.4 + _beside(zones.plus_lanes)
    zones.frame_right = right
    natural = zones.frame_left + stub[PLUS] + _AXIS + _WORDS + _natural(sheet) + 2.2 + stub[MINUS]
    spare = max(0.0, right - max(natural, 118.0))
    zones.frame_left += spare / 2
    zones.frame_right -= spare / 2
    zones.plus = zones.frame_left + stub[PLUS]
    zones.axis = zones.plus + _AXIS
    zones.words = zones.axis + _WORDS
    zones.minus = zones.frame_right - stub[MINUS]
    zones.strip = zones.frame_right + _beside(zones.minus_lanes) + 1.0
    return zones


def _beside(lanes: int) -> float:
    return 3.0 + (lanes - 1) * PITCH + LANE_LABEL if lanes else 0.0


def _slots(sheet: Sheet, pole: str) -> list[tuple[Slot, ...]]:
    return [end for one in sheet.conductors if one.pole == pole for end in (one.upper_slots, one.lower_slots)]


def _natural(sheet: Sheet) -> float:
    """The width the words of the devices would like."""
    wide = LEAST_TEXT
    for station in sheet.stations:
        for row in station.rows:
            wide = max(wide, measured(f"{row.tag}  {row.title}", TEXT, True), measured(row.detail, SMALL))
            wide = max([wide, *(measured(f"{one.tag}  {one.words}", SMALL) + 5.0 for one in row.speakers)])
    return wide


def fits_wide(sheet: Sheet) -> bool:
    """Whether the lanes leave room for the words."""
    lanes, _ = lanes_of(sheet)
    return zones_of(sheet, lanes).room >= LEAST_TEXT


def place(sheet: Sheet, most: float) -> Placed | None:
    """The most generous placement that is no higher than ``most`` [mm]; None when even the tightest is."""
    lanes, spans = lanes_of(sheet)
    order = {pole: tap_order(spans[pole], lanes) for pole in (PLUS, MINUS)}
    zones = zones_of(sheet, lanes)
    tries = [_fill(sheet, profile, zones, lanes, order, most) for profile in PROFILES]
    whole = next((one for one, short in tries if one is not None and not short), None)
    if whole is not None:
        return whole
    cut_down = next((one for one, _ in tries if one is not None), None)
    if cut_down is not None:
        _label_lanes(cut_down, spell=True)
    return cut_down


def _fill(
    sheet: Sheet,
    profile: Profile,
    zones: Zones,
    lanes: dict[str, int],
    order: dict[str, dict[int, list[str]]],
    most: float,
) -> tuple[Placed | None, bool]:
    """The highest placement within ``most``, and whether some lane is too short for its label."""
    extra = [0.0] * len(sheet.stations)
    last: Placed | None = None
    for _ in range(_PASSES):
        placed = _stack(sheet, profile, zones, lanes, order, extra)
        if placed.height > most:
            break
        last = placed
        short = _label_lanes(placed, spell=False)
        if not short:
            return placed, False
        for lower, missing in short.items():
            extra[lower] += missing + 0.2
    return last, True


def _stack(
    sheet: Sheet,
    profile: Profile,
    zones: Zones,
    lanes: dict[str, int],
    order: dict[str, dict[int, list[str]]],
    extra: Sequence[float],
) -> Placed:
    placed = Placed(sheet, profile, zones, lanes, [], [])
    pitch = max(profile.tap, _TALL_TAP if _tall(sheet) else 0.0)
    y = 0.0
    for index, station in enumerate(sheet.stations):
        if index:
            y += profile.gap + extra[index]
        taps = {pole: order[pole].get(index, []) for pole in (PLUS, MINUS)}
        ends = {tag: index_of(sheet, tag, index) for pole in (PLUS, MINUS) for tag in taps[pole]}
        minus = _with_bonds(sheet, station, taps[MINUS], ends)
        needs = [sum(sum(row_heights(row, profile)) for row in station.rows) + 0.6]
        needs += [len(one) * pitch + 2.6 for one in (taps[PLUS], minus)]
        height = profile.head + max(*needs, 6.0) + 0.8
        placed.tops.append(y)
        placed.heights.append(height)
        top, bottom = y + profile.head + 0.8, y + height - 0.8
        free = (bottom - top) - needs[0] + 0.6
        at = top + max(0.0, free / 2)
        rows = []
        for row in station.rows:
            up, below = row_heights(row, profile)
            placed.rows[row.tag] = at + up
            rows.append(at + up)
            at += up + below
        for tags in (taps[PLUS], minus):
            for tag, where in zip(
                tags, _spread(len(tags), top + 2.6, bottom - 1.0, pitch, rows), strict=True
            ):
                placed.taps[tag, station.id] = where
        y += height
    return placed


def _tall(sheet: Sheet) -> bool:
    """Whether something higher than a fuse sits in a conductor."""
    return any(
        UP[slot.symbol] > UP["fuse"] for pole in (PLUS, MINUS) for end in _slots(sheet, pole) for slot in end
    )


def index_of(sheet: Sheet, tag: str, index: int) -> bool:
    """Whether conductor ``tag`` comes to station ``index`` from above."""
    return any(one.tag == tag and one.lower == sheet.stations[index].id for one in sheet.conductors)


def _with_bonds(sheet: Sheet, station: Station, taps: list[str], from_above: dict[str, bool]) -> list[str]:
    """Taps of the negative with the bonds to the body between those from above and those to below."""
    bonds = [one.tag for one in sheet.bonds if one.station == station.id]
    above = [tag for tag in taps if from_above[tag]]
    return [*above, *bonds, *(tag for tag in taps if not from_above[tag])]


def _spread(count: int, top: float, bottom: float, pitch: float, rows: Sequence[float]) -> list[float]:
    """``count`` heights between ``top`` and ``bottom``, at least ``pitch`` apart, on a device row where one is near."""
    if not count:
        return []
    step = max(pitch, (bottom - top) / count)
    first = top + max(0.0, ((bottom - top) - step * (count - 1)) / 2)
    made = [first + step * place for place in range(count)]
    for place, y in enumerate(made):
        near = min(rows, key=lambda row: abs(row - y), default=None)
        if near is None or abs(near - y) > 2.6 or near < top:
            continue
        before = made[place - 1] if place else top - pitch
        after = made[place + 1] if place + 1 < count else bottom + pitch
        if near - before >= pitch - 0.01 and after - near >= pitch - 0.01:
            made[place] = near
    return made


def _label_lanes(placed: Placed, *, spell: bool) -> dict[int, float]:
    """Put every lane's label where it fits; returns, by station, the height missing above it.

    With ``spell`` a label that does not fit shrinks, in the end to its tag, and the tag is noted as shortened.
    """
    missing: dict[int, float] = {}
    index = {one.id: place for place, one in enumerate(placed.sheet.stations)}
    placed.labels.clear()
    for one in placed.sheet.conductors:
        free = _free(placed, one)
        for words in (one.words, *one.briefer, one.tag) if spell else (one.words,):
            need = measured(words, SMALL) + 0.8
            rooms = [(low, high) for low, high in free if high - low >= need]
            if rooms:
                middle = (placed.taps[one.tag, one.upper] + placed.taps[one.tag, one.lower]) / 2
                low, high = min(rooms, key=lambda room: abs(min(max(middle, room[0]), room[1]) - middle))
                at = min(max(middle, low + need / 2), high - need / 2)
                placed.labels[one.tag] = LaneLabel(words, at)
                if words != one.words:
                    placed.shortened.add(one.tag)
                break
        else:
            if spell:
                placed.shortened.add(one.tag)
            widest = max((high - low for low, high in free), default=0.0)
            lower = index[one.lower]
            missing[lower] = max(missing.get(lower, 0.0), measured(one.words, SMALL) + 0.8 - widest)
    return missing


def _free(placed: Placed, one: Conductor) -> list[tuple[float, float]]:
    """Stretches of a lane beside which nothing crosses."""
    top, bottom = placed.taps[one.tag, one.upper], placed.taps[one.tag, one.lower]
    lane = placed.lanes[one.tag]
    walls = [
        y
        for other in placed.sheet.conductors
        if other.pole == one.pole and placed.lanes[other.tag] > lane
        for y in (placed.taps[other.tag, other.upper], placed.taps[other.tag, other.lower])
    ]
    if one.pole == MINUS:
        walls += [placed.taps[bond.tag, bond.station] for bond in placed.sheet.bonds]
    edges = [top, *sorted(y for y in walls if top < y < bottom), bottom]
    return [(low + 0.9, high - 0.9) for low, high in pairwise(edges)]

