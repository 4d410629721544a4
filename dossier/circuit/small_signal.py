"""Ripple fractions from the alternating volts at the amplifiers' terminals: the network at twice the tone, linear.

An amplifier whose output swings as 1 - k cos draws k i_s more and less than its mean, i_s its current for the signal
(without idle). Its voltage swings against that by the impedance Z of everything else at that frequency, and a current
that hangs on the voltage (slope g = di/dv, negative for constant power) changes it once more:

    sqrt 2 V_ac = k i_s |Z| / |1 + g Z|        (one amplifier; several: superposition, all in phase)

Batteries are their quick resistance, capacitors esr + 1/(j w C); alternators and converters do not follow a ripple.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from dossier.circuit.direct import gather
from dossier.circuit.direct_law import OPEN_S, at_phases
from dossier.circuit.elements import (
    LEAST_OHMS,
    Amplifier,
    Array,
    Battery,
    Capacitor,
    Diode,
    Fixed,
    Load,
    Resistor,
    Switch,
    Values,
)
from dossier.circuit.network import Network, fast_ohms, spread

ROUNDS = 40  # of solving the amplifiers one after the other
Phasors = NDArray[np.complex128]


def ripple_fractions(
    network: Network, ripple_hz: float, volts: Mapping[str, Values], ac_volts: Mapping[str, Values]
) -> dict[str, Array]:
    """Ripple fractions that explain what a meter showed.

    Args:
        network: while the tone plays; the ripple fractions of amplifiers that were not measured are taken from it.
        ripple_hz: twice the tone.
        volts: amplifier id -> mean volts at its terminals; those of others are taken as the mean of these.
        ac_volts: amplifier id -> rms of the ripple there; the same ids.

    Returns:
        amplifier id -> (B,). Above 1 the reading is more than this network can explain.
    """
    amps = network.of(Amplifier)
    n, ids = network.samples, [a.id for a in amps]
    usual = np.mean([spread(v, n) for v in volts.values()], axis=0)
    at = np.stack([spread(volts.get(id_, usual), n) for id_ in ids], axis=-1)
    swing, slope = _currents(network, at, usual)
    ohms = np.abs(_transfer(network, ripple_hz, slope))  # nearly in phase: banks of farads are resistances here
    k = np.stack([spread(a.ripple_fraction, n) for a in amps], axis=-1).astype(np.float64)
    for _ in range(ROUNDS):
        for column, id_ in enumerate(ids):
            if id_ in ac_volts:
                of_others = np.where(np.arange(len(ids)) == column, 0.0, swing * k)
                wanted = np.sqrt(2.0) * spread(ac_volts[id_], n) - (ohms[:, column] * of_others).sum(1)
                k[:, column] = np.maximum(wanted, 0.0) / np.maximum(ohms[:, column, column] * swing[:, column], 1e-9)
    return {id_: k[:, column] for column, id_ in enumerate(ids) if id_ in ac_volts}


def _currents(network: Network, at: Array, usual: Array) -> tuple[Array, Array]:
    """Signal current of every amplifier (B, a) [A], and slopes of loads and amplifiers (B, l + a) [S]."""
    count = len(network.of(Amplifier))
    direct = gather(network)
    whole = replace(direct, powers=replace(direct.powers, ripple=np.ones_like(direct.powers.ripple)))
    others = whole.others
    v = np.repeat(usual[:, None, None], others + direct.on.shape[1], axis=2)
    v[..., v.shape[2] - count :] = at[:, None]
    mean, slope, _ = at_phases(whole, np.zeros(1)).at(1.0).currents(v)
    most, _, _ = at_phases(whole, -np.ones(1)).at(1.0).currents(v)
    return (most - mean)[:, 0, v.shape[2] - count :], slope[:, 0, others:]


def _transfer(network: Network, ripple_hz: float, slope: Array) -> Phasors:
    """(B, a, a) ohm: fall of the voltage at one amplifier per ampere that another draws."""
    n, turn = network.samples, 2j * np.pi * ripple_hz
    position = {node: i for i, node in enumerate(network.nodes)}
    y = np.zeros((n, len(position), len(position)), dtype=np.complex128)

    def join(a: str, b: str, siemens: Array | Phasors) -> None:
        for node, other in ((a, b), (b, a)):
            if node in position:
                y[:, position[node], position[node]] += siemens
                if other in position:
                    y[:, position[node], position[other]] -= siemens

    for r in network.of(Resistor):
        join(r.a, r.b, 1.0 / np.maximum(spread(r.ohms, n), LEAST_OHMS))
    for battery in network.of(Battery):
        join(battery.p, battery.n, 1.0 / fast_ohms(battery, n))
    for c in network.of(Capacitor):
        join(c.p, c.n, 1.0 / (np.maximum(spread(c.esr, n), LEAST_OHMS) + 1.0 / (turn * spread(c.farads, n))))
    for s in network.of(Switch):
        closed = s.control.closed if isinstance(s.control, Fixed) else s.control.initially_closed
        join(s.a, s.b, 1.0 / np.maximum(spread(s.ohms, n), LEAST_OHMS) if closed else np.full(n, OPEN_S))
    for d in network.of(Diode):
        join(d.a, d.b, 1.0 / np.maximum(spread(d.ohms, n), LEAST_OHMS))
    drawing: list[Load | Amplifier] = [*network.of(Load), *network.of(Amplifier)]
    for column, element in enumerate(drawing):
        join(element.p, element.n, slope[:, column])
    diagonal = np.arange(len(position))
    y[:, diagonal, diagonal] += OPEN_S  # keeps a node that only converters reach regular
    amps = network.of(Amplifier)
    at_port = np.zeros((len(position), len(amps)))
    for column, amp in enumerate(amps):
        for node, sign in ((amp.p, 1.0), (amp.n, -1.0)):
            if node in position:
                at_port[position[node], column] += sign
    transfer: Phasors = at_port.T @ np.linalg.solve(y, np.broadcast_to(at_port, (n, *at_port.shape)))
    return transfer
