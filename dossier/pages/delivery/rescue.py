"""Where the energy is and how it is made dead: the order, and the card for whoever finds the vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from dossier.buildfile.model import Build
from dossier.buildfile.tags import tag_at, tags_of
from dossier.pages.appendix.sources import counted, turning
from dossier.pages.words import name, place_of, stated
from dossier.pdf.flow import Text, text
from dossier.pdf.text import plain
from dossier.reader.wording import say
from dossier.results.overview import EnergySource, Results, SourceKind

_ORDER: Final = {SourceKind.BATTERY: 0, SourceKind.CAPACITOR_BANK: 1}
_CARD_FUSES: Final = 8


def stores_in_order(build: Build, results: Results) -> list[EnergySource]:
    """Whatever keeps energy, in the order it is opened: the starter battery, the other batteries, the banks."""
    return sorted(results.energy_sources, key=lambda one: _first(build, one.id, one.kind))


def opening_steps(build: Build, stores: Sequence[EnergySource]) -> list[str]:
    """What to open, one sentence a place: the switch of the build file that isolates it, else its terminal."""
    return [
        say(
            "customer.dead_bank" if one.kind is SourceKind.CAPACITOR_BANK else "customer.dead_store",
            title=name(one.title),
            place=one.location,
            opened=opened(build, one),
        )
        for one in stores
    ]


def opened(build: Build, one: EnergySource) -> str:
    """What is opened to make a store dead, by its tag in the diagram where it is a switch."""
    if not one.disconnect:
        bank = one.kind is SourceKind.CAPACITOR_BANK
        return say("customer.opened_connection" if bank else "customer.opened_terminal")
    tag = tag_at(tags_of(build), f"couplings.{one.disconnect}")
    return say("customer.opened_switch", tag=tag, title=name(build.couplings[one.disconnect].title, 60))


def rescue_card(build: Build, results: Results) -> list[Text]:
    """What a stranger has to know at the vehicle, on one card."""
    stores = stores_in_order(build, results)
    fuses = [
        say("customer.at", title=name(cable.title, 40), rating=stated(fuse.rating), near=place_of(build, fuse.near))
        for cable in build.cables.values()
        for fuse in cable.fuses.values()
    ]
    contact = whom_to_ask(build)
    plan = build.record.stage == "design"
    sources = counted(results)
    lines = [text(say("labels.plan"), "warning")] if plan else []
    lines += [text(say("customer.garage_planned" if plan else "customer.garage_sources", sources=sources), "warning")]
    further = turning(results)
    if further:
        lines.append(text(say("customer.garage_further", further=further)))
    lines += [text(f"{i}. {line}") for i, line in enumerate(opening_steps(build, stores), start=1)]
    lines.append(text(say("customer.garage_live" if len(stores) > 1 else "customer.garage_one")))
    if fuses:
        lines.append(text(say("customer.garage_fuses", list="; ".join(fuses[:_CARD_FUSES]) + _more(fuses))))
    record = build.record
    call = ", ".join(part for part in (plain(record.workshop, 80), plain(contact, 120)) if part)
    if call:
        lines.append(text(say("customer.garage_call", contact=call)))
    number_words = say(
        "customer.revision", number=plain(record.number, 40), revision=plain(record.revision, 20), date=record.date
    )
    lines.append(text(say("customer.record", number_words=number_words), "note"))
    return lines


def whom_to_ask(build: Build) -> str:
    """Whom to ask: as agreed at the handover, else the telephone of the letterhead."""
    kept = build.kept
    agreed = kept.handover.contact if kept.handover else ""
    return agreed or (kept.workshop.phone if kept.workshop else "")


def _more(fuses: Sequence[str]) -> str:
    left = len(fuses) - _CARD_FUSES
    return say("customer.and_more_see_the_list_of", left=left) if left > 0 else ""


def _first(build: Build, key: str, kind: SourceKind) -> tuple[int, int]:
    """The starter battery first, then the other batteries, then the banks."""
    battery = build.batteries.get(key)
    return _ORDER[kind], 0 if battery is not None and battery.starts_engine else 1
