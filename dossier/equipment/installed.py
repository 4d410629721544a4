"""Everything that is fitted, in one engine state, with every number stated or assumed."""

from __future__ import annotations

from collections.abc import Mapping

from dossier.buildfile.model import Build, Engine
from dossier.equipment.amplifiers import DrivenAmplifier, driven_amplifiers
from dossier.equipment.charging import ChargingSource, charging_sources, engine_speed
from dossier.equipment.conductors import Conductor, InstalledCoupling, conductors_of, installed_couplings
from dossier.equipment.storage import Bank, StorageBattery, banks, storage_batteries
from dossier.equipment.value import Subject, Value
from dossier.frozen import dataclass

BASE_LOAD_VOLTS = 13.5  # at which base loads of a 12 V system are stated; NREL load library columns


@dataclass(frozen=True, slots=True)
class BaseLoad:
    """The vehicle's own load in one engine state: where it hangs, and how many amperes it takes at ``volts`` [V]."""

    at: str
    amperes: Value
    volts: float = BASE_LOAD_VOLTS


@dataclass(frozen=True, slots=True)
class Installed:
    """What does not depend on the engine state."""

    batteries: Mapping[str, StorageBattery]
    banks: Mapping[str, Bank]
    amplifiers: Mapping[str, DrivenAmplifier]
    conductors: Mapping[str, Conductor]
    couplings: Mapping[str, InstalledCoupling]


@dataclass(frozen=True, slots=True)
class Running:
    """What depends on the engine state."""

    engine: Engine
    speed: Value
    supplies: tuple[ChargingSource, ...]
    base: BaseLoad


def installed(build: Build) -> Installed:
    """Every device of the build with its numbers."""
    return Installed(
        storage_batteries(build), banks(build), driven_amplifiers(build), conductors_of(build),
        installed_couplings(build),
    )


def running(build: Build, engine: Engine) -> Running:
    """Supplies and base load in one engine state."""
    return Running(engine, engine_speed(build, engine), charging_sources(build, engine), base_load(build, engine))


def home(build: Build) -> str:
    """Location of the battery that starts the engine, or of the first source there is."""
    starters = [b.at for b in build.batteries.values() if b.starts_engine]
    every = starters + [b.at for b in build.batteries.values()]
    every += [c.at for c in build.capacitor_banks.values()] + [s.at for s in build.supplies.values()]
    return every[0]


def base_load(build: Build, engine: Engine) -> BaseLoad:
    """The vehicle's own load in one engine state."""
    scale = build.vehicle.over_12_v
    who = Subject("vehicle.base_load", "Vehicle", scale)
    words = {"stopped": "stopped", "auto_stop": "auto-stop", "idle": "idle", "cruise": "while driving"}[engine.state]
    amperes = who.pick(
        build.vehicle.base_load.get(engine.state),
        engine.state,
        f"the vehicle's own load, {words}",
        "A",
        f"vehicle.base.{engine.state}",
        spread=0.2,
    )
    return BaseLoad(build.vehicle.base_load_at or home(build), amperes, BASE_LOAD_VOLTS * scale)
