"""Load budget: demand against supply by engine state, energy over a drive, play with the engine stopped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from dossier.buildfile.model import Build
from dossier.electrical import amplifiers as law
from dossier.electrical import batteries
from dossier.equipment.amplifiers import DrivenAmplifier
from dossier.equipment.fitted import Fitted, Running
from dossier.equipment.storage import StorageBattery
from dossier.reference.defaults import DEFAULTS
from dossier.results.budget import DemandLevel, Drive, EngineBudget, EngineOff, LoadBudget

# The trade's words for mean output over full sine output; crest factor of the signal = 3.01 dB - 10 lg(fraction).
LEVELS = (
    ("music, 1/8 power", 12.0, 1.0 / 8.0),
    ("heavy bass, 1/3 power", 7.8, 1.0 / 3.0),
    ("full sine tone", 3.0, 1.0),
)
DRIVE_MINUTES = 30.0  # a stated drive, not a standard: one fifth of it at idle
DRIVE_IDLE_SHARE = 0.2


def input_watts(amplifier: DrivenAmplifier, fraction: float) -> float:
    """Mean input power at a mean output of ``fraction`` of rated [W], at its rated supply voltage."""
    if amplifier.too_low:
        return amplifier.idle.nominal
    output, efficiency, idle = amplifier.output.nominal, amplifier.efficiency.nominal, amplifier.idle.nominal
    if amplifier.output_class == "ab":
        return law.class_ab_input_power(output * fraction, output, efficiency, idle)
    return law.input_power(output * fraction, efficiency, idle)


def load_budget(build: Build, fit: Fitted, runs: Mapping[str, Running]) -> LoadBudget:
    """The whole budget of a build; ``runs`` has one entry per engine state."""
    states = tuple(_state(build, fit, run) for run in runs.values())
    peak = sum(input_watts(a, 1.0) for a in fit.amplifiers.values())
    volts = max((a.rated_at.nominal for a in fit.amplifiers.values()), default=build.vehicle.system.si)
    return LoadBudget(
        states=states,
        drives=_drives(states),
        engine_off=tuple(
            _engine_off(build, fit, runs["stopped"], name, fraction) for name, _, fraction in LEVELS[:2]
        ),
        peak_input_w=peak,
        peak_input_a=peak / volts,
    )


def _state(build: Build, fit: Fitted, run: Running) -> EngineBudget:
    charging = [s for s in run.supplies if s.running and s.kind != "dc_dc"]
    if charging:
        volts = max(s.set_point.nominal for s in charging)
        supply = sum(s.limit.nominal for s in charging)
        words = " + ".join(f"{s.title} {s.limit.nominal:.0f} A" for s in charging)
    else:
        volts = resting_volts(fit.batteries.values(), build.vehicle.system.si)
        supply, words = 0.0, "batteries only"
    demands = tuple(
        DemandLevel(
            name, crest, fraction, sum(input_watts(a, fraction) for a in fit.amplifiers.values()) / volts
        )
        for name, crest, fraction in LEVELS
    )
    base = run.base.amperes.nominal
    return EngineBudget(
        state=run.engine.state,
        engine_rpm=run.speed.nominal,
        supply=supply,
        supply_words=words,
        base_load=base,
        volts=volts,
        demands=demands,
        balances=tuple(supply - base - d.amperes for d in demands),
    )


def resting_volts(fitted_batteries: Iterable[StorageBattery], system: float) -> float:
    """Rested voltage of the batteries, the mean of them; the nominal system voltage where there is none [V]."""
    rests = [b.open_circuit.nominal for b in fitted_batteries]
    return sum(rests) / len(rests) if rests else system


def _drives(states: tuple[EngineBudget, ...]) -> tuple[Drive, ...]:
    idle = next(s for s in states if s.state == "idle")
    cruise = next(s for s in states if s.state == "cruise")
    seconds = DRIVE_MINUTES * 60.0
    return tuple(
        Drive(
            words=f"{DRIVE_MINUTES:.0f} minutes, {DRIVE_IDLE_SHARE * 100:.0f} % of them at idle, {level[0]}",
            duration=seconds,
            charge=seconds
            * (DRIVE_IDLE_SHARE * idle.balances[k] + (1.0 - DRIVE_IDLE_SHARE) * cruise.balances[k]),
        )
        for k, level in enumerate(LEVELS)
    )


def _engine_off(build: Build, fit: Fitted, run: Running, name: str, fraction: float) -> EngineOff:
    """Peukert time from the present state of charge down to the reserve for the starter.

    A battery behind an open coupling or a converter serves by itself; the sum over batteries is only as good as
    their sharing, so the batteries are taken together at the weighted mean of their Peukert exponents.
    """
    volts = resting_volts(fit.batteries.values(), build.vehicle.system.si)
    amperes = (
        run.base.amperes.nominal + sum(input_watts(a, fraction) for a in fit.amplifiers.values()) / volts
    )
    if not fit.batteries:
        return EngineOff(name, amperes, None, "no battery: a capacitor bank alone lasts seconds")
    reserve = DEFAULTS["battery.starter_reserve"]
    charge = usable = weighted = 0.0
    for b in fit.batteries.values():
        charge += b.charge.nominal
        usable += b.charge.nominal * max(b.charge_state.nominal - reserve.typical, 0.0)
        weighted += b.charge.nominal * DEFAULTS[f"{b.chemistry}.peukert"].typical
    exponent = weighted / charge
    seconds = batteries.engine_off_time(charge, amperes, exponent, usable / charge, 0.0)
    titles = " and ".join(b.title for b in fit.batteries.values())
    return EngineOff(
        name,
        amperes,
        seconds,
        f"{titles}: down to {reserve.typical * 100:.0f} % of capacity, which is left for the starter; "
        f"Peukert exponent {exponent:.2f}",
    )
