"""The samples of a run that still run: their network in its discrete state, and the instant at which they stand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.circuit import direct as direct_elements
from dossier.circuit import storage as storage_elements
from dossier.circuit.companion import Pattern, cut
from dossier.circuit.deliverable import Deliverable, deliverable
from dossier.circuit.elements import Amplifier, Array, Battery, Capacitor, Indices, Mask
from dossier.circuit.ending import limits_of
from dossier.circuit.network import Network, fold, reference_conductance
from dossier.circuit.newton import Point
from dossier.circuit.programme import GRADED_ABOVE, Programme, graded
from dossier.circuit.ripple import STILL, phases
from dossier.circuit.settings import Settings
from dossier.circuit.settle import Initial, first_instant, given, settle
from dossier.circuit.stages import Stages
from dossier.circuit.storage import LEAK_S
from dossier.circuit.time_step import TimeStep, take
from dossier.circuit.watches import Action

LOOK_AHEAD_S = 0.005  # s; a collapse on an edge is judged by the demand at the end of the edge


class Running:
    """The samples ``active`` of a network, their equations and where they stand; arrays hold these samples only.

    Raises:
        NetworkError, ConvergenceError: see ``network.fold`` and ``settle``.
    """

    def __init__(self, network: Network, programme: Programme, settings: Settings, initial: Initial | None) -> None:
        self.network = network
        self.amps = network.of(Amplifier)
        steepest = max((float(np.max(a.root_share)) for a in self.amps), default=0.0)
        self.programme = graded(programme) if steepest > GRADED_ABOVE else programme
        self.g0 = reference_conductance(network)
        self.folded = fold(network, self.g0)
        storage, direct = storage_elements.gather(network), direct_elements.gather(network)
        emfs = len(network.of(Battery)) + len(network.of(Capacitor))
        self.m = emfs + int(storage.vset.shape[1])
        self.time_step = TimeStep(storage, direct, cut(self.folded.z, self.g0, self.m), self.programme.level)
        self.time_step.tolerance = np.repeat([settings.tol_v, settings.tol_i], [3 * emfs, self.m - emfs])
        y = settle(network, self.time_step) if initial is None else given(network, initial)
        hertz = programme.ripple_hz if settings.ripple else None
        self.phases = STILL if hertz is None else phases(network, hertz, settings.phases)
        self.time_step.set_phases(self.phases)
        self.active: Indices = np.arange(network.samples)
        self.limits = limits_of(network)
        self.now = first_instant(network, self.time_step, float(programme.times[0]), y)

    @property
    def on(self) -> Array:
        """Which amplifiers are on, (b, amplifiers); may be written to."""
        on = self.time_step.direct.on
        return on[:, on.shape[1] - len(self.amps) :]

    def fallen(self, point: Point) -> Mask:
        """Samples in which a playing amplifier is below its lowest working voltage (b,)."""
        count = len(self.amps)
        if not count:
            return np.zeros(len(self.active), dtype=bool)
        below = point.v[..., -count:] < self.limits.v_low[:, None]
        if not below.any():
            return np.zeros(len(self.active), dtype=bool)
        playing = (self.limits.asking & (self.on > 0.0))[:, None]
        return np.asarray((below & playing).any((1, 2)), dtype=np.bool_)

    def deliverable(self, rows: Mask, t_bad: float) -> Deliverable:
        """What is asked of the sources about ``t_bad`` s and the most they could give, for some of the samples."""
        time_step, size, point = self.time_step, len(self.active), self.now.point
        level = max(self.programme.level(t_bad), self.programme.level(t_bad + LOOK_AHEAD_S))
        quiet = int(np.argmin(time_step.phases.wave))
        loud = slice(quiet, quiet + 1)
        return deliverable(
            Stages(take(time_step.storage, rows, size), take(time_step.blocks, rows, size), STILL),
            take(time_step.direct, rows, size),
            self.now.y[rows],
            level,
            float(time_step.phases.wave.min()),
            point.v[rows, loud, self.m :],
            Pattern(point.pattern.below[rows], point.pattern.region[rows, loud]),
        )

    def switch(self, action: Action, row: int, k: int) -> bool:
        """Change one discrete state of one sample; whether the element now is on or closed."""
        on = action in (Action.AMPLIFIER_ON, Action.CLOSE)
        if action in (Action.AMPLIFIER_OFF, Action.AMPLIFIER_ON):
            self.on[row, k] = float(on)
        elif action is Action.TRIP:
            self.time_step.storage.tripped[row, k] = True
            self.g0[self.active[row], k] = LEAK_S
        else:
            self.time_step.direct.closed[row, k] = on
        return on

    def switched(self) -> None:
        """Find the operating point for the same states in the new discrete state."""
        time_step, point = self.time_step, self.now.point
        blocks = time_step.blocks
        if time_step.storage.tripped.any():
            refolded = fold(self.network, self.g0)
            blocks = cut(refolded.z[self.active], self.g0[self.active], self.m)
        time_step.replace_parts(time_step.storage, time_step.direct, blocks)
        self.now = time_step.instant(self.now.t, self.now.y, point.v[..., self.m :], point.pattern)

    def keep(self, kept: Mask) -> None:
        """Go on with the samples ``kept`` (b,) only."""
        time_step, size = self.time_step, len(self.active)
        self.active = self.active[kept]
        time_step.replace_parts(
            take(time_step.storage, kept, size), take(time_step.direct, kept, size), take(time_step.blocks, kept, size)
        )
        self.limits = take(self.limits, kept, size)
        now = take(self.now, kept, size)
        self.now = replace(now, point=replace(now.point, found=now.point.found[kept]))
