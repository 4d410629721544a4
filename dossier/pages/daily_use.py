"""Living with it: how long it plays, what the display shows, what to do when something is wrong, hearing."""

from __future__ import annotations

import math
from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.pages import wording as say
from dossier.pages.section import Stamp
from dossier.pages.words import at_least, at_most, fixed, minutes, name, place_of, word
from dossier.pdf.flow import gap, heading, text, together
from dossier.pdf.lists import listed
from dossier.pdf.tables import Column, columns, data_table, num
from dossier.pdf.text import plain
from dossier.reference.batteries import LITHIUM
from dossier.results.budget import EngineBudget
from dossier.results.overview import Results

_FULL: Final = 0.25  # of rated output, the mean of loud music (9 dB crest)


def living(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everyday use and warning signs."""
    off, full = playing_time(results, 0.125), playing_time(results, _FULL)
    words = {
        "off": off or "for a time that is not known",
        "off_full": full or "much shorter",
        "idle": _idle(results),
        "rest": _rest(build),
        "charging": _charging(build),
        "low": f"{11.5 * _halves(build):g} V",
        "lowest": f"{10.5 * _halves(build):g} V",
    }
    return [
        _lines([[head, line.format(**words)] for head, line in say.LIVING_LINES]),
        *_levels(results),
        heading(say.SIGNS, 2, "customer-signs"),
        *listed(say.SIGNS_LINES, "item_large"),
    ]


def caring(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Fuses, jump start, charging, winter, and what must never be changed without the workshop."""
    standing = min((one.days for one in results.storage.standing if one.starts), default=None)
    stands = say.STANDING.format(days=at_most(standing)) if standing is not None else say.STANDING_UNKNOWN
    care = [[head, line.format(standing=stands)] for head, line in say.CARE_LINES]
    if any(one.chemistry in LITHIUM for one in build.batteries.values()):
        care.append(["Cold", say.LITHIUM_COLD])
    care.append(list(say.CARE_SALE))
    fuses = [
        [
            name(cable.title) + (f", each of {cable.runs}" if cable.runs > 1 and not fuse.shared else ""),
            place_of(build, fuse.near),
            word(fuse.style),
            fixed(fuse.rating.si, 0),
        ]
        for cable in build.cables.values()
        for fuse in cable.fuses.values()
    ]
    made: list[Any] = [_lines(care)]
    if fuses:
        made += [
            heading(say.FUSES, 2, "customer-fuses"),
            data_table(
                [Column("In the cable", row_head=True), Column("Where"), Column("Style", share=0.6), num("Rating\nA")],
                fuses,
            ),
        ]
    return [
        *made,
        heading(say.NEVER, 2, "customer-never"),
        text(say.NEVER_WORDS),
        *listed(say.NEVER_LINES, "item_large"),
    ]


def _levels(results: Results) -> list[Any]:
    """How long it plays with the engine off, and what the batteries gain or lose with it running."""
    balances: dict[float, dict[str, float]] = {}
    names: dict[str, float] = {}
    for state in results.budget.states:
        for demand, balance in zip(state.demands, state.balances, strict=True):
            balances.setdefault(demand.fraction, {})[state.state] = balance
            names[demand.name] = demand.fraction
    off = {names[one.name]: one.seconds for one in results.budget.engine_off if one.name in names}
    rows = []
    for fraction in sorted(balances):
        title = next((words for most, words in say.LEVELS_NAMES if fraction <= most), "")
        row = balances[fraction]
        if title:
            time = minutes(off[fraction]) if off.get(fraction) is not None else say.LEVELS_NONE
            rows.append([title, time, *(_ampere(row.get(state)) for state in ("idle", "cruise"))])
    if not rows:
        return []
    heads = say.LEVELS_HEADS
    table = data_table([Column(heads[0], row_head=True), num(heads[1]), num(heads[2]), num(heads[3])], rows)
    return [together(heading(say.LEVELS, 2, "customer-levels"), table, text(say.LEVELS_WORDS, "note"))]


def _ampere(balance: float | None) -> str:
    """A balance on the safe side: less gained, more lost."""
    return fixed(None if balance is None else math.floor(balance), 0, sign=True)


def _lines(rows: list[list[str]]) -> Any:
    return data_table(
        [
            Column("", row_head=True, share=0.22, style="cell_large_strong"),
            Column("", share=0.78, style="cell_large"),
        ],
        rows,
        head=False,
    )


def ears(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Minutes for the levels that were measured, or the table everybody should know."""
    judged = [one for one in results.recorded.sound if one.permitted and one.a_weighted is not None]
    made: list[Any] = [
        text(
            say.EARS_MEASURED.format(
                level=fixed(one.a_weighted, 0),
                position=plain(one.position, 80),
                time=minutes(min(row.seconds for row in one.permitted)),
            ),
            "warning",
        )
        for one in judged
    ] or [text(say.EARS_NOT)]
    levels = [85 + 3 * step for step in range(12)]
    half = [
        [[f"{level}", minutes(8 * 3600.0 / 2 ** ((level - 85) / 3))] for level in part]
        for part in (levels[:6], levels[6:])
    ]
    wide = (style.LIVE_WIDTH - style.GUTTER) / 2
    heads = [num("dB(A)"), Column("A day, without protection")]
    return [
        *made,
        columns([[data_table(heads, part, total=wide)] for part in half]),
        gap(4),
        text(say.EARS_TABLE, "note"),
    ]


def playing_time(results: Results, fraction: float) -> str:
    """How long it plays with the engine off at the level nearest to ``fraction`` of rated output; empty if unknown."""
    rows = [one for one in results.budget.engine_off if one.seconds is not None]
    levels = {demand.name: demand.fraction for state in results.budget.states for demand in state.demands}
    row = min(rows, key=lambda one: abs(levels.get(one.name, 1.0) - fraction), default=None)
    return minutes(row.seconds) if row is not None else ""


def _idle(results: Results) -> str:
    state: EngineBudget | None = next((one for one in results.budget.states if one.state == "idle"), None)
    if state is None or not state.demands:
        return say.IDLE_DEFICIT.format(amps="an unknown number of")
    pairs_ = zip(state.demands, state.balances, strict=True)
    _, balance = min(pairs_, key=lambda pair: abs(pair[0].fraction - _FULL))
    return say.IDLE_BALANCED if balance >= 0.0 else say.IDLE_DEFICIT.format(amps=at_least(-balance))


def _rest(build: Build) -> str:
    starter = next((one for one in build.batteries.values() if one.starts_engine), None)
    chemistry = starter.chemistry if starter else "agm"
    if chemistry == "lto":
        return "as the workshop wrote down"
    low, high = (13.2, 13.4) if chemistry == "lifepo4" else (12.6, 12.8)
    return f"{low * _halves(build):g} to {high * _halves(build):g} V"


def _halves(build: Build) -> int:
    """Batteries of 12 V in series: two in a 24 V vehicle."""
    return max(1, round(build.vehicle.system.si / 12.0))


def _charging(build: Build) -> str:
    volts = [
        v.si for one in build.supplies.values() if one.kind == "alternator" for v in one.charging_voltage.values()
    ]
    if not volts:
        return f"{13.8 * _halves(build):g} to {14.6 * _halves(build):g} V"
    low, high = min(volts), max(volts)
    return (
        f"about {low:.1f} V" if high - low < 0.15 else f"{low:.1f} to {high:.1f} V, which is normal for this vehicle"
    )
