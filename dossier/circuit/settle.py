"""Where a run starts: the settled network, or states that are given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from dossier.circuit.companion import REGULATING, Pattern
from dossier.circuit.elements import Alternator, Array, Battery, Capacitor, Values
from dossier.circuit.network import Network, NetworkError, spread
from dossier.circuit.newton import ConvergenceError, Point
from dossier.circuit.time_step import Instant, TimeStep

Initial = Mapping[str, Mapping[str, Values]]

STEPS_S = tuple(0.01 * 64.0**k for k in range(6))  # of settling, up to 1e7 s; steps by 4 settle within 1e-10 A


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


def settle(network: Network, time_step: TimeStep) -> Array:
    """States (B, q) of the network settled at rest; capacitors with a stated ``v0`` get it at last.

    Raises:
        ConvergenceError: a sample does not settle.
    """
    y = settled(network, time_step, 0.0).y
    for k, bank in enumerate(network.of(Capacitor), start=len(network.of(Battery))):
        if bank.v0 is not None:
            y[:, k] = spread(bank.v0, network.samples)
    return y


def settled(network: Network, time_step: TimeStep, level: float, steps: Sequence[float] = STEPS_S) -> Point:
    """Where the network stands when all has settled at a level; batteries keep their state of charge.

    Args:
        network: the network.
        time_step: its equations.
        level: of the programme.
        steps: implicit steps that it takes from open circuit [s]; the last so long that nothing moves any more.

    Raises:
        ConvergenceError: a sample does not settle.
    """
    start = open_circuit(network)
    batteries = len(network.of(Battery))
    e, m = time_step.storage.emfs, time_step.blocks.g_s.shape[1]
    y = np.zeros((network.samples, 3 * e + m - e))
    y[:, batteries:e] = start[:, None]
    guess, pattern = _open(time_step, start, 1)
    bulk = time_step.storage.inverse_bulk.copy()
    bulk[:, :batteries] = 0.0
    for theta in steps:
        point = time_step.settling_stage(theta, y, bulk, guess, pattern, level)
        y, guess, pattern = point.y, point.v[..., m:], point.pattern
    if not point.found.all():
        raise ConvergenceError("the network does not settle")
    return point


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
