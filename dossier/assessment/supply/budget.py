"""Load budget: demand against supply by engine state and bus, energy over a drive, play with the engine stopped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from dossier.assessment.supply.demand import LEVELS, resting_volts
from dossier.assessment.supply.energy import (
    WARM,
    Hours,
    Passage,
    Reserves,
    floor_words,
    least,
    pass_hours,
    silent,
    stated,
)
from dossier.buildfile.model import Build
from dossier.equipment.amplifiers import DrivenAmplifier
from dossier.equipment.buses import Bus, buses, charged_together
from dossier.equipment.charging import ChargingSource
from dossier.equipment.installed import Installed, Running
from dossier.results.budget import BusBudget, DemandLevel, Drive, EngineBudget, EngineOff, LoadBudget

DRIVE_MINUTES: Final = 30.0  # a stated drive, not a standard: one fifth of it at idle
DRIVE_IDLE_SHARE: Final = 0.2
_FRACTIONS: Final = tuple(fraction for _, _, fraction in LEVELS)


def load_budget(
    build: Build, fit: Installed, runs: Mapping[str, Running], reserves: Reserves | None = None
) -> LoadBudget:
    """The whole budget of a build; ``runs`` has one entry per engine state."""
    found = reserves or Reserves(build, fit, runs["stopped"])
    states = _tagged(tuple(_state(build, fit, run) for run in runs.values()))
    peak = sum(a.input_at(1.0, a.rated_at.nominal)[1] for a in fit.amplifiers.values())
    volts = max((a.rated_at.nominal for a in fit.amplifiers.values()), default=build.vehicle.system.si)
    return LoadBudget(
        states=states,
        drives=_drives(build, fit, runs, states),
        engine_off=tuple(_engine_off(fit, found, name, share) for name, _, share in LEVELS[:2]),
        rated_input_w=peak,
        rated_input_a=peak / volts,
    )


def least_balance(build: Build, fit: Installed, run: Running, fraction: float) -> float:
    """What the bus with least has to spare [A] while every amplifier plays at ``fraction`` of its rated output."""
    return min(side.balance(fraction) for side in _sides(build, fit, run))


@dataclass(frozen=True)
class _Side:
    """What supplies charge together, and everything that draws there."""

    build: Build
    fit: Installed
    run: Running
    group: tuple[Bus, ...]
    sides: list[_Side]

    def holds(self, location: str) -> bool:
        return any(location in bus for bus in self.group)

    @cached_property
    def supplies(self) -> list[ChargingSource]:
        """Of those that run; a converter between two places of one side brings nothing."""
        here = [s for s in self.run.supplies if s.running and self.holds(s.at)]
        return [s for s in here if s.kind != "dc_dc" or not self.holds(s.input_from)]

    @cached_property
    def amplifiers(self) -> list[DrivenAmplifier]:
        return [a for a in self.fit.amplifiers.values() if self.holds(a.at)]

    @cached_property
    def base(self) -> float:
        return self.run.base.amperes.nominal if self.holds(self.run.base.at) else 0.0

    @cached_property
    def volts(self) -> float:
        """The set-point of what regulates here, a converter's where there is nothing else, else the rested voltage."""
        own = [s.set_point.nominal for s in self.supplies if s.kind != "dc_dc"]
        converted = [s.set_point.nominal for s in self.supplies]
        batteries = [b for b in self.fit.batteries.values() if self.holds(b.at)]
        return max(own or converted, default=resting_volts(batteries, self.build.vehicle.system.si))

    @cached_property
    def limit(self) -> float:
        return sum(s.limit.nominal for s in self.supplies)

    def audio(self, fraction: float) -> float:
        return sum(a.input_at(fraction, self.volts)[1] for a in self.amplifiers) / self.volts

    def passed_on(self, fraction: float) -> float:
        """What converters take from here [A]: all they can give where a battery takes it, else what is asked."""
        taken = 0.0
        for side in self.sides:
            asked = side.base + side.audio(fraction)
            for s in side.supplies:
                if s.kind != "dc_dc" or not self.holds(s.input_from):
                    continue
                charges = any(side.holds(b.at) for b in self.fit.batteries.values())
                share = 1.0 if charges else min(asked / side.limit, 1.0) if side.limit > 0.0 else 0.0
                watts = s.limit.nominal * share * side.volts
                taken += watts / (s.efficiency.nominal * self.volts)
        return taken

    def balance(self, fraction: float) -> float:
        return self.limit - self.base - self.passed_on(fraction) - self.audio(fraction)


def _sides(build: Build, fit: Installed, run: Running) -> list[_Side]:
    sides: list[_Side] = []
    for group in charged_together(buses(build, fit, run), run):
        sides.append(_Side(build, fit, run, group, sides))
    return sides


