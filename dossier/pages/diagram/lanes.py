"""Which conductor runs in which lane beside the stations: interval colouring, then a climb that takes crossings out.

Two conductors may share a lane when one ends at the station where the other begins (half-open intervals), because at
every station the taps of conductors from above lie above those of conductors to below. Lane 1 lies nearest the bus.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

_ROUNDS: Final = 30
_MANY: Final = 16  # beyond so many the start is good enough


class Span(NamedTuple):
    """A conductor between stations ``upper`` and ``lower``, counted from the top; ``upper`` < ``lower``."""

    tag: str
    upper: int
    lower: int


def assign(spans: Sequence[Span]) -> dict[str, int]:
    """Lane of every conductor, from 1; the same spans give the same lanes."""
    nested = _first_fit(sorted(spans, key=lambda one: (one.lower - one.upper, one.upper, one.tag)))
    packed = _first_fit(sorted(spans, key=lambda one: (one.upper, one.lower, one.tag)))
    starts = [packed]
    if max(nested.values(), default=0) <= max(packed.values(), default=0) + 1:
        starts.insert(0, nested)
    if len(spans) <= _MANY:
        starts = [_climb(spans, start) for start in starts]
    return min(starts, key=lambda lanes: _cost(spans, lanes))


def crossings(spans: Sequence[Span], lanes: dict[str, int]) -> int:
    """How often the end of one conductor crosses the lane of another."""
    taps = tap_order(spans, lanes)
    found = 0
    for one in spans:
        for other in spans:
            if lanes[other.tag] >= lanes[one.tag]:
                continue
            for station in (one.upper, one.lower):
                found += _inside(other, station, taps[station].index(one.tag), taps)
    return found


def _inside(other: Span, station: int, place: int, taps: dict[int, list[str]]) -> bool:
    if other.upper < station < other.lower:
        return True
    if station == other.upper:
        return place > taps[station].index(other.tag)
    return station == other.lower and place < taps[station].index(other.tag)


def tap_order(spans: Sequence[Span], lanes: dict[str, int]) -> dict[int, list[str]]:
    """Tags at every station, top to bottom: from above by rising lane, then to below by falling lane."""
    stations = {one.upper for one in spans} | {one.lower for one in spans}
    order: dict[int, list[str]] = {}
    for station in stations:
        above = sorted((one for one in spans if one.lower == station), key=lambda one: lanes[one.tag])
        below = sorted((one for one in spans if one.upper == station), key=lambda one: -lanes[one.tag])
        order[station] = [one.tag for one in (*above, *below)]
    return order


def _overlap(one: Span, other: Span) -> bool:
    return one.upper < other.lower and other.upper < one.lower


def _first_fit(spans: Sequence[Span]) -> dict[str, int]:
    lanes: dict[str, int] = {}
    placed: list[Span] = []
    for one in spans:
        taken = {lanes[other.tag] for other in placed if _overlap(one, other)}
        lanes[one.tag] = next(lane for lane in range(1, len(spans) + 1) if lane not in taken)
        placed.append(one)
    return lanes


def _cost(spans: Sequence[Span], lanes: dict[str, int]) -> tuple[int, int, int]:
    return max(lanes.values(), default=0), crossings(spans, lanes), sum(lanes.values())


def _climb(spans: Sequence[Span], start: dict[str, int]) -> dict[str, int]:
    best, cost = start, _cost(spans, start)
    for _ in range(_ROUNDS):
        better = next(
            ((tried, price) for tried in _neighbours(spans, best) if (price := _cost(spans, tried)) < cost), None
        )
        if better is None:
            break
        best, cost = better
    return best


def _neighbours(spans: Sequence[Span], lanes: dict[str, int]) -> list[dict[str, int]]:
    top = max(lanes.values(), default=0)
    found = []
    for first in range(1, top + 1):
        for second in range(first + 1, top + 1):
            swap = {first: second, second: first}
            found.append({tag: swap.get(lane, lane) for tag, lane in lanes.items()})
    by_tag = {one.tag: one for one in spans}
    for one in spans:
        for lane in range(1, top + 1):
            blockers = [
                tag
                for tag, its in lanes.items()
                if its == lane and tag != one.tag and _overlap(one, by_tag[tag])
            ]
            if lane == lanes[one.tag] or len(blockers) > 1:
                continue
            tried = {**lanes, one.tag: lane}
            if blockers:
                other = by_tag[blockers[0]]
                home = lanes[one.tag]
                if any(
                    its == home and tag not in (one.tag, other.tag) and _overlap(other, by_tag[tag])
                    for tag, its in lanes.items()
                ):
                    continue
                tried[other.tag] = home
            found.append(tried)
    return found
