"""Every load case of the build, option by option: lowest mean, limits kept, and what the loudspeakers' load changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from dossier.assessment.conductors.warming import with_metal
from dossier.assessment.sag.bands import Lows, sampled_lows
from dossier.assessment.sag.full_level_tone import with_nominal
from dossier.assessment.sag.sampled import ask_bands
from dossier.assessment.sag.samples import Told, Values, band_of
from dossier.buildfile.model import Build
from dossier.circuit.elements import Values as Number
from dossier.circuit.sampler import InputSampler
from dossier.equipment.installed import installed, running
from dossier.equipment.value import ASSUMED, Value
from dossier.results.options import Turn, Use
from dossier.results.overview import Results
from dossier.results.sag import KEPT_SHARE, Kept, LoadCaseResult, OutcomeKind, Reading

TOLD_APART_V = 0.05  # closer options are not called different
RISES = np.array([1.0, 1.0, 1.25, 1.5, 1.75, 2.0])  # of every impedance under power that nobody stated; first nominal


def risen(value: Value) -> Number:
    """The draw that raises them together and leaves all else nominal, (6,)."""
    is_rise = value.path.startswith("speakers.") and value.basis == ASSUMED and value.high > value.low
    return RISES if is_rise else value.nominal


def ask_lows(build: Build, results: Results, draws: Sequence[InputSampler]) -> None:
    """Have ``lows_of`` of the same played ahead, where another process can."""
    fit = installed(build)
    for case in results.load_cases:
        asked = build.load_cases[case.id]
        for draw in draws:
            ask_bands(build, with_metal(fit, case.warm_metal), running(build, asked.engine), asked, case, draw)


def lows_of(build: Build, results: Results, draw: InputSampler, told: Told | None = None) -> dict[str, Lows]:
    """Every load case of a build, sample by sample, by id; as readings tell the samples where they do."""
    fit, found = installed(build), {}
    for case in results.load_cases:
        asked = build.load_cases[case.id]
        warm, run = with_metal(fit, case.warm_metal), running(build, asked.engine)
        found[case.id] = sampled_lows(build, warm, run, asked, case, draw, told)
    return found


def uses_of(
    results: Results, base: Results, lows: Mapping[str, Lows], options: Sequence[Mapping[str, Lows]]
) -> tuple[Use, ...]:
    """Every load case of one way to go.

    Args:
        results: of it, nominal.
        base: of the build as it stands.
        lows: of it, sample by sample; empty without samples.
        options: those of all written options; empty for the build itself, and without samples.
    """
    before = {case.id: _lowest(case).volts for case in base.load_cases}
    return tuple(
        _use(case, before.get(case.id), lows.get(case.id), [o[case.id] for o in options if case.id in o])
        for case in results.load_cases
    )


def _use(case: LoadCaseResult, before: float | None, lows: Lows | None, others: Sequence[Lows]) -> Use:
    mean = _lowest(case)
    checks = [check for one in case.amplifiers for check in one.limits]
    checks += [check for one in case.locations for check in one.limits]
    share = best = None
    if lows is not None:
        share = float(np.mean(lows.kept)) if checks else None
        band = band_of(lows.mean, np.isnan(lows.mean), lows.inputs)
        mean = Reading(mean.volts, mean.at, with_nominal(band, mean.volts))
        if others:
            most = np.max([_ordered(one.mean) for one in others], axis=0)
            best = float(np.mean((_ordered(lows.mean) >= most) & ~np.isnan(lows.mean)))
    fails = any(one.outcome.kind not in (OutcomeKind.HOLDS, OutcomeKind.BELOW_LIMIT) for one in case.amplifiers)
    kept: Kept | None = Kept.NOT
    if not fails and all(check.holds for check in checks):
        kept = Kept.NOMINAL if checks else None
    elif share is not None and share >= KEPT_SHARE:
        kept = Kept.SAMPLES
    gain = None if mean.volts is None or before is None else mean.volts - before
    missed = [check.limit - (check.volts or 0.0) for check in checks]
    short = None if fails else max(missed, default=0.0)
    return Use(case.id, case.title, mean, gain, kept, short and max(short, 0.0), share, best)


def _ordered(values: Values) -> Values:
    """What cannot be held lies below every voltage."""
    return np.where(np.isnan(values), -1.0, values)


def _lowest(case: LoadCaseResult) -> Reading:
    return next(one.mean_minimum for one in case.amplifiers if one.id == case.worst)


def turns(lows: Mapping[str, Mapping[str, Lows]], cases: Sequence[str]) -> tuple[Turn, ...]:
    """Where the order of the options changes with the load; ``lows``: option -> load case -> (5,) of ``RISES``."""
    made = []
    for case in cases:
        here = {id_: _ordered(one[case].mean) for id_, one in lows.items() if case in one}
        if len(here) < 2 or any(v.size != RISES.size - 1 for v in here.values()):
            continue
        best = max(here, key=lambda id_: here[id_][0])
        for k in range(1, RISES.size - 1):
            then = max(here, key=lambda id_: here[id_][k])
            ahead = here[then] - here[best]
            if ahead[k] > TOLD_APART_V:
                start = max((j for j in range(k) if ahead[j] <= 0.0), default=0)
                share = -ahead[start] / (ahead[start + 1] - ahead[start])
                rise = RISES[1 + start] + share * (RISES[2 + start] - RISES[1 + start])
                made.append(Turn(case, best, then, float(rise)))
                break
    return tuple(made)
