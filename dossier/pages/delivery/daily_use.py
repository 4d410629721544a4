"""Living with it: how long it plays, what the display shows, what to do when something is wrong, hearing."""

from __future__ import annotations

import math
from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.section import Stamp
from dossier.pages.words import at_least, at_most, fixed, minutes, name, place_of, word
from dossier.pdf.flow import gap, heading, text, together
from dossier.pdf.lists import listed
from dossier.pdf.tables import Column, columns, data_table, num
from dossier.pdf.text import plain
from dossier.reader.wording import lines, rows_of, say
from dossier.reference.batteries import LITHIUM
from dossier.reference.exposure import NIOSH
from dossier.results.budget import EngineBudget, EngineOff
from dossier.results.overview import DailyVolts, Results
from dossier.results.protection import Reply
from dossier.results.recorded import Heard, SoundRow

_LEVELS: Final = (0.2, 0.5, 1.0)  # of rated output, up to which a level has its name
ORDINARY: Final = 0.125  # of rated output, the mean of music just below clipping (12 dB crest)
_FULL: Final = 0.25  # of rated output, the mean of loud music (9 dB crest)


def daily_use(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Everyday use and warning signs."""
    if is_stopped(results):
        return [text(say("customer.living_stopped"))]
    off, full = playing_time(results, ORDINARY), playing_time(results, _FULL)
    volts = results.daily
    assert volts is not None  # results of a whole assessment
    words = {
        "off": off or say("customer.for_a_time_that_is_not"),
        "off_full": full or say("customer.much_shorter"),
        "then": afterwards(build, results),
        "idle": _idle(results),
        "rest": _rest(volts),
        "counted": _counted(volts),
        "charging": _charging(volts),
        "low": f"{volts.turn_down:.3g} V",
        "lowest": f"{volts.switch_off:.3g} V",
    }
    return [
        _lines([[head, line.format(**words)] for head, line in rows_of("customer.living_lines")]),
        *_levels(results),
        together(
            heading(say("customer.signs"), 2, "customer-signs"), *listed(lines("customer.signs_lines"), "item_large")
        ),
    ]


def care(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Fuses, jump start, charging, winter, and what must never be changed without the workshop."""
    if is_stopped(results):
        return [_never(results)]
    standing = min((one.days for one in results.storage.standing if one.starts), default=None)
    stands = (
        say("customer.standing", days=at_most(standing)) if standing is not None else say("customer.standing_unknown")
    )
    care = [[head, line.format(standing=stands)] for head, line in rows_of("customer.care_lines")]
    if any(one.chemistry in LITHIUM for one in build.batteries.values()):
        care.append([say("customer.cold"), say("customer.lithium_cold")])
    care.append(list(lines("customer.care_sale")))
    fuses = [
        [
            name(cable.title)
            + (say("customer.each_of", runs=cable.runs) if cable.runs > 1 and not fuse.shared else ""),
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
            heading(say("customer.fuses"), 2, "customer-fuses"),
            data_table(
                [
                    Column(say("customer.in_the_cable"), row_head=True, share=1.4),
                    Column(say("columns.where")),
                    Column(say("columns.style"), share=0.6),
                    num(say("columns.rating_a")),
                ],
                fuses,
            ),
        ]
    return [*made, _never(results)]


def _never(results: Results) -> Any:
    """What asks for the workshop; that the fuses protect the cables only where every one was found to."""
    fuses = results.protection.fuses
    protected = bool(fuses) and all(one.protects.verdict is Reply.YES for one in fuses) and not is_stopped(results)
    return together(
        heading(say("customer.never"), 2, "customer-never"),
        text(say("customer.never_words" if protected else "customer.never_bare")),
        *listed(lines("customer.never_lines"), "item_large"),
    )


def is_stopped(results: Results) -> bool:
    """Whether a stop is open: then nothing is said that would lead to using the system."""
    return any(one.severity is Severity.STOP for one in results.findings)


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
    names_of = list(zip(_LEVELS, lines("customer.levels_names"), strict=True))
    for fraction in sorted(balances):
        title = next((words for most, words in names_of if fraction <= most), "")
        row = balances[fraction]
        if title:
            time = minutes(off[fraction]) if off.get(fraction) is not None else say("customer.levels_none")
            rows.append([title, time, *(_ampere(row.get(state)) for state in ("idle", "cruise"))])
    if not rows:
        return []
    by_starter = any(one.starts for one in results.budget.engine_off)
    until = say("customer.levels_until_starter") if by_starter else say("customer.levels_until_other")
    heads = [words.format(until=until) for words in lines("customer.levels_heads")]
    table = data_table([Column(heads[0], row_head=True), num(heads[1]), num(heads[2]), num(heads[3])], rows)
    return [
        together(
            heading(say("customer.levels"), 2, "customer-levels"), table, text(say("customer.levels_words"), "note")
        )
    ]


def _ampere(balance: float | None) -> str:
    """A balance on the safe side: less gained, more lost."""
    return fixed(None if balance is None else math.floor(balance), 0, sign=True)


def _lines(rows: list[list[str]]) -> Any:
    return data_table(
        [Column("", row_head=True, share=0.22, style="cell_large_strong"), Column("", share=0.78, style="cell_large")],
        rows,
        head=False,
    )


def hearing(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Minutes for the levels that were measured, or the table everybody should know."""
    judged = [one for one in results.recorded.sound if one.permitted]
    made: list[Any] = [text(_heard(one), "warning") for one in judged] or [text(say("customer.ears_not"))]
    levels = [85 + 3 * step for step in range(12)]
    half = [[[f"{level}", minutes(NIOSH.seconds(level))] for level in part] for part in (levels[:6], levels[6:])]
    wide = (style.LIVE_WIDTH - style.GUTTER) / 2
    heads: list[Column[Any]] = [num(say("customer.db_a")), Column(say("customer.a_day_without_protection"))]
    return [
        *made,
        gap(5),
        columns([[data_table(heads, part, total=wide)] for part in half]),
        gap(4),
        text(say("customer.ears_table"), "note"),
    ]


def _heard(one: SoundRow) -> str:
    """What was measured; a bass tone promises no time for music."""
    position, level = plain(one.position, 80), at_least(one.a_weighted)
    if one.over_peak:
        return say("customer.ears_over", peak=at_least(one.peak), position=position)
    if one.signal is Heard.TONE:
        return say("customer.ears_measured", level=level, position=position)
    return say("customer.ears_music", level=level, position=position)


def playing_time(results: Results, fraction: float) -> str:
    """How long it plays with the engine off at the level nearest to ``fraction`` of rated output; empty if unknown."""
    row = _engine_off(results, fraction)
    return minutes(row.seconds) if row is not None else ""


def afterwards(build: Build, results: Results) -> str:
    """What it means when that time is over: the engine may not start, or another battery gives out first."""
    rows = [one for one in (_engine_off(results, ORDINARY), _engine_off(results, _FULL)) if one is not None]
    if not rows or any(one.starts for one in rows):
        return say("customer.off_then_starter")
    known = any(one.starts_engine for one in build.batteries.values())
    return say("customer.off_then_other") if known else say("customer.off_then_unknown")


def _engine_off(results: Results, fraction: float) -> EngineOff | None:
    rows = [one for one in results.budget.engine_off if one.seconds is not None]
    levels = {demand.name: demand.fraction for state in results.budget.states for demand in state.demands}
    return min(rows, key=lambda one: abs(levels.get(one.name, 1.0) - fraction), default=None)


def _idle(results: Results) -> str:
    state: EngineBudget | None = next((one for one in results.budget.states if one.state == "idle"), None)
    if state is None or not state.demands:
        return say("customer.idle_deficit", amps=say("customer.an_unknown_number_of"))
    usual, full = _balance(state, ORDINARY), _balance(state, _FULL)
    if usual < 0.0 and usual > full:
        return say("customer.idle_never", usual=at_least(-usual), amps=at_least(-full))
    if full < 0.0:
        return say("customer.idle_deficit" if usual < 0.0 else "customer.idle_usual_only", amps=at_least(-full))
    return say("customer.idle_balanced")


def _balance(state: EngineBudget, fraction: float) -> float:
    """What the alternator has left [A] at the level nearest to ``fraction`` of rated output."""
    levels = zip(state.demands, state.balances, strict=True)
    return min(levels, key=lambda one: abs(one[0].fraction - fraction))[1]


def _rest(volts: DailyVolts) -> str:
    if volts.rest_low is None:
        return say("customer.as_the_workshop_wrote_down")
    return say("customer.to_v", low=f"{volts.rest_low:.3g}", high=f"{volts.rest_high:.3g}")


def _counted(volts: DailyVolts) -> str:
    """Why the record has less at rest than a full battery, if it has."""
    return say("customer.counted_at", volts=f"{volts.counted:.1f}") if volts.counted is not None else ""


def _charging(volts: DailyVolts) -> str:
    low, high = volts.charging_low, volts.charging_high
    if not volts.charging_stated:
        return say("customer.usual_charging", low=f"{low:.3g}", high=f"{high:.3g}")
    if (least := f"{low:.1f}") == (most := f"{high:.1f}"):
        return say("customer.about_v", low=least)
    return say("customer.to_v_which_is_normal_for", low=least, high=most)
