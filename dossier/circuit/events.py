"""The events of a run: what its watches switch, and what becomes of amplifiers that cannot go on."""

from __future__ import annotations

import numpy as np

from dossier.circuit.elements import Array, Mask
from dossier.circuit.ending import Collapse, Starved
from dossier.circuit.journal import Journal
from dossier.circuit.newton import Point
from dossier.circuit.outcome import Ending, Switching
from dossier.circuit.running import Running
from dossier.circuit.time_step import Step, take
from dossier.circuit.watches import Action, watch


class Events:
    """The watches over the samples still running; ``since`` (b, W): s from when each is beyond its threshold."""

    def __init__(self, running: Running, journal: Journal) -> None:
        self.running, self.journal = running, journal
        self.watches = watch(running.network)
        self.since = np.full(self.watches.threshold.shape, np.inf)

    # ---- what the loop asks

    def start(self) -> None:
        """Whatever already gives way or switches at the first instant."""
        self._stand()

    def next_due(self) -> float:
        """When the next watch fires [s], if nothing changes."""
        due = self._due()
        return float(due[due > self.running.now.t].min(initial=np.inf))

    def crosses_within(self, step: Step, dt: float, event_s: float) -> float:
        """A shorter step that ends just after the first threshold passed within this one of ``dt`` s, or inf."""
        if not len(self.watches.ids) or dt <= event_s:
            return np.inf
        before, after = self._beyond(self.running.now.point), self._beyond(step.end.point)
        starts = self._armed() & (after > 0.0) & (before < 0.0) & np.isinf(self.since)
        if not starts.any():
            return np.inf
        crossing = dt * float((before[starts] / (before[starts] - after[starts])).min())
        return np.inf if dt - crossing <= event_s else crossing + 0.5 * event_s

    def pass_over(self, step: Step, dt: float) -> None:
        """Note which thresholds are passed within a step of ``dt`` s that is about to be taken."""
        if len(self.watches.ids):
            now = self.running.now
            before, after = self._beyond(now.point), self._beyond(step.end.point)
            share = np.clip(before / np.where(before < after, before - after, 1.0), 0.0, 1.0)
            crossed = now.t + dt * np.where(before < 0.0, share, 1.0)
            self.since = np.where(self._armed() & (after > 0.0), np.minimum(self.since, crossed), np.inf)

    def fire_due(self) -> None:
        """Everything whose time has come changes state, until nothing more does."""
        while len(self.watches.ids) and len(self.running.active):
            due = self._armed() & (self._due() <= self.running.now.t + 1e-9)
            if not due.any():
                return
            for row, w in np.argwhere(due):
                self._switch(self.watches.action[w], int(row), self.watches.target[w], self.watches.ids[w])
            self._after_switching()

    def give_way(self, fallen: Mask, t_bad: float, failed: Point) -> None:
        """What cannot go on at t_bad: amplifiers whose protection sees it switch off now, other samples end."""
        running = self.running
        lowest = failed.v[..., failed.v.shape[2] - len(running.amps) :].min(1)
        protected = (running.on > 0.0) & (lowest < running.limits.v_cut) & fallen[:, None]
        saved = protected.any(1)
        self._note_starved(protected, t_bad)
        for row, k in np.argwhere(protected):
            self._switch(Action.AMPLIFIER_OFF, int(row), int(k), running.amps[k].id)
        ended = fallen & ~saved
        if ended.any():
            self._end(ended, t_bad)
        if saved.any() and len(running.active):
            self._after_switching()

    # ---- the watches

    def _beyond(self, point: Point) -> Array:
        time_step = self.running.time_step
        return self.watches.beyond(time_step.mean(point.v), time_step.mean(point.i))

    def _armed(self) -> Mask:
        time_step = self.running.time_step
        return self.watches.armed(self.running.on, time_step.storage.tripped, time_step.direct.closed)

    def _due(self) -> Array:
        return self.since + self.watches.delay

    def _switch(self, action: Action, row: int, k: int, name: str) -> None:
        on = self.running.switch(action, row, k)
        # what the element waited for has happened: a restart that fails at once waits its whole delay again
        self.since[row, [w for w, watched in enumerate(self.watches.ids) if watched == name]] = np.inf
        sample = int(self.running.active[row])
        self.journal.switchings[sample].append(Switching(name, self.running.now.t, on))

    def _after_switching(self) -> None:
        self.running.switched()
        self._stand()

    def _stand(self) -> None:
        """What gives way at this instant, and which watches stand beyond their threshold."""
        running = self.running
        fallen = running.fallen(running.now.point)
        if fallen.any():
            self.give_way(fallen, running.now.t, running.now.point)
        if len(running.active):
            self.journal.record(running)
            standing = self._armed() & (self._beyond(running.now.point) > 0.0)
            self.since = np.where(standing, np.minimum(self.since, running.now.t), np.inf)

    # ---- what cannot go on

    def _note_starved(self, protected: Mask, t_bad: float) -> None:
        """The protection saves the amplifier, not the demand: say once of each what was asked too much."""
        active, amps, starved = self.running.active, self.running.amps, self.journal.starved
        new = protected & np.array(
            [[(int(sample), amp.id) not in starved for amp in amps] for sample in active], dtype=bool
        )
        rows = new.any(1)
        if not rows.any():
            return
        supply = self.running.deliverable(rows, t_bad)
        for k, row in enumerate(np.flatnonzero(rows)):
            if supply.feasible[k]:
                continue
            short = Starved(self.running.now.t, float(supply.demand[k]), float(supply.most[k]))
            for amp in np.flatnonzero(new[row]):
                starved[int(active[row]), amps[amp].id] = short

    def _end(self, ended: Mask, t_bad: float) -> None:
        """End the runs of some samples."""
        running, limits = self.running, self.running.limits
        supply = running.deliverable(ended, t_bad)
        lowest = running.now.point.v[..., -len(running.amps) :].min(1)
        height = np.where(limits.asking, lowest - limits.v_low, np.inf)
        for k, row in enumerate(np.flatnonzero(ended)):
            feasible = bool(supply.feasible[k])
            self.journal.collapses[int(running.active[row])] = Collapse(
                Ending.FALLS_BELOW_LOWEST if feasible else Ending.NO_OPERATING_POINT,
                t_bad,
                running.amps[int(np.argmin(height[row]))].id,
                float(supply.demand[k]),
                None if feasible else float(supply.most[k]),
            )
        keep, size = ~ended, len(running.active)
        running.keep(keep)
        self.watches, self.since = take(self.watches, keep, size), self.since[keep]
        self.journal.recorder.keep(running.active, keep, running.time_step.direct)
