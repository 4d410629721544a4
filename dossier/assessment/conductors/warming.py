"""Warm metal fed back: a load case is played again where its own heat raises the resistance of its conductors."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from dossier.assessment.conductors.heating import added_resistance, assumed_metal, reached
from dossier.assessment.conductors.schedule import allowed_current
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.assessment.sag.load_cases import Played
from dossier.buildfile.model import LoadCase
from dossier.equipment.installed import Installed
from dossier.results.sag import WarmMetal

WORTH_REPEATING_V: Final = 0.02  # change of drop, of all conductors together, above which a case is played again
MOST_REPEATS: Final = 4

Play = Callable[[Installed, LoadCase], Played]


def played_warm(play: Play, fit: Installed, cases: Sequence[LoadCase]) -> tuple[Played, ...]:
    """Every load case with its conductors as warm as it makes them.

    A fixed point: play, heat, and play again with the resistance at the temperature that was reached, as long as that
    changes the drops of a case by more than 20 mV in all. Nothing is taken as cooler than 15 K above its air, and a
    note has from its beginning the resistance it ends with: both the high side for sag. No repeat makes metal cooler.

    Args:
        play: plays one load case with some devices.
        fit: the devices, their conductors 15 K above the air.
        cases: the load cases.
    """
    done = [play(fit, case) for case in cases]
    counted: list[Mapping[str, float]] = [{} for _ in cases]
    for _ in range(MOST_REPEATS):
        metals = [_metals(fit, done, k, counted[k]) for k in range(len(done))]
        late = [k for k in range(len(done)) if _shift(fit, done[k], counted[k], metals[k]) > WORTH_REPEATING_V]
        if not late:
            break
        for k in late:
            counted[k] = metals[k]
            done[k] = _marked(play(with_metal(fit, _warm(fit, metals[k])), cases[k]), metals[k])
    return tuple(
        replace(p, result=replace(p.result, warm_metal=_warm(fit, metals))) if metals else p
        for p, metals in zip(done, counted, strict=True)
    )


def with_metal(fit: Installed, warm: Sequence[WarmMetal]) -> Installed:
    """The same devices, some conductors with the resistance of their warm metal; its bands grow with it."""
    if not warm:
        return fit
    changed = dict(fit.conductors)
    for one in warm:
        conductor = changed[one.cable]
        if conductor.wire is not None:
            factor = 1.0 + one.added / conductor.wire.nominal
            changed[one.cable] = replace(conductor, wire=conductor.wire.scaled(factor))
    return replace(fit, conductors=MappingProxyType(changed))


def _metals(fit: Installed, done: Sequence[Played], k: int, counted: Mapping[str, float]) -> dict[str, float]:
    """Temperature of every conductor with metal of its own in one load case [degC], never below the one counted."""
    found = {}
    for id_, conductor in fit.conductors.items():
        if conductor.wire is None:
            continue
        currents = tuple(p.currents[id_] for p in done)
        now = reached(conductor, allowed_current(conductor), currents, currents[k])
        found[id_] = max(now, counted.get(id_, assumed_metal(conductor)))
    return found


def _shift(fit: Installed, played: Played, before: Mapping[str, float], after: Mapping[str, float]) -> float:
    """Change of all drops together at the peak currents [V]."""
    total = 0.0
    for id_, metal in after.items():
        conductor = fit.conductors[id_]
        old = before.get(id_, assumed_metal(conductor))
        change = added_resistance(conductor, metal) - added_resistance(conductor, old)
        total += abs(change) * played.currents[id_].peak
    return total


def _warm(fit: Installed, metals: Mapping[str, float]) -> tuple[WarmMetal, ...]:
    rows = []
    for id_, metal in metals.items():
        conductor = fit.conductors[id_]
        if metal > assumed_metal(conductor):
            added = added_resistance(conductor, metal)
            rows.append(WarmMetal(id_, conductor.cable.title, assumed_metal(conductor), metal, added))
    return tuple(rows)


def _marked(played: Played, metals: Mapping[str, float]) -> Played:
    """The same with the temperature that each conductor's metal was given."""

    def marked(id_: str, current: ConductorCurrent) -> ConductorCurrent:
        return replace(current, metal=metals[id_]) if id_ in metals else current

    return replace(played, currents={id_: marked(id_, c) for id_, c in played.currents.items()})
