"""A load case played with many samples at once, and what of it can be held."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.sag.surrogate import SurrogateSample, resampled
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.elements import Amplifier, Element
from dossier.circuit.elements import Values as Number
from dossier.circuit.network import Network
from dossier.circuit.outcome import Outcome
from dossier.circuit.programme import Programme
from dossier.circuit.sampler import InputSampler, Samples
from dossier.circuit.settings import Settings
from dossier.circuit.simulations import current
from dossier.circuit.trace import Transient
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import Wired, wire
from dossier.equipment.installed import Installed, Running
from dossier.equipment.value import Value
from dossier.frozen import dataclass
from dossier.results.sag import Band, Trace

Values = NDArray[np.float64]
Flags = NDArray[np.bool_]
Progress = Callable[[str, float], None]  # what is being computed, and how much of it is done, 0..1

SEED = 1
# Latin hypercube samples. With 112 and the surrogate the edges of the bands of every demo build repeat between seeds
# within 0.2 V (means) and 0.3 V (troughs), see tests/assessment/test_bands.py; with 96 one of them just does.
SAMPLES = 112
TAIL = 0.05  # of each side of a band
STAYS_OFF_V = 1e6  # stands for a restart that never comes
# Coarser than a single run: against nine phases and 0.3 mV, 95 of 100 samples of every demo build and option, notes
# and music, err by less than 6 mV and the worst by 30 mV, a third of what is printed.
BATCH = Settings(tol_v=1e-2, tol_i=5.0, event_s=5e-3, collapse_s=0.02, phases=4, max_step=2.0, detail=False)


def unheard(what: str, done: float) -> None:
    """Progress that nobody looks at."""


@dataclass(frozen=True, slots=True)
class Told:
    """What readings say of the samples: which of them count (B,), and what becomes of values (..., kept) in them."""

    kept: Flags
    update: Callable[[Values], Values]

    def of(self, values: Values) -> Values:
        """Values (..., B), NaN where a sample fails, as the readings tell them: (..., kept)."""
        return self.update(values[..., self.kept])

    def beside_nominal(self, values: Values) -> Values:
        """The same of values (..., 1 + B) with the nominal run first, which stays as it is."""
        return np.concatenate([values[..., :1], self.of(values[..., 1:])], axis=-1)


@dataclass(frozen=True, slots=True)
class Batch:
    """A finished batch.

    Attributes:
        transient: voltages and currents; sample 0 is the nominal run.
        wired: the way back to the build's ids.
        own: amplifier -> (B,) s at which it shut itself down or the sample collapsed; inf if it holds.
        starved: amplifier -> (B,) bool, whether it did so because the source could not deliver what was asked.
        asks: ids of the amplifiers that play.
        inputs: (B - 1, K) draws in 0..1 of every input that has a band; no columns without samples.
    """

    transient: Transient
    wired: Wired
    own: Mapping[str, Values]
    starved: Mapping[str, NDArray[np.bool_]]
    asks: tuple[str, ...]
    inputs: Values

    @property
    def fails(self) -> Values:
        """When the first of the playing amplifiers fails (B,) [s]; inf where all hold."""
        first: Values = np.stack([self.own[id_] for id_ in self.asks]).min(0)
        return first

    def worst(self) -> tuple[Values, Values, NDArray[np.intp]]:
        """Lowest mean and lowest trough over the playing amplifiers (T, B), and which has the lowest mean (B,)."""
        cycles = [self.transient.voltage(f"amplifiers.{id_}") for id_ in self.asks]
        means = np.stack([c.mean for c in cycles])
        lowest = np.nanmin(np.where(np.isnan(means), np.inf, means), axis=1)
        return means.min(0), np.stack([c.trough for c in cycles]).min(0), np.argmin(lowest, axis=0)


@dataclass(frozen=True, slots=True)
class Play:
    """A programme to be played with one value or sample per input.

    An amplifier that its protection shuts off stays off: it has failed, the others play on without it. Their lowest
    voltage is not missed by that, because each restart would end at the same voltage as the first time.
    """

    build: Build
    fit: Installed
    run: Running  # the supplies of ``fit`` in the engine state
    case: LoadCase  # which amplifiers play, how loud
    programme: Programme
    draw: InputSampler  # the samples, or ``nominal``
    settings: Settings = BATCH  # exactness
    scale: float | Values = 1.0  # of the asked and rated output of every amplifier, a number or one per sample

    def batch(self) -> Batch:
        """Play it."""
        used: dict[str, None] = {}

        def remember(value: Value) -> Number:
            if value.high > value.low:
                used.setdefault(value.path)
            return self.draw(value)

        wired = self._wired(remember)
        transient = simulate(wired.network, self.programme, settings=self.settings)
        asks = tuple(id_ for id_ in self.fit.amplifiers if not self.case.amplifiers or id_ in self.case.amplifiers)
        inputs = np.zeros((wired.network.samples - 1, 0))
        if isinstance(self.draw, Samples):
            inputs = np.stack([self.draw.strata(path) for path in used], axis=1)
        found = {id_: transient.outcomes[f"amplifiers.{id_}"] for id_ in self.fit.amplifiers}
        own = {id_: np.array([_failed_at(one) for one in outcomes]) for id_, outcomes in found.items()}
        starved = {id_: np.array([one.demand_w is not None for one in outcomes]) for id_, outcomes in found.items()}
        return Batch(transient, wired, own, starved, asks, inputs)

    def ask(self) -> None:
        """Have it played ahead where another process can."""
        if (simulations := current()).helped:
            simulations.ask(self._wired(self.draw).network, self.programme, self.settings)

    def _wired(self, draw: InputSampler) -> Wired:
        wired = wire(self.build, self.fit, self.run, self.case, draw)
        parts = tuple(_for_good(element, self.scale) for element in wired.network.elements)
        return replace(wired, network=Network(parts, wired.network.ground))


def _for_good(element: Element, scale: float | Values) -> Element:
    """An amplifier that does not restart, its output scaled; other elements as they are."""
    if not isinstance(element, Amplifier):
        return element
    ask, rated = (np.multiply(watts, scale) for watts in (element.ask_w, element.rated_w))
    return replace(element, v_restart=STAYS_OFF_V, ask_w=ask, rated_w=rated)


def _failed_at(one: Outcome) -> float:
    """When an amplifier first shut itself down or its run ended [s]; inf if neither happened."""
    ended = one.t if one.collapsed and one.t is not None else np.inf
    return min([ended, *(s.t for s in one.switchings if not s.on)])


def band_of(values: Values, failed: NDArray[np.bool_], inputs: Values | None = None) -> Band:
    """The 5 to 95 % band of samples (B,); those that failed lie below every voltage.

    Args:
        values: (B,).
        failed: (B,).
        inputs: (B, K) draws of the samples, for the surrogate.
    """
    lost = failed | np.isnan(values)
    share = float(np.mean(lost))
    if share > 1.0 - TAIL:
        return Band(None, None, share)
    kept = values[~lost]
    known = SurrogateSample(np.sort(kept), 0.0) if inputs is None else resampled(kept, inputs[~lost])
    # where among the samples that hold an edge of all samples lies
    first, last = ((p - share) / (1.0 - share) for p in (TAIL, 1.0 - TAIL))
    low, high = known.edges(max(first, 0.0), max(last, 0.0))
    return Band(low if first >= 0.0 else None, high, share)


def edges_in_time(values: Values, failed: NDArray[np.bool_]) -> tuple[Trace, Trace]:
    """5 and 95 % edges of samples (T, B) at every instant, NaN where an edge has collapsed; two (T,)."""
    ordered = np.sort(np.where(failed | np.isnan(values), -np.inf, values), axis=1)
    count = ordered.shape[1]
    low, high = (ordered[:, min(int(np.ceil(p * count)), count) - 1] for p in (TAIL + 1e-9, 1.0 - TAIL))
    return np.where(np.isfinite(low), low, np.nan), np.where(np.isfinite(high), high, np.nan)


def at_times(t: Values, values: Values, when: Values) -> Values:
    """Values (T, B) read at instants (L,) by straight lines: (L, B)."""
    k = np.clip(np.searchsorted(t, when, side="right") - 1, 0, len(t) - 2)
    width = np.maximum(t[k + 1] - t[k], 1e-12)
    share = np.clip((when - t[k]) / width, 0.0, 1.0)[:, None]
    between = values[k] + share * (values[k + 1] - values[k])
    return np.where(share >= 1.0, values[k + 1], np.where(share <= 0.0, values[k], between))
