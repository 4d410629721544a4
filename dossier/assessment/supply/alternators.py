"""Alternators: speed against its limit, power taken from the engine, belt after a change of pulley, sharing of two."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from math import pi
from typing import Final

from dossier.buildfile.model import Build, Engine, Supply
from dossier.electrical import alternators as law
from dossier.electrical import mechanics
from dossier.equipment.charging import charging_sources
from dossier.equipment.feeding import joined
from dossier.equipment.installed import Running
from dossier.equipment.value import Subject
from dossier.results.charging import AlternatorRow, SharingRow, SpeedRow

UNEQUAL_V: Final = 0.2  # usual difference of two set-points where none is stated; trade notes, not checked


def alternator_rows(build: Build, states: Mapping[str, Running]) -> tuple[AlternatorRow, ...]:
    """Every alternator at idle, cruise and redline."""
    rows = []
    for supply in build.supplies.values():
        if supply.kind != "alternator":
            continue
        who = Subject(f"supplies.{supply.id}", supply.title)
        ratio = who.pick(
            supply.pulley_ratio, "pulley_ratio", "pulley ratio", "", "alternator.pulley_ratio", spread=0.01
        ).nominal
        limit = who.pick(
            supply.maximum_speed,
            "maximum_speed",
            "highest shaft speed",
            "r/min",
            "alternator.maximum_speed",
            spread=0.0,
        )
        engines = [("idle", states["idle"].speed.nominal), ("cruise", states["cruise"].speed.nominal)]
        if build.vehicle.redline:
            engines.append(("redline", build.vehicle.redline.si))
        change, words = _belt(supply)
        rows.append(
            AlternatorRow(
                supply.id,
                supply.title,
                ratio,
                limit.nominal if supply.maximum_speed else limit.low,
                supply.maximum_speed is not None,
                tuple(_speed(build, supply, state, rpm, ratio) for state, rpm in engines),
                change,
                words,
            )
        )
    return tuple(rows)


def _speed(build: Build, supply: Supply, state: str, rpm: float, ratio: float) -> SpeedRow:
    from dossier.buildfile.model import Quantity

    engine = Engine("cruise", Quantity(rpm, "", "")) if state == "redline" else Engine(state, None)
    source = next(s for s in charging_sources(build, engine) if s.id == supply.id)
    output = source.limit.nominal
    eta = supply.efficiency.si if supply.efficiency else law.efficiency(rpm * ratio, 1.0)
    mechanical = law.mechanical_power(source.set_point.nominal, output, eta)
    return SpeedRow(
        state, rpm, rpm * ratio, output, eta, mechanical, law.engine_torque(mechanical, rpm) if rpm else 0.0
    )


def _belt(supply: Supply) -> tuple[float | None, str]:
    """Change of belt length for a changed pulley [m], and how it was found."""
    belt = supply.belt
    if belt is None or belt.replaced_pulley is None:
        return None, ""
    new, old = belt.pulley.si, belt.replaced_pulley.si
    if belt.crank_pulley and belt.centres and belt.wrap is None:
        change = mechanics.belt_change(belt.crank_pulley.si, old, new, belt.centres.si)
        wrap = mechanics.wrap_angle(new, belt.crank_pulley.si, belt.centres.si)
        return change, f"open belt over two pulleys, wrap {wrap * 180.0 / pi:.0f}°"
    if belt.wrap:
        change = mechanics.belt_change_from_wrap(old, new, belt.wrap.si * pi / 180.0)
        return change, f"belt over several pulleys, wrap {belt.wrap.si:.0f}° as stated"
    return None, "crank pulley and centre distance, or the wrap, are needed for the belt"


def sharing(build: Build, states: Mapping[str, Running]) -> tuple[SharingRow, ...]:
    """Every pair of alternators on one bus: unequal set-points over the two droops."""
    run = states["cruise"]
    pairs = combinations([s for s in run.supplies if s.kind == "alternator" and s.running], 2)
    rows = []
    for one, other in pairs:
        if other.at not in joined(build, one.at):
            continue
        stated = abs(one.set_point.nominal - other.set_point.nominal)
        spread = (one.set_point.high - one.set_point.low + other.set_point.high - other.set_point.low) / 2.0
        volts = stated if stated > 0.0 else min(UNEQUAL_V, spread)
        ohms = one.slope.nominal + other.slope.nominal
        amperes = min(volts / ohms, max(one.limit.nominal, other.limit.nominal))
        why = "their set-points as stated" if stated > 0.0 else "what equal set-points may differ by"
        rows.append(SharingRow(one.title, other.title, volts, ohms, amperes, why))
    return tuple(rows)
