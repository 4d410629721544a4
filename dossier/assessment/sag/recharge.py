"""The standard case that nobody has to write: after play with the engine off it starts and the music goes on."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Final

from dossier.assessment.sag.full_level_tone import DEFAULT_TONE_HZ
from dossier.assessment.sag.load_cases import Played, play
from dossier.assessment.supply.demand import LEVELS
from dossier.assessment.supply.energy import (
    WARM,
    Charges,
    Hours,
    Passage,
    Reserves,
    accepted,
    charging_ohms,
    pass_hours,
    stated,
)
from dossier.buildfile.model import Build, LoadCase, Quantity, Signal
from dossier.buildfile.source import BuildFileError
from dossier.electrical import batteries as law
from dossier.equipment.installed import Installed, Running
from dossier.equipment.storage import StorageBattery
from dossier.results.storage import NoRecharge, RechargeCase, RechargeSource

TITLE: Final = "Recharge on the road after play down to the reserve, music going on (standard case)"
MUSIC: Final = LEVELS[0][2]
SOUND_S: Final = 5.0  # s that are simulated; what flows then counts for as long as it takes to put the charge back
LEAST_S: Final = 60.0  # s for which it counts at least
LONGEST_S: Final = 86400.0
LEAST_A: Final = 1.0  # into all batteries together; less is no recharge


def recharge(build: Build, fit: Installed, road: Running, reserves: Reserves) -> Played | NoRecharge:
    """The batteries as the play at 1/8 power left them, the engine at cruise, music at 1/8 power.

    Currents are those of the first seconds, with batteries that accept as much as the high end of what is assumed;
    they count for as long as the charge would take at them.
    """
    if not fit.batteries:
        return NoRecharge.NO_BATTERY
    if not any(s.running and s.limit.nominal > 0.0 for s in road.supplies):
        return NoRecharge.NO_SUPPLY
    _, gone = reserves.down[MUSIC, WARM]
    if not gone.down:
        return NoRecharge.NOT_RUN_DOWN
    (back,) = pass_hours([Passage(Hours(build, fit, road, MUSIC), gone.charges, LONGEST_S, until=stated(fit))])
    put = sum(max(moved, 0.0) for moved in back.stored.values())
    tired = replace(fit, batteries=MappingProxyType({id_: _at(b, gone.charges) for id_, b in fit.batteries.items()}))
    try:
        played = play(build, tired, road, _case(road))
    except BuildFileError:
        return NoRecharge.NO_OPERATING_POINT
    taken = sum(max(-s.mean_a, 0.0) for s in played.result.sources if s.kind == "battery")
    if taken < LEAST_A:
        return NoRecharge.NO_CURRENT
    seconds = min(max(put / taken, LEAST_S), LONGEST_S)
    return Played(
        played.result,
        {id_: replace(c, seconds=seconds) for id_, c in played.currents.items()},
        {id_: replace(c, seconds=seconds) for id_, c in played.couplings.items()},
    )


def recharge_case(road: Running, again: Played | NoRecharge) -> RechargeCase | NoRecharge:
    """What every source gives or takes in the standard case of recharging, and which of the supplies give all."""
    if isinstance(again, NoRecharge):
        return again
    limits = {f"supplies.{s.id}": s.limit.nominal for s in road.supplies if s.running}
    return RechargeCase(
        title=again.result.title,
        seconds=max(c.seconds for c in again.currents.values()),
        sources=tuple(RechargeSource(s.id, s.title, s.mean_a, limits.get(s.id)) for s in again.result.sources),
    )


def _case(road: Running) -> LoadCase:
    tone = Quantity(DEFAULT_TONE_HZ, f"{DEFAULT_TONE_HZ:g} Hz", "")
    signal = Signal(tone=tone, duration=Quantity(SOUND_S, f"{SOUND_S:g} s", ""))
    level = Quantity(MUSIC, "-9 dB", "")
    return LoadCase(id="recharge", title=TITLE, engine=road.engine, signal=signal, level=level, amplifiers=())


def _at(battery: StorageBattery, charges: Charges) -> StorageBattery:
    """The battery as it was left."""
    charge, own, warmth = charges[battery.id], battery.charge_state.nominal, battery.temperature.nominal
    volts = [law.open_circuit_voltage(battery.chemistry, x, battery.cells, warmth) for x in (charge, own)]
    rests = battery.open_circuit.mapped(lambda v: v + volts[0] - volts[1])
    most = accepted(battery, charge, warmth, most=True)
    ohms = charging_ohms(battery, charge, rests.nominal, most)
    return replace(
        battery,
        charge_state=battery.charge_state.mapped(lambda _: charge),
        open_circuit=rests,
        charging=battery.charging and battery.charging.mapped(lambda r: min(r, ohms)),
    )
