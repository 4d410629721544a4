"""What a reading would narrow, before it is taken: from the samples alone, whatever it will read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import hypot

import numpy as np

from dossier.assessment.proof.ensemble import LEAST_SAMPLES, left_after
from dossier.assessment.proof.meter_errors import BATCH_V, RECTANGULAR
from dossier.assessment.sag.sampled import Sampled
from dossier.assessment.sag.samples import Values
from dossier.frozen import dataclass
from dossier.reference.instruments import ERRORS, MILLIVOLT_REPEAT
from dossier.results.readings import ReadingGain
from dossier.results.sag import LoadCaseResult

SHOWN = 0.9  # of the spread left, over which a reading is not worth naming
MOST = 6
OF_A_KIND = 2
KNOWN_A = 100.0  # A at which millivolts are read along a cable


@dataclass(frozen=True, slots=True)
class Candidate:
    """A reading that could be taken: its kind, its words, what every sample shows (B,), and the meter's error [sd]."""

    kind: str
    what: str
    shown: Values
    sd: float


def reading_gains(cases: tuple[LoadCaseResult, ...], made: Mapping[str, Sampled]) -> tuple[ReadingGain, ...]:
    """The readings that would narrow the lowest mean voltage of the build most, best first, few of each kind."""
    held = [case for case in cases if case.id in made]
    if not held:
        return ()
    kept = np.logical_and.reduce([made[case.id].holds for case in held])
    if int(kept.sum()) < LEAST_SAMPLES:
        return ()
    lowest = {}
    for case in held:
        mean, trough, _ = made[case.id].of_amplifier(case.worst)
        lowest[case.id] = made[case.id].lowest(mean, trough)["mean"][kept]
    target = min(lowest.values(), key=lambda volts: float(np.mean(volts)))
    found: list[ReadingGain] = []
    of_kind: dict[str, int] = {}
    every = tuple(candidates(held, made))
    left = {id(c): left_after(c.shown[kept][:, None], target, np.array([[c.sd**2]])) for c in every}
    for one in sorted(every, key=lambda c: left[id(c)]):
        of_kind[one.kind] = of_kind.get(one.kind, 0) + 1
        if left[id(one)] < SHOWN and of_kind[one.kind] <= OF_A_KIND and len(found) < MOST:
            found.append(ReadingGain(one.what, left[id(one)]))
    return tuple(found)


def candidates(held: Sequence[LoadCaseResult], made: Mapping[str, Sampled]) -> Iterator[Candidate]:
    """Every reading that could be taken with a multimeter or a clamp in some load cases."""
    yield from _resistances(made[held[0].id])
    yield from _rested(made[held[0].id])
    for case in held:
        yield from _of_case(case, made[case.id])


def _of_case(case: LoadCaseResult, of: Sampled) -> Iterator[Candidate]:
    """Volts, amperes and the output of every amplifier in a load case."""
    for one in case.amplifiers:
        where = f"{one.title}, {case.title}"
        mean, trough, _ = of.of_amplifier(one.id)
        low = of.lowest(mean, trough)["mean"]
        rest = mean[0]
        yield Candidate("volts at rest", f"Volts at {where}, before the sound", rest, _volts(rest, playing=False))
        yield Candidate("volts", f"Volts at {where}, lowest while it plays", low, _volts(low, playing=True))
        if one.id in of.batch.asks and not of.music:
            amps = of.at_moment(of.batch.transient.current(f"amplifiers.{one.id}").mean[:, 1:], "mean")
            yield Candidate("amperes", f"Amperes of {where}, mean while it plays", amps, _amps(amps))


def _rested(of: Sampled) -> Iterator[Candidate]:
    """Volts of each battery after a night of rest, by itself."""
    for battery in of.fit.batteries.values():
        volts = np.asarray(of.draw(battery.open_circuit))
        if volts.size > 1:
            what = f"Volts on the posts of {battery.title} after a night of rest"
            yield Candidate("rested", what, volts[1:], _volts(volts, playing=False))


def _resistances(of: Sampled) -> Iterator[Candidate]:
    """Millivolts along every cable at a known current."""
    for id_, (_, _, drawn) in of.batch.wired.conductors.items():
        ohms = np.asarray(drawn)
        if ohms.size > 1:
            middle = float(ohms[1:].mean())
            sd = middle * hypot(ERRORS["dc_clamp"].share / RECTANGULAR, MILLIVOLT_REPEAT / (KNOWN_A * middle))
            what = f"Millivolts along {of.fit.conductors[id_].cable.title} at {KNOWN_A:.0f} A, end to end"
            yield Candidate("millivolts", what, ohms[1:], sd)


def _volts(volts: Values, *, playing: bool) -> float:
    """Of a multimeter with two decimals."""
    usual = ERRORS["multimeter"]
    repeat = hypot(usual.playing, BATCH_V) if playing else usual.rest
    return hypot(usual.share * float(volts.mean()) / RECTANGULAR, repeat, 0.01 / RECTANGULAR)


def _amps(amps: Values) -> float:
    """Of a DC clamp with whole amperes."""
    usual, middle = ERRORS["dc_clamp"], float(np.nanmean(amps))
    return hypot(
        usual.share * middle / RECTANGULAR, usual.zero["A"] / RECTANGULAR, 1.0 / RECTANGULAR, usual.repeat_a * middle
    )
