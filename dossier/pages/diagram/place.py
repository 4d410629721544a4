"""Where everything of one sheet stands: widths of the zones, heights of the stations, taps, labels along the lanes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from dossier.pages.diagram.display import measured
from dossier.pages.diagram.lanes import Span, assign, tap_order
from dossier.pages.diagram.symbols import UP
from dossier.pages.diagram.wiring import MINUS, PLUS, Bond, Conductor, Row, Slot, Station

WIDTH: Final = 174.0  # mm, the live width of the page
SMALL: Final = 7.0  # pt, sizes of type on the drawing
TEXT: Final = 7.4
HEADING: Final = 7.6
PITCH: Final = 3.4  # mm from lane to lane
LEAST_TEXT: Final = 34.0  # mm for the words beside a symbol
BODY_STRIP: Final = 6.4
_AXIS: Final = 8.2  # from the positive bus to the middle of a device symbol
_WORDS: Final = 5.8  # from there to its words
_BARE_TAP: Final = 5.0  # mm between conductors with nothing in them: a label above each
_FUSE_TAP: Final = 8.8  # between those with fuses: a label above and one below
_TALL_TAP: Final = 10.6  # between those with relays, switches or converters
_LABEL_MOST: Final = 46.0  # mm, of a label at the end of a conductor
_SLOT: Final = 7.6  # the least room for a fuse


@dataclass(frozen=True, slots=True)
class Profile:
    """How generous the heights are [mm]."""

    head: float
    gap: float
    up: float
    down: float
    speaker: float


PROFILES: Final = (
    Profile(5.6, 4.0, 4.9, 4.8, 5.1),
    Profile(5.2, 3.0, 4.6, 4.5, 4.9),
    Profile(4.9, 2.4, 4.4, 4.3, 4.7),
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
        pole: [Span(one.tag, index[one.upper], index[one.lower]) for one in sheet.conductors if one.pole == pole]
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
        pole: min(
            _LABEL_MOST, max([_SLOT, *(measured(slot.label, SMALL) + 1.2 for end in slots[pole] for slot in end)])
        )
        for pole in (PLUS, MINUS)
    }
    stub = {
        pole: (2.6 if most[pole] else 3.0)
        + max(width[pole] * max((len(end) for end in slots[pole]), default=0), _words_of(sheet, pole))
        + 0.8
        for pole in (PLUS, MINUS)
    }
    if sheet.bonds:
        stub[MINUS] = max(stub[MINUS], *(measured(one.words, SMALL) + 2.4 for one in sheet.bonds))
    zones = Zones(most[PLUS], most[MINUS], bool(sheet.bonds), width, stub)
    right = WIDTH - (BODY_STRIP if zones.body else 0.4) - _beside(zones.minus_lanes)
    zones.frame_left = 0.4 + _beside(zones.plus_lanes)
    zones.frame_right = right
    zones.plus = zones.frame_left + stub[PLUS]
    zones.axis = zones.plus + _AXIS
    zones.words = zones.axis + _WORDS
    zones.minus = zones.frame_right - stub[MINUS]
    zones.strip = zones.frame_right + _beside(zones.minus_lanes) + 1.0
    return zones


def _beside(lanes: int) -> float:
    return 3.0 + (lanes - 1) * PITCH + 1.2 if lanes else 0.0


def _words_of(sheet: Sheet, pole: str) -> float:
    """Room for the longest label at the end of a conductor [mm]."""
    labels = [measured(one.words, SMALL) for one in sheet.conductors if one.pole == pole]
    return min(_LABEL_MOST, max(labels) + 2.0) if labels else 0.0


def _slots(sheet: Sheet, pole: str) -> list[tuple[Slot, ...]]:
    return [end for one in sheet.conductors if one.pole == pole for end in (one.upper_slots, one.lower_slots)]


def fits_wide(sheet: Sheet) -> bool:
    """Whether the lanes leave room for the words."""
    lanes, _ = lanes_of(sheet)
    return zones_of(sheet, lanes).room >= LEAST_TEXT


def place(sheet: Sheet, most: float) -> Placed | None:
    """The most generous placement that is no higher than ``most`` [mm]; None when even the tightest is."""
    lanes, spans = lanes_of(sheet)
    order = {pole: tap_order(spans[pole], lanes) for pole in (PLUS, MINUS)}
    zones = zones_of(sheet, lanes)
    tries = (_stack(sheet, profile, zones, lanes, order) for profile in PROFILES)
    return next((one for one in tries if one.height <= most), None)


def _stack(
    sheet: Sheet, profile: Profile, zones: Zones, lanes: dict[str, int], order: dict[str, dict[int, list[str]]]
) -> Placed:
    placed = Placed(sheet, profile, zones, lanes, [], [])
    y = 0.0
    for index, station in enumerate(sheet.stations):
        if index:
            y += profile.gap
        taps = {pole: order[pole].get(index, []) for pole in (PLUS, MINUS)}
        ends = {tag: index_of(sheet, tag, index) for pole in (PLUS, MINUS) for tag in taps[pole]}
        pitches = {pole: _pitch(sheet, pole, station) for pole in (PLUS, MINUS)}
        minus = _with_bonds(sheet, station, taps[MINUS], ends)
        needs = [sum(sum(row_heights(row, profile)) for row in station.rows) + 0.6]
        needs += [len(one) * pitches[pole] for pole, one in ((PLUS, taps[PLUS]), (MINUS, minus))]
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
        for pole, tags in ((PLUS, taps[PLUS]), (MINUS, minus)):
            for tag, where in zip(tags, _spread(len(tags), top, bottom, pitches[pole], rows), strict=True):
                placed.taps[tag, station.id] = where
        y += height
    return placed


def _pitch(sheet: Sheet, pole: str, station: Station) -> float:
    """Height [mm] that the end of a conductor needs at a station, with its label above and what it carries below."""
    ends = [(one.upper, one.upper_slots) for one in sheet.conductors if one.pole == pole]
    ends += [(one.lower, one.lower_slots) for one in sheet.conductors if one.pole == pole]
    symbols = [UP[slot.symbol] for at, end in ends if at == station.id for slot in end]
    if not symbols:
        return _BARE_TAP
    return _TALL_TAP if max(symbols) > UP["fuse"] else _FUSE_TAP


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
    first = top + ((bottom - top) - step * (count - 1)) / 2
    made = [first + step * place for place in range(count)]
    for place, y in enumerate(made):
        near = min(rows, key=lambda row: abs(row - y), default=None)
        if near is None or abs(near - y) > 2.6 or near - top < pitch / 2 or bottom - near < pitch / 2:
            continue
        before = made[place - 1] if place else top - pitch
        after = made[place + 1] if place + 1 < count else bottom + pitch
        if near - before >= pitch - 0.01 and after - near >= pitch - 0.01:
            made[place] = near
    return made
