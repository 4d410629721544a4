"""Where the energy is and how it is made dead: the order, and the card for whoever finds the vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from dossier.buildfile.model import Build
from dossier.pages import wording as say
from dossier.pages.words import count, name, place_of, stated
from dossier.pdf.flow import Text, text
from dossier.pdf.text import plain
from dossier.results.overview import EnergySource, Results

_STORES: Final = ("battery", "capacitor bank")
_ORDER: Final = {"battery": 0, "capacitor bank": 1}
_CARD_FUSES: Final = 8


def stores_in_order(build: Build, results: Results) -> list[EnergySource]:
    """Whatever keeps energy, in the order it is opened: the starter battery, the other batteries, the banks."""
    stores = [one for one in results.energy_sources if one.kind in _STORES]
    return sorted(stores, key=lambda one: _first(build, one.id, one.kind))


def opening_steps(stores: Sequence[EnergySource]) -> list[str]:
    """What to open, one sentence a place."""
    return [
        (say.DEAD_BANK if one.kind == "capacitor bank" else say.DEAD_STORE).format(
            title=name(one.title), place=one.location
        )
        for one in stores
    ]


def rescue_card(build: Build, results: Results) -> list[Text]:
    """What a stranger has to know at the vehicle, on one card."""
    stores = stores_in_order(build, results)
    number = len(results.energy_sources)
    others = [one for one in results.energy_sources if one not in stores]
    further = [f"{name(one.title, 40)} ({plain(one.location, 40)})" for one in others]
    fuses = [
        f"{name(cable.title, 40)} {stated(fuse.rating)} at {place_of(build, fuse.near)}"
        for cable in build.cables.values()
        for fuse in cable.fuses.values()
    ]
    contact = whom_to_ask(build)
    also = "; " + say.GARAGE_ALSO.format(list=", ".join(further)) if further else ""
    lines = [text(f"{say.GARAGE_SOURCES.format(sources=count(number, 'energy source'))}{also}.", "warning")]
    lines += [text(f"{i}. {line}") for i, line in enumerate(opening_steps(stores), start=1)]
    lines.append(text(say.GARAGE_LIVE if number > 1 else say.GARAGE_ONE))
    if fuses:
        lines.append(text(say.GARAGE_FUSES.format(list="; ".join(fuses[:_CARD_FUSES]) + _more(fuses))))
    record = build.record
    call = ", ".join(part for part in (plain(record.workshop, 80), plain(contact, 120)) if part)
    if call:
        lines.append(text(say.GARAGE_CALL.format(contact=call)))
    number_words = f"{plain(record.number, 40)}, revision {plain(record.revision, 20)}, {record.date}"
    lines.append(text(f"Record {number_words}", "note"))
    return lines


def whom_to_ask(build: Build) -> str:
    """Whom to ask: as agreed at the handover, else the telephone of the letterhead."""
    kept = build.kept
    agreed = kept.handover.contact if kept.handover else ""
    return agreed or (kept.workshop.phone if kept.workshop else "")


def _more(fuses: Sequence[str]) -> str:
    left = len(fuses) - _CARD_FUSES
    return f"; and {left} more, see the list of fuses" if left > 0 else ""


def _first(build: Build, key: str, kind: str) -> tuple[int, int]:
    """The starter battery first, then the other batteries, then the banks."""
    battery = build.batteries.get(key)
    return _ORDER[kind], 0 if battery is not None and battery.starts_engine else 1
