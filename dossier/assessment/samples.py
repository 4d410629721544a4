"""A load case played with many samples at once, and what of it can be held."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.surrogate import many
from dossier.buildfile.model import Build, LoadCase
from dossier.circuit.draw import Draw, Samples
from dossier.circuit.elements import Amplifier, Element
from dossier.circuit.elements import Values as Number
from dossier.circuit.network import Network, spread
from dossier.circuit.programme import Programme
from dossier.circuit.run import Settings
from dossier.circuit.trace import Transient
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import Wired, wire
from dossier.equipment.fitted import Fitted, Running
from dossier.equipment.value import Value
from dossier.results.sag import Band, Trace

Values = NDArray[np.float64]
Progress = Callable[[str, float], None]  # what is being computed, and how much of it is done, 0..1

SEED = 1
# Latin hypercube samples. With 96 and the surrogate the edges of the bands repeat between seeds within 0.2 V (means)
# and 0.3 V (troughs), see tests/assessment/test_bands.py; with 64 and without the surrogate they miss it now and then.
SAMPLES = 96
TAIL = 0.05  # of each side of a band
# Coarser than a single run: errors stay below 10 mV, a tenth of what is printed; five ripple phases err by less.
BATCH = Settings(tol_v=2e-3, event_s=5e-3, collapse_s=0.02, phases=5, max_step=0.5, detail=False)


def unheard(what: str, done: float) -> None:
    """Progress that nobody looks at."""


@dataclass(frozen=True, slots=True)
class Batch:
    """A finished batch.

    Attributes:
        transient: voltages and currents; sample 0 is the nominal run.
        wired: the way back to the build's ids.
        fails: (B,) s at which the sample collapsed or an amplifier would have shut itself down; inf if it holds.
        asks: ids of the amplifiers that play.
        inputs: (B - 1, K) draws in 0..1 of every input that has a band; no columns without samples.
    """

    transient: Transient
    wired: Wired
    fails: Values
    asks: tuple[str, ...]
    inputs: Values

    def worst(self) -> tuple[Values, Values, NDArray[np.intp]]:
        """Lowest mean and lowest trough over the playing amplifiers (T, B), and which has the lowest mean (B,)."""
        cycles = [self.transient.voltage(f"amplifiers.{id_}") for id_ in self.asks]
        means = np.stack([c.mean for c in cycles])
        lowest = np.nanmin(np.where(np.isnan(means), np.inf, means), axis=1)
        return means.min(0), np.stack([c.trough for c in cycles]).min(0), np.argmin(lowest, axis=0)


def play_batch(
    build: Build,
    fit: Fitted,
    run: Running,
    case: LoadCase,
    programme: Programme,
    draw: Draw,
    *,
    settings: Settings = BATCH,
    scale: float | Values = 1.0,
) -> Batch:
    """Play a programme with one value or sample per input.

    Amplifiers play on where their protection would shut them off; that instant counts as the end of the sample,
    for every amplifier: what the others see afterwards is another installation.

    Args:
        build: the build.
        fit: its devices.
        run: its supplies in the engine state.
        case: which amplifiers play, how loud.
        programme: what is played.
        draw: the samples, or ``nominal``.
        settings: exactness.
        scale: of the asked and rated output of every amplifier, a number or one per sample.
    """
    used: dict[str, None] = {}

    def remember(value: Value) -> Number:
        if value.high > value.low:
            used.setdefault(value.path)
        return draw(value)

    wired = wire(build, fit, run, case, remember)
    bare: list[Element] = []
    cuts: dict[str, Values] = {}
    for element in wired.network.elements:
        if isinstance(element, Amplifier):
            if element.v_cut is not None:
                cuts[element.id] = np.asarray(element.v_cut, dtype=np.float64)
            bare.append(
                replace(
                    element,
                    v_cut=None,
                    v_restart=None,
                    ask_w=np.multiply(element.ask_w, scale),
                    rated_w=np.multiply(element.rated_w, scale),
                )
            )
        else:
            bare.append(element)
    network = Network(tuple(bare), wired.network.ground)
    transient = simulate(network, programme, settings=settings)
    fails = np.where(np.isnan(transient.ended), np.inf, transient.ended)
    asks = tuple(id_ for id_ in fit.amplifiers if not case.amplifiers or id_ in case.amplifiers)
    for id_ in asks:
        port = f"amplifiers.{id_}"
        if port in cuts:
            below = transient.voltage(port).mean < spread(cuts[port], network.samples)
            first = transient.t[np.argmax(below, axis=0)]
            fails = np.minimum(fails, np.where(below.any(0), first, np.inf))
    inputs = np.zeros((network.samples - 1, 0))
    if isinstance(draw, Samples):
        inputs = np.stack([draw.strata(path) for path in used], axis=1)
    return Batch(transient, replace(wired, network=network), fails, asks, inputs)


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
    known = np.sort(kept) if inputs is None else many(kept, inputs[~lost])
    # where among the samples that hold an edge of all samples lies
    low, high = ((p - share) / (1.0 - share) for p in (TAIL, 1.0 - TAIL))
    return Band(
        float(np.quantile(known, low)) if low >= 0.0 else None, float(np.quantile(known, max(high, 0.0))), share
    )


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
