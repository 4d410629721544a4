"""Where a run starts: the settled network, or states that are given."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from dossier.circuit.companion import REGULATING, Pattern
from dossier.circuit.elements import Alternator, Array, Battery, Capacitor, Values
from dossier.circuit.network import Network, NetworkError, spread
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.time_step import Instant, TimeStep

Initial = Mapping[str, Mapping[str, Values]]

FIRST_THETA_S = 0.01
GROWTH = 64.0  # steps by 4 settle within 1e-10 A of the same
SETTLING_STEPS = 6  # the last theta is 1e7 s


def open_circuit(network: Network) -> Array:
    """A voltage above every operating point, (B,): the highest source there is."""
    n = network.samples
    highest = np.ones(n)
    for battery in network.of(Battery):
        highest = np.maximum(highest, spread(battery.e0, n))
    for machine in network.of(Alternator):
        highest = np.maximum(highest, spread(machine.vset, n))
    for bank in network.of(Capacitor):
        highest = np.maximum(highest, spread(0.0 if bank.v0 is None else bank.v0, n))
    return highest


def given(network: Network, initial: Initial) -> Array:
    """States (B, q) from ``initial``: element id -> {"de", "v1", "vs"} or {"v"} or {"x"}; left out is zero.

    Raises:
        NetworkError: a capacitor has neither ``v`` nor ``v0``, or an id is no storage element.
    """
    n = network.samples
    batteries, banks, machines = network.of(Battery), network.of(Capacitor), network.of(Alternator)
    e = len(batteries) + len(banks)
    y = np.zeros((n, 3 * e + len(machines)))
    known = {b.id for b in batteries} | {c.id for c in banks} | {a.id for a in machines}
    unknown = set(initial) - known
    if unknown:
        raise NetworkError("initial states of what stores nothing", elements=sorted(unknown))
    for k, battery in enumerate(batteries):
        for row, name in enumerate(("de", "v1", "vs")):
            y[:, row * e + k] = spread(initial.get(battery.id, {}).get(name, 0.0), n)
    for k, bank in enumerate(banks, start=len(batteries)):
        volts = initial.get(bank.id, {}).get("v", bank.v0)
        if volts is None:
            raise NetworkError(f"no initial voltage of {bank.id}", elements=[bank.id])
        y[:, k] = spread(volts, n)
    for k, machine in enumerate(machines):
        y[:, 3 * e + k] = spread(initial.get(machine.id, {}).get("x", 0.0), n)
    return y


def settle(network: Network, time_step: TimeStep, level: float = 0.0) -> Array:
    """States (B, q) of the network settled at a level, at rest if it is 0, by a few implicit steps.

    Batteries keep their state of charge, everything else settles. Capacitors with a stated ``v0`` get it at last.

    Raises:
        ConvergenceError: a sample does not settle.
    """
    start = open_circuit(network)
    batteries, banks = network.of(Battery), network.of(Capacitor)
    e, m = time_step.storage.emfs, time_step.blocks.g_s.shape[1]
    y = np.zeros((network.samples, 3 * e + m - e))
    y[:, len(batteries) : e] = start[:, None]
    guess, pattern = _open(time_step, start, 1)
    bulk = time_step.storage.inverse_bulk.copy()
    bulk[:, : len(batteries)] = 0.0
    for k in range(SETTLING_STEPS):
        point = time_step.settling_stage(FIRST_THETA_S * GROWTH**k, y, bulk, guess, pattern, level)
        y, guess, pattern = point.y, point.v[..., m:], point.pattern
    if not point.found.all():
        raise ConvergenceError("the network does not settle")
    for k, bank in enumerate(banks, start=len(batteries)):
        if bank.v0 is not None:
            y[:, k] = spread(bank.v0, network.samples)
    return y


def first_instant(network: Network, time_step: TimeStep, t: float, y: Array) -> Instant:
    """The operating point at time t [s] for states y, reached from the open-circuit side.

    Raises:
        ConvergenceError: there is none.
    """
    found = time_step.instant(t, y, *_open(time_step, open_circuit(network), len(time_step.phases.weights)))
    if not found.point.found.all():
        raise ConvergenceError("no operating point found at rest")
    return found


def _open(time_step: TimeStep, start: Array, phases: int) -> tuple[Array, Pattern]:
    """Voltages (B, K, n) and pattern of a network in which nothing flows yet."""
    samples, e = len(start), time_step.storage.emfs
    guess = np.empty((samples, phases, time_step.blocks.g_n.shape[1]))
    guess[:] = start[:, None, None]
    region = np.full((samples, phases, time_step.blocks.g_s.shape[1] - e), REGULATING, dtype=np.int8)
    return guess, Pattern(np.zeros((samples, e), dtype=bool), region)
