"""The loop of a run: step, and shorten the step where something switches, trips or collapses within it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.circuit.events import Events
from dossier.circuit.journal import Journal
from dossier.circuit.network import Network
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.programme import Programme
from dossier.circuit.running import Running
from dossier.circuit.settings import Settings
from dossier.circuit.settle import Initial
from dossier.circuit.time_step import Step, stride
from dossier.circuit.trace import Transient

FIRST_STEP_S = 1e-3
SHORTEST_STEP_S = 1e-7
SAFETY = 0.85
LARGEST_GROWTH = 5.0


class Run:
    """A programme played through a network: the samples running, the events among them, and the books."""

    def __init__(self, network: Network, programme: Programme, settings: Settings, initial: Initial | None) -> None:
        self.settings = settings
        self.running = Running(network, programme, settings, initial)
        self.journal = Journal(network, self.running, settings.detail)
        self.events = Events(self.running, self.journal)
        self.times = self.running.programme.times
        span = float(programme.times[-1] - programme.times[0])
        self.longest = settings.max_step or min(1.0, max(0.02, span / 20.0))

    def go(self) -> Transient:
        """Play to the end."""
        self.play(float(self.times[-1]))
        hertz = self.running.programme.ripple_hz if self.settings.ripple else None
        return self.journal.transient(self.running, float(self.times[0]), hertz)

    def play(self, end: float) -> None:
        """Play from the start to ``end`` s.

        Raises:
            ConvergenceError: an operating point could not be computed.
        """
        running, events, settings = self.running, self.events, self.settings
        events.start()
        h, bad_at, override = FIRST_STEP_S, np.inf, np.inf
        while running.now.t < end and len(running.active):
            t = running.now.t
            edge = min(float(self.times[np.searchsorted(self.times, t, side="right")]), end)
            reach = min(edge, events.next_due())
            dt = min(stride(reach - t, min(h, self.longest)), override, max(0.5 * (bad_at - t), SHORTEST_STEP_S))
            step = running.time_step.step(running.now, dt)
            override = np.inf
            fallen = running.fallen(step.end.point) | running.fallen(step.middle)
            if not step.found.all():
                if dt <= SHORTEST_STEP_S:
                    raise ConvergenceError(f"no operating point found at {t:.6f} s")
                h = 0.25 * dt
            elif fallen.any():
                if dt > settings.collapse_s:
                    bad_at, h = t + dt, 0.5 * dt
                else:
                    failed = step.end.point if running.fallen(step.end.point).any() else step.middle
                    events.give_way(fallen, t + dt, failed)
                    bad_at, h = np.inf, dt
            elif step.error > 1.0 and dt > SHORTEST_STEP_S:
                h = dt * max(0.2, SAFETY * step.error ** (-1.0 / 3.0))
            elif (early := events.crosses_within(step, dt, settings.event_s)) < dt:
                override = early
            else:
                self._accept(step, dt, reach if dt == reach - t else t + dt)
                h = dt * min(LARGEST_GROWTH, SAFETY * max(step.error, 1e-9) ** (-1.0 / 3.0))
                if running.now.t >= bad_at:
                    bad_at = np.inf

    def _accept(self, step: Step, dt: float, t: float) -> None:
        self.events.pass_over(step, dt)
        self.running.now = replace(step.end, t=t)
        self.journal.record(self.running, step.middle, dt)
        self.events.fire_due()
