"""The engine states a build is looked at in, and their words."""

from __future__ import annotations

from dossier.buildfile.model import Build, Engine

WORDS = {"stopped": "stopped", "auto_stop": "stopped by start-stop", "idle": "idle", "cruise": "cruise"}


def states_of(build: Build) -> tuple[Engine, ...]:
    """Stopped, idle and cruise, and auto-stop where the build file knows it."""
    names = ["stopped", "idle", "cruise"]
    asked = {case.engine.state for case in build.load_cases.values()} | set(build.vehicle.base_load)
    if "auto_stop" in asked:
        names.insert(1, "auto_stop")
    return tuple(Engine(name, None) for name in names)


def engine_words(engine: Engine, rpm: float) -> str:
    """For print: ``cruise, 2200 r/min``."""
    if rpm <= 0.0:
        return WORDS[engine.state]
    name = "running" if engine.speed is not None else WORDS[engine.state]
    return f"{name}, {rpm:.0f} r/min"
