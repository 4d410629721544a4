"""Which inputs move the worst voltage most, one at a time across their bands, and what to measure next."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.assessment.inputs import input_of
from dossier.assessment.options.measuring import METHODS, method_for
from dossier.assessment.sag.excerpt import REST_S as MUSIC_REST_S
from dossier.assessment.sag.excerpt import worst_stretch
from dossier.assessment.sag.full_level_tone import REST_S
from dossier.assessment.sag.programmes import programme_of, sound_ends
from dossier.assessment.sag.samples import BATCH, Batch, Play, Values
from dossier.buildfile.model import Build, LoadCase, Quantity
from dossier.circuit import programme as programmes
from dossier.circuit.elements import Values as Number
from dossier.circuit.programme import Programme
from dossier.circuit.sampler import Edges
from dossier.circuit.wiring import wire
from dossier.equipment.installed import Installed, Running, running
from dossier.equipment.value import Value, values_in
from dossier.results.overview import Results
from dossier.results.sensitivity import InputEffect, Measurement, Sensitivity

SHOWN_V = 0.005  # effects below a twentieth of what is printed are left out
LISTED = 5
MEASUREMENTS = 3
PRINTED_V = 0.05  # what rounds to a tenth of a volt
UNCERTAIN = ("estimated", "assumed")
SHARE_OF_TIME = 0.8  # of the time to a collapse: where the effects are read if the nominal run collapses
LEAST_S = 0.3  # s that the nominal run must hold, else less is asked
QUIETEST = 1.0 / 64.0


def sensitivity(build: Build, fit: Installed, results: Results) -> Sensitivity | None:
    """One-at-a-time effects in the load case with the lowest mean voltage; None where nothing can be held."""
    if not results.load_cases:
        return None
    lowest = min(results.load_cases, key=lambda c: min(_low(a.mean_minimum.volts) for a in c.amplifiers))
    case = build.load_cases[lowest.id]
    run = running(build, case.engine)
    inputs = drawn_inputs(build, fit, run, case)
    lows_at = [a.mean_minimum.at for a in lowest.amplifiers if a.id == lowest.worst]
    played, start, end = _programme(case, lows_at[0])
    draw = Edges(tuple(inputs))
    share = 1.0
    while True:
        asked = replace(case, level=Quantity(share * (case.level.si if case.level else 1.0), "", ""))
        batch = Play(build, fit, run, asked, played, draw, replace(BATCH, ripple=False)).batch()
        holds = float(batch.fails[0])
        if holds - start > LEAST_S:
            break
        if share <= QUIETEST:
            return None
        share *= 0.5
    until = end if np.isinf(holds) else start + SHARE_OF_TIME * (holds - start)
    lows, which = _lowest(batch, start, until)
    nominal = float(lows[0])
    floor = float(np.nanmin([nominal, *lows[~np.isnan(lows)]]))
    amplifier = fit.amplifiers[batch.asks[which]]
    guard = min(floor, amplifier.lowest.nominal)
    effects = []
    for k, value in enumerate(inputs.values()):
        effects.append(_effect(value, nominal, float(lows[1 + 2 * k]), float(lows[2 + 2 * k]), guard))
    ordered = tuple(sorted((e for e in effects if e.swing >= SHOWN_V), key=lambda e: -e.swing))
    level = (
        "" if share == 1.0 else f" with {-10.0 * np.log10(share):.0f} dB less asked, because it cannot hold as it is"
    )
    time = "" if np.isinf(holds) else f", up to {until - start:.1f} s, before it collapses"
    return Sensitivity(
        case=lowest.title,
        amplifier=amplifier.title,
        statistic="mean",
        nominal=None if np.isfinite(holds) else nominal,
        words=f"lowest mean at {amplifier.title} in “{lowest.title}”{level}{time}",
        effects=ordered,
        measure_next=tuple(e for e in ordered if e.uncertain and e.how)[:LISTED],
        measurements=measurements(ordered),
    )


def drawn_inputs(build: Build, fit: Installed, run: Running, case: LoadCase) -> dict[str, Value]:
    """Every input with a band that the network of a load case uses, by path, in the order of use."""
    found: dict[str, Value] = {}

    def remember(value: Value) -> Number:
        if value.high > value.low:
            found.setdefault(value.path, value)
        return value.nominal

    wire(build, fit, run, case, remember)
    stated: dict[str, Value] = {}  # as the list of inputs shows it, not as part of a device's own sums
    for value in values_in((fit, run)):
        stated.setdefault(value.path, value)
    return {path: stated.get(path, value) for path, value in found.items()}


def _low(volts: float | None) -> float:
    return -1.0 if volts is None else volts


def _programme(case: LoadCase, at: float | None) -> tuple[Programme, float, float]:
    """What is played, and between which instants the voltage is read; envelope only."""
    if case.signal.kind == "music":
        stretch = worst_stretch(programme_of(case), at)
        return stretch.programme, MUSIC_REST_S, stretch.end
    if case.signal.kind == "tone":
        played = programmes.tone(case.signal.duration.si, None, lead_in=REST_S, recovery=0.01)
        return played, REST_S, REST_S + case.signal.duration.si
    played = programme_of(case)
    return replace(played, tone_hz=None), programmes.LEAD_IN_S, sound_ends(played)


def _lowest(batch: Batch, start: float, until: float) -> tuple[Values, int]:
    """Lowest mean of every sample (B,), NaN where it fails before; and the amplifier, by number, nominally worst."""
    run = batch.transient
    inside = (run.t >= start) & (run.t <= until + 1e-9)
    mean, _, which = batch.worst()
    lows = mean[inside].min(0)
    return np.where(batch.fails <= until, np.nan, lows), int(which[0])


def _effect(value: Value, nominal: float, low: float, high: float, guard: float) -> InputEffect:
    shown = input_of(value)
    method = method_for(value.path)
    ends = [guard if np.isnan(v) else v for v in (low, high)]
    return InputEffect(
        path=shown.path,
        device=shown.device,
        quantity=shown.quantity,
        value=shown.value,
        low=shown.low,
        high=shown.high,
        basis=shown.basis,
        at_low=None if np.isnan(low) else low - nominal,
        at_high=None if np.isnan(high) else high - nominal,
        swing=max(*ends, nominal) - min(*ends, nominal),
        uncertain=shown.basis in UNCERTAIN,
        how=method.how if method else "",
    )


def measurements(effects: tuple[InputEffect, ...]) -> tuple[Measurement, ...]:
    """The few measurements that would narrow the band most, each counted after those before it.

    Independent inputs add as squares: the band with swings s is about sqrt(sum s^2) wide, so knowing some of them
    takes from it what their squares are missing. One that narrows it by less than is printed is left out.
    """
    unknown: dict[str, list[InputEffect]] = {}
    for effect in effects:
        method = method_for(effect.path) if effect.basis not in ("measured", "fitted") else None
        if method is not None:
            unknown.setdefault(method.title, []).append(effect)
    by_worth = sorted(METHODS, key=lambda m: -sum(e.swing**2 for e in unknown.get(m.title, ())))
    found: list[Measurement] = []
    left = sum(e.swing**2 for e in effects)
    for method in by_worth[:MEASUREMENTS]:
        told = unknown.get(method.title, [])
        after = max(left - sum(e.swing**2 for e in told), 0.0)
        narrows = float(np.sqrt(left) - np.sqrt(after))
        if not told or (found and narrows < PRINTED_V):
            break
        left = after
        covers = tuple(dict.fromkeys(f"{e.device}: {e.quantity}" for e in told[:4]))
        found.append(Measurement(method.title, method.instruments, narrows, covers, method.steps))
    return tuple(found)
