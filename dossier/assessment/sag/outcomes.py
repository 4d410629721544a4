"""How a load case ends for an amplifier, in plain words with numbers."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from dossier.assessment.sag.traces import time_below
from dossier.circuit import outcome as circuit
from dossier.circuit.programme import LEAD_IN_S
from dossier.frozen import dataclass
from dossier.reader.promised import down, limit_v, low_v, up
from dossier.results.sag import Outcome, OutcomeKind, Reading, Trace

SHOWN_V = 0.1  # what a sentence shows of a voltage
STATISTIC_WORDS = {"mean": "mean", "minimum_100ms": "100 ms minimum", "trough": "trough"}


@dataclass(frozen=True, slots=True)
class Judged:
    """The trace a limit judges: (T,) s, (T,) V, the limit [V] if there is one, its statistic, end of the sound [s]."""

    t: Trace
    v: Trace
    limit: float | None
    statistic: str
    ends: float


def outcome_of(
    found: circuit.Outcome,
    judged: Judged,
    mean: Reading,
    batteries: Mapping[str, str],
    shutdown: float = -np.inf,
    mean_at_shutdown: float = -np.inf,
) -> Outcome:
    """The named outcome with its sentence.

    Args:
        found: what the run says.
        judged: the trace and its limit.
        mean: the lowest mean, for the sentence.
        batteries: port -> title.
        shutdown: voltage at which the amplifier's protection switches it off [V].
        mean_at_shutdown: cycle mean at which it first did [V].
    """
    at = None if found.t is None else found.t - LEAD_IN_S
    below = _below(judged)
    if found.ending is circuit.Ending.NO_OPERATING_POINT:
        asked, most = found.demand_w or 0.0, found.deliverable_w or 0.0
        return Outcome(
            OutcomeKind.NO_OPERATING_POINT,
            f"finds no operating point {_after(at)}: {_short(asked, most)}",
            at,
            below,
            demand=asked,
            deliverable=most,
        )
    if found.ending is circuit.Ending.FALLS_BELOW_LOWEST:
        return Outcome(
            OutcomeKind.FALLS_BELOW_LOWEST,
            f"falls below its lowest working voltage {_after(at)}; no voltage can be stated from then on",
            at,
            below,
        )
    lowest = "" if mean.volts is None else f", lowest mean {low_v(mean.volts)} V"
    off = tuple(s.t - LEAD_IN_S for s in found.switchings if not s.on)
    times = "once" if len(off) == 1 else f"{len(off)} times"
    if found.ending is circuit.Ending.SHUTDOWN_CYCLES:
        sentence = f"shuts down {times}, first {_after(at)}"
        if mean_at_shutdown > shutdown + SHOWN_V:  # no operating point below it within the cycle
            sentence += (
                f", at a mean of {low_v(mean_at_shutdown)} V: "
                f"it is the trough of the ripple that reaches its shut-down "
                f"at {shutdown:.1f} V"
            )
        if found.demand_w is not None and found.deliverable_w is not None:
            sentence = (
                f"collapses {_after(at)}: {_short(found.demand_w, found.deliverable_w)}; its low-voltage protection "
                f"switches it off, {times} in all"
            )
        return Outcome(
            OutcomeKind.SHUTDOWN_CYCLES,
            sentence,
            at,
            below,
            shutdowns=off,
            demand=found.demand_w,
            deliverable=found.deliverable_w,
        )
    if found.ending is circuit.Ending.BATTERY_TRIPPED:
        title = batteries.get(found.by, found.by)
        left = f"{lowest} on what is left"
        if found.demand_w is not None and found.deliverable_w is not None:
            left = (
                f"; what is left collapses: {_short(found.demand_w, found.deliverable_w)}; the low-voltage protection "
                f"switches it off, {times} in all"
            )
        elif off:
            left = f"; on what is left it shuts down {times}, first {_after(off[0])}"
        return Outcome(
            OutcomeKind.BATTERY_TRIPPED,
            f"loses {title} {_after(at)}: its management opens{left}",
            at,
            below,
            shutdowns=off,
            demand=found.demand_w,
            deliverable=found.deliverable_w,
        )
    if below > 0.0 and judged.limit is not None:
        words = STATISTIC_WORDS[judged.statistic]
        return Outcome(
            OutcomeKind.BELOW_LIMIT,
            f"is below its limit of {limit_v(judged.limit)} V ({words}) for {below:.1f} s{lowest}",
            None,
            below,
        )
    if judged.limit is None:
        return Outcome(OutcomeKind.HOLDS, f"plays on{lowest}; no limit stated")
    return Outcome(OutcomeKind.HOLDS, f"holds{lowest}; limit {limit_v(judged.limit)} V")


def _short(asked: float, most: float) -> str:
    """What is asked against what could be delivered."""
    if most < 0.5:
        return "no source feeds it as the engine stands"
    return f"{up(asked)} W are asked, {down(most)} W at most can be delivered"


def _after(at: float | None) -> str:
    return "at once" if at is None or at < 0.05 else f"after {at:.1f} s"


def _below(judged: Judged) -> float:
    if judged.limit is None:
        return 0.0
    inside = (judged.t >= LEAD_IN_S) & (judged.t <= judged.ends)
    return time_below(judged.t[inside], judged.v[inside], judged.limit) if inside.any() else 0.0
