"""Bands of the load cases, and what recorded readings make of them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from dossier.assessment.conductors.warming import with_metal
from dossier.assessment.options.measuring import method_for
from dossier.assessment.options.reading_gains import reading_gains
from dossier.assessment.options.sensitivity import drawn_inputs
from dossier.assessment.options.symptom import symptom
from dossier.assessment.overview import verdict
from dossier.assessment.proof.figures_read import figures
from dossier.assessment.proof.measurements import joints, readings
from dossier.assessment.proof.readings_told import Together, Words, read_cases, together, words_before
from dossier.assessment.proof.ripple_readings import Explained
from dossier.assessment.sag.bands import banded
from dossier.assessment.sag.sampled import Sampled, sampled
from dossier.assessment.sag.samples import SAMPLES, SEED, Progress, Told, unheard
from dossier.assessment.supply.engine_states import engine_words, states_of
from dossier.buildfile.model import Build
from dossier.circuit.sampler import Samples
from dossier.equipment.installed import Installed, installed, running
from dossier.equipment.value import Value, values_in
from dossier.findings.every import after_readings
from dossier.results.overview import Results
from dossier.results.readings import ReadingsTold
from dossier.results.recorded import Recorded


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
    if told is not None and found is not None:
        told = replace(told, symptom=symptom(build, results, fit, found, made, samples))
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
