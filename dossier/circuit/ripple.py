"""Ripple at twice the tone without stepping through its cycles: the cycle is solved at a few phases.

Large storage does not move within a cycle, so the phases only share its frozen states (seven of them do). A small
capacitor does move; its current is then linear in its own voltage over the cycle, harmonic by harmonic
(i = Y v, Y_n = j n w C/(1 + j n w C ESR)), and sixteen phases around the whole cycle carry that.
"""

from __future__ import annotations

import numpy as np

from dossier.circuit.elements import Alternator, Array, Battery, Capacitor
from dossier.circuit.network import Network, fast_ohms, spread
from dossier.frozen import dataclass

PHASES = 7  # 3/4/5/7/9 phases miss the trough by 30/7.4/3.6/1.2/0.8 mV on a 4 kW example (our study)
FULL_PHASES = 16  # around the whole cycle, where something moves within it
FROZEN_OHMS = 0.2e-3  # a capacitance of less reactance than this at the ripple frequency counts as frozen
LEAST_TURNS = 20.0  # 2 pi f tau from which an alternator counts as frozen


@dataclass(frozen=True, slots=True)
class Phases:
    """At which phases a cycle is solved.

    Attributes:
        wave: (K,) cosines of the phases; power is mean (1 - k cos).
        weights: (K,) of the mean over the cycle.
        transfer: (B, e, K, K) S, current of each battery and bank at one phase per volt at another, or None where
            nothing moves within the cycle.
    """

    wave: Array
    weights: Array
    transfer: Array | None = None


STILL = Phases(np.zeros(1), np.ones(1))  # no ripple: one phase at mean power


def needs_resolving(network: Network, ripple_hz: float) -> tuple[str, ...]:
    """Ids of the storage elements that move within a cycle of ``ripple_hz``, in any sample."""
    n, w = network.samples, 2.0 * np.pi * ripple_hz
    least = 1.0 / (w * FROZEN_OHMS)
    moving = [c.id for c in network.of(Capacitor) if bool((spread(c.farads, n) < least).any())]
    for battery in network.of(Battery):
        for capacitance, ohms in ((battery.c1, battery.r1), (battery.cs, battery.rs_dis)):
            farads = spread(capacitance, n)
            # a resistance far below the reactance short-circuits the capacitance anyway
            if bool(((farads > 0.0) & (farads < least) & (spread(ohms, n) > FROZEN_OHMS)).any()):
                moving.append(battery.id)
                break
    moving += [a.id for a in network.of(Alternator) if bool((w * spread(a.tau, n) < LEAST_TURNS).any())]
    return tuple(moving)


def phases(network: Network, ripple_hz: float, count: int = PHASES) -> Phases:
    """Phases for a network at a ripple frequency [Hz]; ``count`` where everything is frozen.

    Chebyshev-Lobatto points in the cosine over half a cycle (trapezoidal rule in the angle); the first has cosine 1
    (least power), the last -1 (most: the trough). With moving capacitors: equal angles around the whole cycle.
    """
    moving = set(needs_resolving(network, ripple_hz)) & {c.id for c in network.of(Capacitor)}
    if not moving:
        weights = np.full(count, 1.0 / (count - 1))
        weights[[0, -1]] *= 0.5
        return Phases(np.cos(np.pi * np.arange(count) / (count - 1)), weights)
    k = FULL_PHASES
    n = network.samples
    batteries, banks = network.of(Battery), network.of(Capacitor)
    transfer = np.empty((n, len(batteries) + len(banks), k, k))
    for column, battery in enumerate(batteries):
        transfer[:, column] = _conductance(1.0 / fast_ohms(battery, n), np.full(n, np.inf), ripple_hz)
    for column, bank in enumerate(banks, start=len(batteries)):
        siemens = 1.0 / np.maximum(spread(bank.esr, n), 1e-6)
        transfer[:, column] = _conductance(siemens, spread(bank.farads, n), ripple_hz)
    return Phases(np.cos(2.0 * np.pi * np.arange(k) / k), np.full(k, 1.0 / k), transfer)


def _conductance(siemens: Array, farads: Array, ripple_hz: float) -> Array:
    """(B, K, K): current at one phase per volt at another of a resistance and capacitance in series."""
    k = FULL_PHASES
    reactance = np.arange(1, k // 2 + 1) * 2.0 * np.pi * ripple_hz * farads[:, None]
    admittance = np.zeros((len(siemens), k // 2 + 1), dtype=complex)
    admittance[:, 1:] = 1.0 / (1.0 / siemens[:, None] - 1j / reactance)
    response = np.fft.irfft(admittance, k, axis=1)
    turn = (np.arange(k)[:, None] - np.arange(k)[None, :]) % k
    result: Array = response[:, turn]
    return result