def _state(build: Build, fit: Installed, run: Running) -> EngineBudget:
    sides = _sides(build, fit, run)
    found = tuple(_bus(side) for side in sides)
    return EngineBudget(
        state=run.engine.state,
        engine_rpm=run.speed.nominal,
        buses=found,
        demands=tuple(
            DemandLevel(name, crest, share, sum(side.audio(share) for side in sides))
            for name, crest, share in LEVELS
        ),
        balances=tuple(min(one) for one in zip(*(bus.balances for bus in found), strict=True)),
    )


def _bus(side: _Side) -> BusBudget:
    places = tuple(location for bus in side.group for location in bus.locations)
    words = " + ".join(f"{s.title} {s.limit.nominal:.0f} A" for s in side.supplies)
    if not words:
        words = "batteries only" if any(side.holds(b.at) for b in side.fit.batteries.values()) else "none"
    return BusBudget(
        place=side.build.locations[side.group[0].place].title,
        tag="",
        locations=places,
        supply=side.limit,
        supply_words=words,
        base_load=side.base,
        passed_on=tuple(side.passed_on(share) for share in _FRACTIONS),
        volts=side.volts,
        demands=tuple(DemandLevel(name, crest, share, side.audio(share)) for name, crest, share in LEVELS),
        balances=tuple(side.balance(share) for share in _FRACTIONS),
    )


def _tagged(states: Sequence[EngineBudget]) -> tuple[EngineBudget, ...]:
    """Every bus with its letter, the same in all states; none where there is only one."""
    places = list(dict.fromkeys(bus.place for state in states for bus in state.buses))
    if len(places) < 2:
        return tuple(states)
    letters = {place: _letter(index) for index, place in enumerate(places)}
    return tuple(
        replace(state, buses=tuple(replace(bus, tag=letters[bus.place]) for bus in state.buses))
        for state in states
    )


def _letter(index: int) -> str:
    return chr(ord("A") + index) if index < 26 else f"{_letter(index // 26 - 1)}{_letter(index % 26)}"


def _drives(
    build: Build, fit: Installed, runs: Mapping[str, Running], states: Sequence[EngineBudget]
) -> tuple[Drive, ...]:
    """What a drive puts into the batteries of every bus; buses that are one in either state are counted as one."""
    idle, cruise = (next(s for s in states if s.state == name) for name in ("idle", "cruise"))
    seconds = DRIVE_MINUTES * 60.0
    made = []
    through_idle = pass_hours(
        [
            Passage(Hours(build, fit, runs["idle"], fraction), stated(fit), DRIVE_IDLE_SHARE * seconds)
            for fraction in _FRACTIONS
        ]
    )
    on_the_road = pass_hours(
        [
            Passage(Hours(build, fit, runs["cruise"], fraction), gone.charges, (1.0 - DRIVE_IDLE_SHARE) * seconds)
            for fraction, gone in zip(_FRACTIONS, through_idle, strict=True)
        ]
    )
    for (name, _, _), idled, driven in zip(LEVELS, through_idle, on_the_road, strict=True):
        for together in _joined(idle.buses, cruise.buses):
            there = [id_ for id_, b in fit.batteries.items() if b.at in together]
            if not there:
                continue
            named = next(b for b in cruise.buses if set(b.locations) & together)
            made.append(
                Drive(
                    words=f"{DRIVE_MINUTES:.0f} minutes, {DRIVE_IDLE_SHARE * 100:.0f} % of them at idle, {name}",
                    place=named.place if named.tag else "",
                    duration=seconds,
                    charge=sum(gone.stored[id_] for gone in (idled, driven) for id_ in there),
                )
            )
    return tuple(made)


def _joined(idle: Iterable[BusBudget], cruise: Iterable[BusBudget]) -> list[set[str]]:
    groups: list[set[str]] = []
    for bus in (*cruise, *idle):
        mine = set(bus.locations)
        touching = [group for group in groups if group & mine]
        groups = [group for group in groups if not group & mine]
        groups.append(mine.union(*touching))
    return groups


def _engine_off(fit: Installed, found: Reserves, name: str, fraction: float) -> EngineOff:
    """Time until the first of the batteries that feed something may give no more."""
    hours, gone = found.down[fraction, WARM]
    unfed = silent(hours, gone.first) if gone.first is not None else list(fit.amplifiers)
    mute = f"; {' and '.join(fit.amplifiers[id_].title for id_ in unfed)}: no battery feeds it then" if unfed else ""
    drawn = sum(max(amperes, 0.0) for amperes in gone.given.values())
    if len(unfed) == len(fit.amplifiers):
        return EngineOff(name, drawn, None, f"no battery feeds the amplifiers with the engine stopped{mute}", False)
    down = fit.batteries.get(gone.down)
    if down is None:
        words = f"an amplifier gets too little voltage and shuts itself down before any battery is at its floor{mute}"
        return EngineOff(name, drawn, gone.seconds, words, any(b.starts_engine for b in fit.batteries.values()))
    return EngineOff(
        name,
        gone.given[down.id],
        gone.seconds,
        floor_words(down) + mute,
        down.starts_engine,
        f"batteries.{down.id}",
        least(down),
    )
