"""Bands of the load cases, and what recorded readings make of them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from dossier.assessment.conductors.warming import with_metal
from dossier.assessment.options.measuring import method_for
from dossier.assessment.options.reading_gains import reading_gains
from dossier.assessment.options.sensitivity import drawn_inputs
from dossier.assessment.overview import verdict
from dossier.assessment.proof.measurements import readings
from dossier.assessment.proof.readings_told import Together, read_cases, together, words_before
from dossier.assessment.proof.ripple_readings import Explained
from dossier.assessment.sag.bands import banded
from dossier.assessment.sag.sampled import Sampled, sampled
from dossier.assessment.sag.samples import SAMPLES, SEED, Progress, unheard
from dossier.assessment.supply.engine_states import engine_words, states_of
from dossier.buildfile.model import Build
from dossier.circuit.sampler import Samples
from dossier.equipment.installed import Installed, installed, running
from dossier.equipment.value import Value, values_in
from dossier.findings.every import after_readings
from dossier.results.overview import Results
from dossier.results.readings import ReadingsTold


def with_readings(build: Build, results: Results) -> Results:
    """The same results with bands, before and with the readings, where something was read; others as they are."""
    fit = installed(build)
    words = words_before(build, _values(build, fit))
    read = read_cases(words, build)
    if not read:
        return replace(results, recorded=replace(results.recorded, readings=readings(build, results.load_cases, words)))
    return with_bands(build, results, Explained(build, SAMPLES, SEED), only=read)


def with_bands(
    build: Build, results: Results, samples: Samples, progress: Progress = unheard, only: Collection[str] | None = None
) -> Results:
    """The same results with bands on every load case, and beside them those that the readings leave.

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
    if not build.kept.measurements.readings:
        return replace(results, load_cases=cases)
    words, found = together(build, words_before(build, _values(build, fit)), made)
    told = None if found is None else _told(build, fit, found, samples)
    if found is not None and found.ensemble.explained:
        cases = tuple(
            banded(replace(made[case.id], told=found.told), case) if case.id in made else case for case in cases
        )
    recorded = replace(results.recorded, readings=readings(build, cases, words), told=told)
    findings = after_readings(build, recorded, results.findings)
    return replace(
        results, load_cases=cases, recorded=recorded, findings=findings, verdict=verdict(build, findings, recorded)
    )


def _told(build: Build, fit: Installed, found: Together, samples: Samples) -> ReadingsTold:
    read = {one.one.load_case for one in found.seen}
    inputs: dict[str, Value] = {}
    for id_ in sorted(read):
        case = build.load_cases[id_]
        inputs |= drawn_inputs(build, fit, running(build, case.engine), case)
    pointed = found.points_at(inputs, samples)
    methods = [method for value in pointed if (method := method_for(value.path)) is not None]
    engines = {build.load_cases[id_].engine for id_ in read}
    unread = {case.engine: None for case in build.load_cases.values() if case.engine not in engines}
    return ReadingsTold(
        used=tuple(dict.fromkeys(one.one.id for one in found.seen)),
        samples=int(found.kept.sum()),
        misfit=found.ensemble.misfit,
        limit=found.ensemble.limit,
        explained=found.ensemble.explained,
        furthest=found.seen[found.furthest].one.id,
        apart=float(found.ensemble.apart[found.furthest]),
        points_at=tuple(f"{value.device}: {value.quantity}" for value in pointed),
        measure=methods[0].how if methods else "",
        moved=found.moved(inputs, samples) if found.ensemble.explained else (),
        unread=tuple(engine_words(engine, running(build, engine).speed.nominal) for engine in unread),
    )


def _values(build: Build, fit: Installed) -> tuple[Value, ...]:
    """Every number of the devices and of the supplies in every engine state."""
    return tuple(values_in((fit, *(running(build, engine) for engine in states_of(build)))))
