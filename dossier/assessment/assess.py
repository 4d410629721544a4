"""Build -> Results: the table of contents of the computation."""

from __future__ import annotations

from dossier.assessment.budget import load_budget
from dossier.assessment.engine_states import states_of
from dossier.assessment.inputs import inputs_of
from dossier.assessment.load_cases import play
from dossier.assessment.overview import amplifier_rows, energy_sources, key_figures, verdict
from dossier.assessment.schedule import schedule
from dossier.buildfile.model import Build
from dossier.equipment.fitted import fitted, running
from dossier.findings.every import every_finding
from dossier.findings.rule import Subject
from dossier.results.overview import Results


def assess(build: Build) -> Results:
    """Everything that can be said about a build.

    Args:
        build: a build as the reader gives it.

    Returns:
        frozen results; an installation that cannot work is a finding, not an exception.
    """
    fit = fitted(build)
    states = {engine.state: running(build, engine) for engine in states_of(build)}
    rows = amplifier_rows(fit)
    budget = load_budget(build, fit, states)
    played = [play(build, fit, running(build, case.engine), case) for case in build.load_cases.values()]
    cases = tuple(p.result for p in played)
    cables = schedule(build, fit, {id_: tuple(p.currents[id_] for p in played) for id_ in fit.conductors})
    findings = every_finding(Subject(build, fit, states, rows, cases, budget, cables))
    return Results(
        verdict=verdict(build, findings),
        key_figures=key_figures(cases, budget, rows),
        energy_sources=energy_sources(build, fit),
        amplifiers=rows,
        load_cases=cases,
        budget=budget,
        schedule=cables,
        findings=findings,
        inputs=inputs_of(fit, states),
        music=(),
    )
