"""What is watched while a run goes on: shut-down and restart of amplifiers, relays, battery managements.

A watch is a mean voltage or discharge current that passes a threshold; after ``delay`` s beyond it without
interruption, a discrete state changes. All watches are arrays (B, W).
"""

from __future__ import annotations

from enum import Enum

import numpy as np

from dossier.circuit.elements import Amplifier, Array, Battery, Indices, Mask, Switch, Values, VoltageSensing
from dossier.circuit.network import Network, spread
from dossier.frozen import dataclass

PEAK_TIME_S = 0.010  # s a lithium management tolerates its peak current being passed (common practice, no source)
LEAST_DELAY_S = 1e-3  # s, so that a relay or a restart cannot chatter within one instant


class Action(Enum):
    """What a watch does when it fires."""

    AMPLIFIER_OFF = 0
    AMPLIFIER_ON = 1
    TRIP = 2
    OPEN = 3
    CLOSE = 4


@dataclass(frozen=True, slots=True)
class Watches:
    """All watches of a network."""

    ids: tuple[str, ...]  # element each belongs to
    action: tuple[Action, ...]  # what each does
    target: tuple[int, ...]  # position among amplifiers, batteries or switches
    port: Indices  # port it reads
    reads_current: Mask  # (W,) bool, discharge current instead of voltage
    sign: Array  # (W,) +1 fires above the threshold, -1 below
    threshold: Array  # (B, W)
    delay: Array  # (B, W) s

    def beyond(self, v: Array, i: Array) -> Array:
        """How far each signal is beyond its threshold (B, W), from mean port voltages and currents (B, p)."""
        beyond: Array = self.sign * (np.where(self.reads_current, -i[:, self.port], v[:, self.port]) - self.threshold)
        return beyond

    def armed(self, amplifiers_on: Array, tripped: Mask, closed: Mask) -> Mask:
        """Which watches matter in the present discrete state (B, W)."""
        armed = np.zeros(self.threshold.shape, dtype=bool)
        for w, (action, k) in enumerate(zip(self.action, self.target, strict=True)):
            if action is Action.AMPLIFIER_OFF:
                armed[:, w] = amplifiers_on[:, k] > 0.0
            elif action is Action.AMPLIFIER_ON:
                armed[:, w] = amplifiers_on[:, k] == 0.0
            elif action is Action.TRIP:
                armed[:, w] = ~tripped[:, k]
            else:
                armed[:, w] = closed[:, k] == (action is Action.OPEN)
        return armed


def watch(network: Network) -> Watches:
    """The watches of a network."""
    rows: list[tuple[str, Action, int, int, bool, float, Values, Values]] = []
    for k, amp in enumerate(network.of(Amplifier)):
        if amp.v_cut is not None:
            port = network.port_index(amp.id)
            restart = amp.v_cut if amp.v_restart is None else amp.v_restart
            delay = np.maximum(amp.restart_delay, LEAST_DELAY_S)
            rows.append((amp.id, Action.AMPLIFIER_OFF, k, port, False, -1.0, amp.v_cut, 0.0))
            rows.append((amp.id, Action.AMPLIFIER_ON, k, port, False, 1.0, restart, delay))
    for k, battery in enumerate(network.of(Battery)):
        trip = battery.trip
        if trip is not None:
            port = network.port_index(battery.id)
            rows.append((battery.id, Action.TRIP, k, port, True, 1.0, trip.peak_a, PEAK_TIME_S))
            rows.append((battery.id, Action.TRIP, k, port, True, 1.0, trip.continuous_a, trip.peak_s))
            rows.append((battery.id, Action.TRIP, k, port, False, -1.0, trip.low_voltage, 0.0))
    for k, switch in enumerate(network.of(Switch)):
        sensing = switch.control
        if isinstance(sensing, VoltageSensing):
            port = network.port_index(f"{switch.id}.sense")
            delay = np.maximum(sensing.delay, LEAST_DELAY_S)
            rows.append((switch.id, Action.CLOSE, k, port, False, 1.0, sensing.closes, delay))
            rows.append((switch.id, Action.OPEN, k, port, False, -1.0, sensing.opens, delay))
    n = network.samples
    return Watches(
        ids=tuple(r[0] for r in rows),
        action=tuple(r[1] for r in rows),
        target=tuple(r[2] for r in rows),
        port=np.array([r[3] for r in rows], dtype=np.intp),
        reads_current=np.array([r[4] for r in rows], dtype=bool),
        sign=np.array([r[5] for r in rows]),
        threshold=np.stack([spread(r[6], n) for r in rows], -1) if rows else np.zeros((n, 0)),
        delay=np.stack([spread(r[7], n) for r in rows], -1) if rows else np.zeros((n, 0)),
    )
