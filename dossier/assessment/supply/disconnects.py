"""The switch that makes a store dead: opened, it leaves the store alone with nothing that takes or gives current."""

from __future__ import annotations

from collections.abc import Iterable

from dossier.buildfile.model import Build
from dossier.buildfile.tags import base_load_at


def disconnect_of(build: Build, kind: str, store: str) -> str:
    """Id of the switch of the build file that isolates a store; empty where only its own terminal does.

    Args:
        build: what is fitted.
        kind: ``batteries`` or ``capacitor_banks``.
        store: its id there.
    """
    home = getattr(build, kind)[store].at
    for one in build.couplings.values():
        if one.kind != "switch":
            continue
        reached = _reached(build, home, one.id)
        others = {where for of, key, where in _standing(build) if (of, key) != (kind, store)}
        if len(reached & {one.start, one.end}) == 1 and not reached & others:
            return one.id
    return ""


def _reached(build: Build, home: str, opened: str) -> set[str]:
    """Locations joined to ``home`` with one coupling open, every other closed."""
    joined = [{c.start, c.end} for c in build.cables.values() if c.role == "feed"]
    joined += [{c.start, c.end} for c in build.couplings.values() if c.id != opened]
    joined += [{s.input_from, s.at} for s in build.supplies.values() if s.input_from]
    reached, before = {home}, set[str]()
    while reached != before:
        before = set(reached)
        reached = reached.union(*(pair for pair in joined if pair & reached))
    return reached


def _standing(build: Build) -> Iterable[tuple[str, str, str]]:
    """Everything with a place on a positive: of what kind, its id, and where."""
    for kind in ("batteries", "capacitor_banks", "amplifiers", "supplies"):
        for one in getattr(build, kind).values():
            yield kind, one.id, one.at
    yield "vehicle", "", base_load_at(build)
