"""Who plays and at what voltage an amplifier gives up, and the outcome of each amplifier at the end of a run."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dossier.circuit.elements import Amplifier, Array, Battery, Mask
from dossier.circuit.network import Network, spread
from dossier.circuit.outcome import Ending, Outcome, Switching
from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Collapse:
    """Why and when a sample's run ended."""

    ending: Ending
    t: float
    by: str
    demand_w: float
    deliverable_w: float | None


@dataclass(frozen=True, slots=True)
class Starved:
    """A protection that switched off at ``t`` s because no operating point was left: W asked and W at most."""

    t: float
    demand_w: float
    deliverable_w: float


@dataclass(frozen=True, slots=True)
class Limits:
    """Of the amplifiers, (b, count): lowest working and shut-down voltage [V] (-inf: none), and who plays."""

    v_low: Array
    v_cut: Array
    asking: Mask


def limits_of(network: Network) -> Limits:
    """The limits of the amplifiers of ``network``."""
    n = network.samples
    amps = network.of(Amplifier)

    def columns(values: list[Array]) -> Array:
        return np.stack(values, axis=-1) if values else np.zeros((n, 0))

    return Limits(
        columns([spread(a.v_low, n) for a in amps]),
        columns([spread(-np.inf if a.v_cut is None else a.v_cut, n) for a in amps]),
        columns([spread(a.ask_w, n) for a in amps]) > 0.0,
    )


def outcome(
    network: Network, amplifier: str, switchings: Sequence[Switching], end: Collapse | None, starved: Starved | None
) -> Outcome:
    """What became of an amplifier in one sample, from all that switched in it and how it ended, if it did."""
    own = tuple(s for s in switchings if s.id == amplifier)
    batteries = {b.id for b in network.of(Battery)}
    trips = tuple(s for s in switchings if s.id in batteries)
    if end is not None:
        return Outcome(end.ending, end.t, end.by, own, trips, end.demand_w, end.deliverable_w)
    short = (None, None, None) if starved is None else (starved.demand_w, starved.deliverable_w, starved.t)
    if trips:
        return Outcome(Ending.BATTERY_TRIPPED, trips[0].t, trips[0].id, own, trips, *short)
    if own:
        return Outcome(Ending.SHUTDOWN_CYCLES, own[0].t, amplifier, own, trips, *short)
    return Outcome(Ending.HOLDS)
