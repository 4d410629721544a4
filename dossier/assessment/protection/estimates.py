"""Estimates behind a remedy: what a changed conductor would carry, and how a change reads as a patch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import sqrt
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.protection.prospective import FaultNet, FaultNets
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.buildfile.model import Build, Fuse
from dossier.electrical.prospective import VoltageSource
from dossier.equipment.installed import Installed
from dossier.findings.rule import Examined
from dossier.frozen import dataclass
from dossier.results.sag import LoadCaseResult, OutcomeKind

FED: Final = (OutcomeKind.HOLDS, OutcomeKind.BELOW_LIMIT)  # the amplifier got what it asked for
WORTH_COUNTING: Final = 1.003  # of a current
VOLTS: Final = 11.0  # lowest voltage at which the estimate of a current is still meant


def fuse_patch(old: Fuse | None, new: Fuse) -> dict[str, Any]:
    """What of a fuse changes, in the words of the build file; None deletes."""
    told: dict[str, Any] = {}
    if old is None:
        told = {"near": new.near, "style": new.style, "rating": new.rating.text}
    else:
        if new.style != old.style:
            told["style"] = new.style
        if new.rating.si != old.rating.si:
            told["rating"] = new.rating.text
            stale = {"resistance": old.resistance, "opens_within": old.opens_within, "holds_for": old.holds_for}
            told |= {key: None for key, value in stale.items() if value}
    for key in ("distance", "breaking_capacity", "holder_rating", "rated_voltage"):
        value = getattr(new, key)
        if value is not None and (old is None or value != getattr(old, key)):
            told[key] = value.text
    return told


def loop_resistance(nets: FaultNets, cable: str) -> float:
    """Resistance that the rest of the network, its sources included, sets against one conductor [ohm]."""
    net = nets.likely
    path = f"cables.{cable}"
    matrix = _with_sources(net, net.without(path, 1.0))
    _, a, b, _ = net.edge(path)
    across = np.zeros(matrix.shape[0])
    across[a], across[b] = 1.0, -1.0
    return max(float(across @ np.linalg.solve(matrix, across)), 0.0)


@dataclass(frozen=True, slots=True)
class Shares:
    """Share ``of`` (cables, places) of a current drawn at each place that flows through each cable.

    ``cables`` and ``places`` number its rows and columns.
    """

    cables: Mapping[str, int]
    places: Mapping[str, int]
    of: NDArray[np.float64]


def shares_of(nets: FaultNets, places: Iterable[str]) -> Shares:
    """The shares of currents drawn at some locations; sources count as their resistance."""
    net, numbered = nets.likely, {place: k for k, place in enumerate(dict.fromkeys(places))}
    matrix = _with_sources(net, net.matrix)
    drawn = np.zeros((matrix.shape[0], len(numbered)))
    for place, k in numbered.items():
        drawn[net.nodes[place], k], drawn[net.nodes[place] + 1, k] = -1.0, 1.0
    volts = np.linalg.solve(matrix, drawn)
    cables = [edge for edge in net.edges.values() if edge[0].startswith("cables.")]
    a, b = (np.array([edge[k] for edge in cables], dtype=np.intp) for k in (1, 2))  # without a cable, too
    ohms = np.array([edge[3] for edge in cables], dtype=float)
    rows = {path.removeprefix("cables."): row for row, (path, *_) in enumerate(cables)}
    return Shares(rows, numbered, np.abs(volts[a] - volts[b]) / ohms[:, None])


def redistributed_current(before: Shares, after: Shares) -> dict[str, float]:
    """How much more each cable carries once others have changed, where that is worth counting; above 1."""
    counts = (after.of > 0.01) & (after.of > before.of * WORTH_COUNTING)
    grown = np.where(counts, after.of / np.maximum(before.of, 0.01), 1.0).max(1, initial=1.0)
    return {id_: float(grown[row]) for id_, row in after.cables.items() if grown[row] > 1.0}


def _with_sources(net: FaultNet, matrix: NDArray[np.float64]) -> NDArray[np.float64]:
    made = matrix.copy()
    for source in net.sources:
        if isinstance(source, VoltageSource):
            for i, j in ((source.plus, source.minus), (source.minus, source.plus)):
                made[i, i] += 1.0 / source.resistance
                made[i, j] -= 1.0 / source.resistance
    return made


def most_flow(subject: Examined) -> float:
    """The most that can flow through one conductor in the load cases [A]: all that is drawn, or all that charges."""
    drawn = max((sum(a.input_a_mean or 0.0 for a in case.amplifiers) for case in subject.load_cases), default=0.0)
    base = max((run.base.amperes.nominal for run in subject.running.values()), default=0.0)
    given = max((sum(s.limit.nominal for s in run.supplies) for run in subject.running.values()), default=0.0)
    return max(drawn + base, given)


def with_asked(
    build: Build,
    fit: Installed,
    cases: Sequence[LoadCaseResult],
    nets: FaultNets,
    currents: Mapping[str, tuple[ConductorCurrent, ...]],
) -> dict[str, tuple[ConductorCurrent, ...]]:
    """Currents of every cable [A], where an amplifier was starved those that it asks for: what fuses must carry."""
    made = {}
    undelivered = undelivered_demand(build, fit, cases, shares_of(nets, (a.at for a in fit.amplifiers.values())))
    for id_, found in currents.items():
        least = undelivered[id_]
        made[id_] = tuple(
            replace(c, rms=max(c.rms, least.get(c.case, 0.0)), peak=max(c.peak, least.get(c.case, 0.0))) for c in found
        )
    return made


def undelivered_demand(
    build: Build, fit: Installed, cases: Sequence[LoadCaseResult], shares: Shares
) -> dict[str, dict[str, float]]:
    """Least rms current of each cable by load case, where an amplifier did not get what it asks for [A].

    A collapse or a shut-down leaves hardly a current on record; a better cable would carry what is asked, at 11 V.
    """
    least: dict[str, dict[str, float]] = {id_: {} for id_ in shares.cables}
    for result in cases:
        if all(a.outcome.kind in FED for a in result.amplifiers):
            continue
        signal = build.load_cases[result.id].signal
        rms = 1.0
        if signal.kind == "bursts" and signal.burst and signal.every:
            rms = sqrt(min(signal.burst.si / signal.every.si, 1.0))
        elif signal.crest_factor:
            rms = min(10.0 ** ((3.01 - signal.crest_factor.si) / 20.0), 1.0)
        drawn = np.zeros(len(shares.places))
        for amplifier in result.amplifiers:
            fitted = fit.amplifiers[amplifier.id]
            asked = fitted.input_for(amplifier.asked_w, fitted.output.nominal) / VOLTS
            asked *= sqrt(1.0 + 0.5 * fitted.ripple.nominal**2)  # rms of a current that pulses with the output
            drawn[shares.places[fitted.at]] += asked
        carried = rms * (shares.of @ drawn)
        for id_, row in shares.cables.items():
            least[id_][result.title] = float(carried[row])
    return least
