"""The loop of a run: step, look for what switches, trips or collapses, and write everything down."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from dossier.circuit import direct as direct_elements
from dossier.circuit import storage as storage_elements
from dossier.circuit.companion import Pattern, cut
from dossier.circuit.deliverable import Deliverable, deliverable
from dossier.circuit.elements import Amplifier, Array, Battery, Capacitor, Indices, Mask
from dossier.circuit.ending import Collapse, Starved, limits_of, outcome
from dossier.circuit.events import Action, watch
from dossier.circuit.march import March, Step, stride, take
from dossier.circuit.network import Network, fold, reference_conductance
from dossier.circuit.newton import ConvergenceError, Point
from dossier.circuit.outcome import Ending, Switching
from dossier.circuit.programme import Programme, graded
from dossier.circuit.recorder import Recorder
from dossier.circuit.ripple import PHASES, STILL, needs_resolving, phases
from dossier.circuit.settle import Initial, first_instant, given, settle
from dossier.circuit.stages import Stages
from dossier.circuit.storage import LEAK_S
from dossier.circuit.trace import Transient

FIRST_STEP_S = 1e-3
SHORTEST_STEP_S = 1e-7
SAFETY = 0.85
LARGEST_GROWTH = 5.0
LOOK_AHEAD_S = 0.005  # s; a collapse on an edge is judged by the demand at the end of the edge


@dataclass(frozen=True, slots=True)
class Settings:
    """How exactly to compute; see ``for_batch`` for many samples.

    Attributes:
        tol_v: local error of a stored voltage in one step [V].
        tol_i: local error of an alternator's current [A].
        max_step: longest step [s]; None: one sixtieth of the run, but 20 ms to 0.25 s.
        event_s: to how many seconds switching instants are found.
        collapse_s: to how many seconds a collapse is found.
        ripple: compute the ripple within the cycles if the programme has a tone.
        phases: phases per cycle.
        detail: keep voltages of nodes and currents of resistors too.
    """

    tol_v: float = 3e-4
    tol_i: float = 0.2
    max_step: float | None = None
    event_s: float = 1e-4
    collapse_s: float = 1e-3
    ripple: bool = True
    phases: int = PHASES
    detail: bool = True


def for_batch(ripple: bool = True) -> Settings:
    """Settings for bands from many samples: coarser, still well below what the inputs are known to."""
    return Settings(tol_v=1e-3, event_s=5e-3, collapse_s=5e-3, ripple=ripple, detail=False)


class Run:
    """The state of one run; arrays with a sample axis hold the samples still running, ``active``."""

    def __init__(self, network: Network, programme: Programme, settings: Settings, initial: Initial | None) -> None:
        n = network.samples
        self.network, self.settings = network, settings
        self.programme = graded(programme) if any(a.class_ab for a in network.of(Amplifier)) else programme
        self.g0 = reference_conductance(network)
        self.folded = fold(network, self.g0)
        storage, direct = storage_elements.gather(network), direct_elements.gather(network)
        self.batteries = len(network.of(Battery))
        emfs = self.batteries + len(network.of(Capacitor))
        self.m = emfs + int(storage.vset.shape[1])
        self.march = March(storage, direct, cut(self.folded.z, self.g0, self.m), self.programme.level)
        self.march.tolerance = np.repeat([settings.tol_v, settings.tol_i], [3 * emfs, self.m - emfs])
        y = settle(network, self.march) if initial is None else given(network, initial)
        hertz = programme.ripple_hz if settings.ripple else None
        self.phases = STILL if hertz is None else phases(network, hertz, settings.phases)
        self.march.set_phases(self.phases)
        self.amps = network.of(Amplifier)
        self.active: Indices = np.arange(n)
        self.watches = watch(network)
        self.since = np.full(self.watches.threshold.shape, np.inf)  # s each watch has been beyond its threshold
        self.limits = limits_of(network)
        self.recorder = Recorder(network, self.folded, direct, self.phases, settings.detail)
        self.collapses: dict[int, Collapse] = {}
        self.starved: dict[tuple[int, str], Starved] = {}  # of sample and amplifier, if its protection saved it first
        self.switchings: list[list[Switching]] = [[] for _ in range(n)]
        span = float(programme.times[-1] - programme.times[0])
        self.longest = settings.max_step or min(0.25, max(0.02, span / 60.0))
        self.now = first_instant(network, self.march, float(programme.times[0]), y)
        self.steps = 0

    # ---- the loop

    def go(self) -> Transient:
        """Play to the end."""
        self.play(float(self.programme.times[-1]))
        return self._result()

    def play(self, end: float) -> None:
        """Play from the start to ``end`` s."""
        times = self.programme.times
        self._start()
        h, bad_at, override = FIRST_STEP_S, np.inf, np.inf
        while self.now.t < end and len(self.active):
            t = self.now.t
            edge = min(float(times[np.searchsorted(times, t, side="right")]), end)
            reach = min(edge, self._next_due())
            dt = min(stride(reach - t, min(h, self.longest)), override, max(0.5 * (bad_at - t), SHORTEST_STEP_S))
            step = self.march.step(self.now, dt)
            override = np.inf
            fallen = self._fallen(step.end.point) | self._fallen(step.middle)
            if not step.found.all():
                if dt <= SHORTEST_STEP_S:
                    raise ConvergenceError(f"no operating point found at {t:.6f} s")
                h = 0.25 * dt
            elif fallen.any():
                if dt > self.settings.collapse_s:
                    bad_at, h = t + dt, 0.5 * dt
                else:
                    failed = step.end.point if self._fallen(step.end.point).any() else step.middle
                    self._give_way(fallen, t + dt, failed)
                    bad_at, h = np.inf, dt
            elif step.error > 1.0 and dt > SHORTEST_STEP_S:
                h = dt * max(0.2, SAFETY * step.error ** (-1.0 / 3.0))
            elif (early := self._crosses_within(step, dt)) < dt:
                override = early
            else:
                self._accept(step, dt, reach if dt == reach - t else t + dt)
                h = dt * min(LARGEST_GROWTH, SAFETY * max(step.error, 1e-9) ** (-1.0 / 3.0))
                if self.now.t >= bad_at:
                    bad_at = np.inf

    def _start(self) -> None:
        """Whatever already gives way or switches at the first instant."""
        fallen = self._fallen(self.now.point)
        if fallen.any():
            self._give_way(fallen, self.now.t, self.now.point)
        if len(self.active):
            self._record()
            self._watch_instant()

    def _accept(self, step: Step, dt: float, t: float) -> None:
        if len(self.watches.ids):
            before, after = self._beyond(self.now.point), self._beyond(step.end.point)
            share = np.clip(before / np.where(before < after, before - after, 1.0), 0.0, 1.0)
            crossed = self.now.t + dt * np.where(before < 0.0, share, 1.0)
            self.since = np.where(self._armed() & (after > 0.0), np.minimum(self.since, crossed), np.inf)
        self.now = replace(step.end, t=t)
        self.steps += 1
        self._record(step.middle, dt)
        self._fire_due()

    def _record(self, middle: Point | None = None, dt: float = 0.0) -> None:
        level = self.programme.level(self.now.t)
        self.recorder.add(self.now.t, level, self.now.point, self._on().copy(), middle, dt)

    def _on(self) -> Array:
        """Which amplifiers are on, (b, amplifiers)."""
        on = self.march.direct.on
        return on[:, on.shape[1] - len(self.amps) :]

    # ---- what gives way

    def _fallen(self, point: Point) -> Mask:
        """Samples in which a playing amplifier is below its lowest working voltage (b,)."""
        count = len(self.amps)
        if not count:
            return np.zeros(len(self.active), dtype=bool)
        below = point.v[..., -count:] < self.limits.v_low[:, None]
        if not below.any():
            return np.zeros(len(self.active), dtype=bool)
        playing = (self.limits.asking & (self._on() > 0.0))[:, None]
        return np.asarray((below & playing).any((1, 2)), dtype=np.bool_)

    def _give_way(self, fallen: Mask, t_bad: float, failed: Point) -> None:
        """What cannot go on at t_bad: amplifiers whose protection sees it switch off now, other samples end."""
        lowest = failed.v[..., failed.v.shape[2] - len(self.amps) :].min(1)
        protected = (self._on() > 0.0) & (lowest < self.limits.v_cut) & fallen[:, None]
        saved = protected.any(1)
        self._note_starved(protected, t_bad)
        for sample, k in np.argwhere(protected):
            self._switch(Action.AMPLIFIER_OFF, int(sample), int(k), self.amps[k].id)
        ended = fallen & ~saved
        if ended.any():
            self._end(ended, t_bad)
        if saved.any() and len(self.active):
            self._after_switching()

    def _note_starved(self, protected: Mask, t_bad: float) -> None:
        """The protection saves the amplifier, not the demand: say once of each what was asked too much."""
        new = protected & np.array(
            [[(int(sample), amp.id) not in self.starved for amp in self.amps] for sample in self.active], dtype=bool
        )
        rows = new.any(1)
        if not rows.any():
            return
        supply = self._supply(rows, t_bad)
        for row, sample in enumerate(np.flatnonzero(rows)):
            if supply.feasible[row]:
                continue
            short = Starved(self.now.t, float(supply.demand[row]), float(supply.most[row]))
            for k in np.flatnonzero(new[sample]):
                self.starved[int(self.active[sample]), self.amps[k].id] = short

    def _supply(self, rows: Mask, t_bad: float) -> Deliverable:
        """What is asked of the sources about t_bad and the most they could give, for some of the samples."""
        march, size, point = self.march, len(self.active), self.now.point
        level = max(self.programme.level(t_bad), self.programme.level(t_bad + LOOK_AHEAD_S))
        quiet = int(np.argmin(march.phases.wave))
        loud = slice(quiet, quiet + 1)
        return deliverable(
            Stages(take(march.storage, rows, size), take(march.blocks, rows, size), STILL),
            take(march.direct, rows, size),
            self.now.y[rows],
            level,
            float(march.phases.wave.min()),
            point.v[rows, loud, self.m :],
            Pattern(point.pattern.below[rows], point.pattern.region[rows, loud]),
        )

    def _end(self, ended: Mask, t_bad: float) -> None:
        """End the runs of some samples."""
        count, march = len(self.amps), self.march
        size = len(self.active)
        point = self.now.point
        pattern = point.pattern
        given_power = self._supply(ended, t_bad)
        height = np.where(self.limits.asking, point.v[..., -count:].min(1) - self.limits.v_low, np.inf)
        for row, sample in enumerate(np.flatnonzero(ended)):
            feasible = bool(given_power.feasible[row])
            self.collapses[int(self.active[sample])] = Collapse(
                Ending.FALLS_BELOW_LOWEST if feasible else Ending.NO_OPERATING_POINT,
                t_bad,
                self.amps[int(np.argmin(height[sample]))].id,
                float(given_power.demand[row]),
                None if feasible else float(given_power.most[row]),
            )
        keep = ~ended
        self.active = self.active[keep]
        march.replace_parts(
            take(march.storage, keep, size), take(march.direct, keep, size), take(march.blocks, keep, size)
        )
        self.watches, self.limits = take(self.watches, keep, size), take(self.limits, keep, size)
        self.since = self.since[keep]
        pattern = Pattern(pattern.below[keep], pattern.region[keep])
        point = replace(take(point, keep, size), found=point.found[keep], pattern=pattern)
        self.now = replace(take(self.now, keep, size), point=point)
        self.recorder.keep(self.active, keep, march.direct)

    # ---- what switches

    def _beyond(self, point: Point) -> Array:
        return self.watches.beyond(self.march.mean(point.v), self.march.mean(point.i))

    def _armed(self) -> Mask:
        return self.watches.armed(self._on(), self.march.storage.tripped, self.march.direct.closed)

    def _due(self) -> Array:
        """When each watch fires (b, W), if nothing changes."""
        return self.since + self.watches.delay

    def _next_due(self) -> float:
        due = self._due()
        return float(due[due > self.now.t].min(initial=np.inf))

    def _crosses_within(self, step: Step, dt: float) -> float:
        """A shorter step that ends just after the first threshold passed within this one, or inf."""
        if not len(self.watches.ids) or dt <= self.settings.event_s:
            return np.inf
        before, after = self._beyond(self.now.point), self._beyond(step.end.point)
        starts = self._armed() & (after > 0.0) & (before < 0.0) & np.isinf(self.since)
        if not starts.any():
            return np.inf
        crossing = dt * float((before[starts] / (before[starts] - after[starts])).min())
        return np.inf if dt - crossing <= self.settings.event_s else crossing + 0.5 * self.settings.event_s

    def _fire_due(self) -> None:
        """Everything whose time has come changes state, until nothing more does."""
        while len(self.watches.ids) and len(self.active):
            due = self._armed() & (self._due() <= self.now.t + 1e-9)
            if not due.any():
                return
            for sample, w in np.argwhere(due):
                self._switch(self.watches.action[w], int(sample), self.watches.target[w], self.watches.ids[w])
            self._after_switching()

    def _switch(self, action: Action, sample: int, k: int, name: str) -> None:
        """Change one discrete state of one running sample."""
        direct, storage = self.march.direct, self.march.storage
        on = action in (Action.AMPLIFIER_ON, Action.CLOSE)
        if action in (Action.AMPLIFIER_OFF, Action.AMPLIFIER_ON):
            self._on()[sample, k] = float(on)
        elif action is Action.TRIP:
            storage.tripped[sample, k] = True
            self.g0[self.active[sample], k] = LEAK_S
        else:
            direct.closed[sample, k] = on
        # what the element waited for has happened: a restart that fails at once waits its whole delay again
        self.since[sample, [w for w, watched in enumerate(self.watches.ids) if watched == name]] = np.inf
        self.switchings[int(self.active[sample])].append(Switching(name, self.now.t, on))

    def _after_switching(self) -> None:
        """The operating point for the same states in the new discrete state."""
        march, point = self.march, self.now.point
        if march.storage.tripped.any():
            refolded = fold(self.network, self.g0)
            blocks = cut(refolded.z[self.active], self.g0[self.active], self.m)
        else:
            blocks = march.blocks
        march.replace_parts(march.storage, march.direct, blocks)
        self.now = march.instant(self.now.t, self.now.y, point.v[..., self.m :], point.pattern)
        fallen = self._fallen(self.now.point)
        if fallen.any():
            self._give_way(fallen, self.now.t, self.now.point)
        if len(self.active):
            self._record()
            self._watch_instant()

    def _watch_instant(self) -> None:
        """Watches that stand beyond their threshold at this instant."""
        standing = self._armed() & (self._beyond(self.now.point) > 0.0)
        self.since = np.where(standing, np.minimum(self.since, self.now.t), np.inf)

    # ---- what is left

    def _result(self) -> Transient:
        network = self.network
        t, cycles, output = self.recorder.finish(float(self.programme.times[0]))
        nodes, branches = cycles[2:] if self.settings.detail else (None, None)
        hertz = self.programme.ripple_hz if self.settings.ripple else None
        sign = np.where(np.arange(len(network.ports)) < self.m, -1.0, 1.0)
        ids = tuple(port.id for port in network.ports)
        own = {a.id for a in self.amps}
        samples = range(network.samples)
        return Transient(
            network=network,
            t=t,
            ports=ids,
            volts=cycles[0],
            amps=cycles[1],
            node_volts=nodes,
            branch_amps=branches,
            amplifiers=tuple(a.id for a in self.amps),
            output=output,
            charge={name: self.recorder.charge[:, k] * sign[k] for k, name in enumerate(ids)},
            energy={name: self.recorder.energy[:, k] * sign[k] for k, name in enumerate(ids)},
            ended=np.array([self.collapses[b].t if b in self.collapses else np.nan for b in samples]),
            outcomes={
                amp.id: tuple(
                    outcome(network, amp.id, self.switchings[b], self.collapses.get(b), self.starved.get((b, amp.id)))
                    for b in samples
                )
                for amp in self.amps
            },
            switchings=tuple(tuple(s for s in each if s.id not in own) for each in self.switchings),
            moving=() if hertz is None else needs_resolving(network, hertz),
            steps=self.steps,
        )
