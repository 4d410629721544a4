"""Locations where nothing stands: a band for each would be empty, so what is only joined there is drawn without one."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from dossier.pages.diagram.wiring import MINUS, PLUS, Bond, Conductor, Wiring

_MOST: Final = 2  # fuses and devices at one end of a conductor


def without_empty(wires: Wiring) -> Wiring:
    """The same wiring; a joint of returns on the body becomes a bond of each, a joint ahead of a device in line goes.

    The list of tags keeps every conductor with both its ends.
    """
    kept = wires
    for station in wires.stations:
        if not station.rows:
            kept = _on_the_body(kept, station.id) or _through(kept, station.id) or kept
    return kept


def _on_the_body(wires: Wiring, place: str) -> Wiring | None:
    """Without ``place`` where it only joins returns to the vehicle's body."""
    here = _ending(wires, place)
    bonds = [one for one in wires.bonds if one.station == place]
    plain = all(one.pole == MINUS and not (one.upper_slots or one.lower_slots) for one in here)
    if not here or not bonds or not plain:
        return None
    joined = [Bond(one.tag, _other(one, place), one.words, one.weight) for one in here]
    if len({one.station for one in joined}) < len(joined):  # two returns of one place stay two conductors
        return None
    kept = [one for one in wires.bonds if one.station != place]
    gone = {one.tag for one in bonds} - {one.tag for one in kept}
    return None if gone else _left(wires, place, here, [*joined, *kept])


def _through(wires: Wiring, place: str) -> Wiring | None:
    """Without ``place`` where a cable only meets a device in line that goes on from there."""
    here = _ending(wires, place)
    above = [one for one in here if one.lower == place]
    below = [one for one in here if one.upper == place]
    if len(here) != 2 or len(above) != 1 or any(one.pole != PLUS for one in here):
        return None
    if any(one.station == place for one in wires.bonds) or sum(one.is_device for one in here) != 1:
        return None
    (first,), (then,) = above, below
    met = (*then.lower_slots, *reversed(then.upper_slots), *first.lower_slots)
    if len(met) > _MOST:
        return None
    whole = replace(then if first.is_device else first, upper=first.upper, upper_slots=first.upper_slots)
    return _left(wires, place, here, list(wires.bonds), replace(whole, lower=then.lower, lower_slots=met))


def _ending(wires: Wiring, place: str) -> list[Conductor]:
    return [one for one in wires.conductors if place in (one.upper, one.lower)]


def _other(one: Conductor, place: str) -> str:
    return one.lower if one.upper == place else one.upper


def _left(wires: Wiring, place: str, gone: list[Conductor], bonds: list[Bond], *new: Conductor) -> Wiring:
    return replace(
        wires,
        stations=tuple(one for one in wires.stations if one.id != place),
        conductors=tuple(one for one in (*wires.conductors, *new) if not any(one is old for old in gone)),
        bonds=tuple(bonds),
    )
