"""Bands of the load cases, what recorded readings make of them, and what one more would narrow."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from math import hypot

import numpy as np

from dossier.assessment.conductors.warming import with_metal
from dossier.assessment.options.measuring import method_for
from dossier.assessment.options.sensitivity import drawn_inputs
from dossier.assessment.overview import verdict
from dossier.assessment.proof.ensemble import LEAST_SAMPLES, left_after
from dossier.assessment.proof.figures_read import figures
from dossier.assessment.proof.measurements import joints, readings
from dossier.assessment.proof.meter_errors import BATCH_V, RECTANGULAR
from dossier.assessment.proof.readings_told import Together, Words, read_cases, together, words_before
from dossier.assessment.proof.ripple_readings import Explained
from dossier.assessment.sag.bands import banded
from dossier.assessment.sag.sampled import Sampled, sampled
from dossier.assessment.sag.samples import SAMPLES, SEED, Progress, Told, Values, unheard
from dossier.assessment.supply.engine_states import engine_words, states_of
from dossier.buildfile.model import Build
from dossier.circuit.sampler import Samples
from dossier.equipment.installed import Installed, installed, running
from dossier.equipment.value import Value, values_in
from dossier.findings.every import after_readings
from dossier.frozen import dataclass
from dossier.reference.instruments import ERRORS, MILLIVOLT_REPEAT
from dossier.results.overview import Results
from dossier.results.readings import ReadingGain, ReadingsTold
from dossier.results.recorded import Recorded
from dossier.results.sag import LoadCaseResult

SHOWN = 0.9  # of the spread left, over which a reading is not worth naming
MOST = 6
OF_A_KIND = 2
KNOWN_A = 100.0  # A at which millivolts are read along a cable


@dataclass(frozen=True, slots=True)
class _Candidate:
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
    candidates = [*_resistances(made[held[0].id]), *_rested(made[held[0].id])]
    for case in held:
        candidates += _of_case(case, made[case.id])
    left = {id(c): left_after(c.shown[kept][:, None], target, np.array([[c.sd**2]])) for c in candidates}
    for one in sorted(candidates, key=lambda c: left[id(c)]):
        of_kind[one.kind] = of_kind.get(one.kind, 0) + 1
        if left[id(one)] < SHOWN and of_kind[one.kind] <= OF_A_KIND and len(found) < MOST:
            found.append(ReadingGain(one.what, left[id(one)]))
    return tuple(found)


def _of_case(case: LoadCaseResult, of: Sampled) -> Iterator[_Candidate]:
    """Volts, amperes and the output of every amplifier in a load case."""
    for one in case.amplifiers:
        where = f"{one.title}, {case.title}"
        mean, trough, _ = of.of_amplifier(one.id)
        low = of.lowest(mean, trough)["mean"]
        rest = mean[0]
        yield _Candidate("volts at rest", f"Volts at {where}, before the sound", rest, _volts(rest, playing=False))
        yield _Candidate("volts", f"Volts at {where}, lowest while it plays", low, _volts(low, playing=True))
        if one.id in of.batch.asks and not of.music:
            amps = of.at_moment(of.batch.transient.current(f"amplifiers.{one.id}").mean[:, 1:], "mean")
            yield _Candidate("amperes", f"Amperes of {where}, mean while it plays", amps, _amps(amps))


def _rested(of: Sampled) -> Iterator[_Candidate]:
    """Volts of each battery after a night of rest, by itself."""
    for battery in of.fit.batteries.values():
        volts = np.asarray(of.draw(battery.open_circuit))
        if volts.size > 1:
            what = f"Volts on the posts of {battery.title} after a night of rest"
            yield _Candidate("rested", what, volts[1:], _volts(volts, playing=False))


def _resistances(of: Sampled) -> Iterator[_Candidate]:
    """Millivolts along every cable at a known current."""
    for id_, (_, _, drawn) in of.batch.wired.conductors.items():
        ohms = np.asarray(drawn)
        if ohms.size > 1:
            middle = float(ohms[1:].mean())
            sd = middle * hypot(ERRORS["dc_clamp"].share / RECTANGULAR, MILLIVOLT_REPEAT / (KNOWN_A * middle))
            what = f"Millivolts along {of.fit.conductors[id_].cable.title} at {KNOWN_A:.0f} A, end to end"
            yield _Candidate("millivolts", what, ohms[1:], sd)


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


def with_readings(build: Build, results: Results) -> Results:
    """The same results with bands, before and with the readings, where something was read; others as they are."""
    fit = installed(build)
    words = words_before(build, _values(build, fit))
    read = read_cases(words, build)
    if not read:
        return replace(results, recorded=_recorded(build, results, words))
    return with_bands(build, results, Explained(build, SAMPLES, SEED), only=read)[0]


def with_bands(
    build: Build, results: Results, samples: Samples, progress: Progress = unheard, only: Collection[str] | None = None
) -> tuple[Results, Told | None]:
    """The same results with bands on every load case and those that readings leave, and what they say of the samples.

    Args:
        build: the build.
        results: what was computed of it with nominal values.
        samples: of every input, the same in every load case.
        progress: told what is being computed.
        only: the load cases that get bands; all where None.
    """
    fit = installed(build)
    made: dict[str, Sampled] = {}
    for k, case in enumerate(results.load_cases):
        if only is not None and case.id not in only:
            continue
        asked = build.load_cases[case.id]
        progress(f"band of {case.title}", 0.1 + 0.2 * k / len(results.load_cases))
        run = running(build, asked.engine)
        made[case.id] = sampled(build, with_metal(fit, case.warm_metal), run, asked, case, samples)
    cases = tuple(banded(made[case.id], case) if case.id in made else case for case in results.load_cases)
    results = replace(results, reading_gains=reading_gains(cases, made))
    if not figures(build):
        return replace(results, load_cases=cases), None
    words, found = together(build, words_before(build, _values(build, fit)), made)
    told = None if found is None else _told(build, fit, found, samples)
    narrowed = found.told if found is not None and found.ensemble.explained else None
    if narrowed is not None:
        told_of = {id_: replace(one, told=narrowed) for id_, one in made.items()}
        cases = tuple(banded(told_of[case.id], case) if case.id in made else case for case in cases)
    recorded = replace(_recorded(build, replace(results, load_cases=cases), words), told=told)
    findings = after_readings(build, recorded, results.findings)
    said = verdict(build, findings, recorded)
    return replace(results, load_cases=cases, recorded=recorded, findings=findings, verdict=said), narrowed


def _recorded(build: Build, results: Results, words: Words) -> Recorded:
    """What was recorded, with what became of each figure."""
    rows = readings(build, results.load_cases, words)
    return replace(results.recorded, readings=rows, joints=joints(build, results.schedule, words))


def _told(build: Build, fit: Installed, found: Together, samples: Samples) -> ReadingsTold:
    read = {one.figure.case for one in found.seen} - {""}
    inputs: dict[str, Value] = {}
    for id_ in sorted(read) or list(build.load_cases)[:1]:
        case = build.load_cases[id_]
        inputs |= drawn_inputs(build, fit, running(build, case.engine), case)
    pointed = found.points_at(inputs, samples)
    methods = [method for value in pointed if (method := method_for(value.path)) is not None]
    engines = {build.load_cases[id_].engine for id_ in read}
    unread = {case.engine: None for case in build.load_cases.values() if case.engine not in engines}
    furthest, against = found.seen[found.furthest].figure, ""
    if found.against is not None and not found.ensemble.explained:
        other = found.seen[found.against].figure
        place = build.places.get(other.path)
        line = "" if place is None else f", line {place.line}"
        against = f"{other.source.title} ({other.quantity.text}{line})"
    return ReadingsTold(
        used=tuple(dict.fromkeys(one.figure.source.id for one in found.seen)),
        samples=int(found.kept.sum()),
        misfit=found.ensemble.misfit,
        limit=found.ensemble.limit,
        explained=found.ensemble.explained,
        furthest=furthest.source.id,
        apart=float(found.ensemble.apart[found.furthest]),
        points_at=tuple(f"{value.device}: {value.quantity}" for value in pointed),
        measure=methods[0].how if methods else "",
        moved=found.moved(inputs, samples) if found.ensemble.explained else (),
        unread=tuple(engine_words(engine, running(build, engine).speed.nominal) for engine in unread),
        furthest_path=furthest.path,
        furthest_title=f"{furthest.source.title} ({furthest.quantity.text})",
        against=against,
    )


def _values(build: Build, fit: Installed) -> tuple[Value, ...]:
    """Every number of the devices and of the supplies in every engine state."""
    return tuple(values_in((fit, *(running(build, engine) for engine in states_of(build)))))
