"""A sheet of labels to print, cut out and stick on: every source, every capacitor bank, every fuse; the rescue card."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.buildfile.tags import tags_of
from dossier.diagnostic import Severity
from dossier.pages.appendix.sources import counted
from dossier.pages.delivery.rescue import rescue_card, stores_in_order
from dossier.pages.section import Stamp
from dossier.pages.words import fixed, high_v, name, place_of, stated, word
from dossier.pdf.card import Card
from dossier.pdf.flow import gap, heading, text, together
from dossier.pdf.tables import columns
from dossier.pdf.text import plain
from dossier.reader.wording import say
from dossier.results.overview import EnergySource, Results

_BETWEEN: Final = 9.0
_LARGE: Final = (2, 118.0, "label_large", "body")  # beside each other, least height, styles: read from an arm's length
_SMALL: Final = (3, 78.0, "cell_strong", "cell")
_MANY: Final = 6  # sources from which small labels are printed
Label = tuple[str, str]


def labels(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The sheet: the card, the sources and banks, the fuses."""
    stores = stores_in_order(build, results)
    if not stores and not any(cable.fuses for cable in build.cables.values()):
        return []
    if results.verdict.severity is Severity.STOP:
        listed = ", ".join(_condemned(build, results))
        return [
            text(say("labels.none_while_stopped", list=listed) if listed else say("labels.none_while_stopped_bare"))
        ]
    sources = [*_sources(results, stores), *_banks(results)]
    planned = say("labels.plan") if build.record.stage == "design" else ""
    of_sources, of_fuses = (_LARGE if len(sources) < _MANY else _SMALL), _SMALL
    card = Card(rescue_card(build, results), style.LIVE_WIDTH)
    return [
        text(say("labels.words"), "note"),
        *_block("label-card", say("customer.garage"), [card, gap(_BETWEEN)]),
        *_block("label-sources", say("labels.sources"), _rows(sources, planned, *of_sources)),
        *_block("label-fuses", say("labels.fuses"), _rows(_fuses(build), planned, *of_fuses)),
    ]


def _condemned(build: Build, results: Results) -> list[str]:
    """Tag and name of every fuse that a stop is about."""
    paths = {f"cables.{c.id}.fuses.{f}": c.title for c in build.cables.values() for f in c.fuses}
    tags = tags_of(build)
    stops = [one.path for one in results.findings if one.severity is Severity.STOP]
    return [f"{tags[p]} {name(title, 50)}" for p, title in paths.items() if any(one.startswith(p) for one in stops)]


def _block(key: str, title: str, body: list[Any]) -> list[Any]:
    return [heading(title, 2, key), *body] if body else []


def _rows(found: Sequence[Label], planned: str, beside: int, least: float, head: str, words: str) -> list[Any]:
    wide = (style.LIVE_WIDTH - (beside - 1) * _BETWEEN) / beside
    front = [planned] if planned else []  # on every piece that can be cut out
    cards = [
        Card([*(text(one, head) for one in [*front, plain(title, 90)]), text(plain(more, 600), words)], wide, least)
        for title, more in found
    ]
    rows = [cards[index : index + beside] for index in range(0, len(cards), beside)]
    made: list[Any] = []
    for row in rows:
        _level(row)
        cells = [[one] for one in row] + [[]] * (beside - len(row))
        made.append(together(columns(cells, gutter=_BETWEEN), gap(_BETWEEN)))
    return made


def _level(row: Sequence[Card]) -> None:
    """Labels beside each other are equally high: one cut serves all."""
    highest = max(one.wrap(style.LIVE_WIDTH, style.LIVE_HEIGHT)[1] for one in row)
    for one in row:
        one.least = highest


def _sources(results: Results, stores: Sequence[EnergySource]) -> list[Label]:
    number = counted(results)
    return [(f"{name(one.title, 60)}: {number}", _others(one, stores)) for one in stores]


def _others(one: EnergySource, stores: Sequence[EnergySource]) -> str:
    rest = [f"{name(other.title, 60)} ({plain(other.location, 60)})" for other in stores if other.id != one.id]
    words = say("labels.further", list=", ".join(rest)) if rest else say("labels.only")
    return f"{one.detail}. {words}"


def _banks(results: Results) -> list[Label]:
    return [
        (
            say(
                "labels.v_kj", title=name(one.title, 60), volts=high_v(one.volts), energy=fixed(one.energy / 1000.0, 0)
            ),
            say("labels.bank", ohm=f"{one.bleed:.3g}"),
        )
        for one in results.charging.banks
    ]


def _fuses(build: Build) -> list[Label]:
    made = []
    for cable in build.cables.values():
        for fuse in cable.fuses.values():
            breaking = (
                say("labels.breaks", breaking_capacity=stated(fuse.breaking_capacity)) if fuse.breaking_capacity else ""
            )
            each = say("labels.each_of", runs=cable.runs) if cable.runs > 1 and not fuse.shared else ""
            place = place_of(build, fuse.near)
            made.append(
                (
                    say("labels.fuse_2", rating=stated(fuse.rating), style=word(fuse.style)),
                    say(
                        "labels.at",
                        title=name(cable.title, 50),
                        place=plain(place, 40),
                        breaking=breaking,
                        each=each,
                        say=say("labels.fuse"),
                    ),
                )
            )
    return made
