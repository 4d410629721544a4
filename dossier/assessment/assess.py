"""Build -> Results: the table of contents of the computation."""

from __future__ import annotations

from dataclasses import replace

from dossier.assessment.budget import load_budget
from dossier.assessment.engine_states import states_of
from dossier.assessment.inputs import inputs_of
from dossier.assessment.load_cases import play
from dossier.assessment.overview import amplifier_rows, energy_sources, key_figures, verdict
from dossier.assessment.prospective import fault_nets
from dossier.assessment.protection import protection
from dossier.assessment.remedies import remedies
from dossier.assessment.schedule import schedule
from dossier.buildfile.model import Build
from dossier.equipment.fitted import fitted, running
from dossier.findings.every import every_finding
from dossier.findings.rule import Subject
from dossier.results.overview import Results


def assess(build: Build, *, bands: bool = False) -> Results:
    """Everything that can be said about a build.

    Args:
        build: a build as the reader gives it.
        bands: whether to sample the inputs for uncertainty bands.

    Returns:
        frozen results; an installation that cannot work is a finding, not an exception.
    """
    fit = fitted(build)
    states = {engine.state: running(build, engine) for engine in states_of(build)}
    rows = amplifier_rows(fit)
    budget = load_budget(build, fit, states)
    played = [play(build, fit, running(build, case.engine), case) for case in build.load_cases.values()]
    cases = tuple(p.result for p in played)
    currents = {id_: tuple(p.currents[id_] for p in played) for id_ in fit.conductors}
    joined = {id_: tuple(p.couplings[id_] for p in played if id_ in p.couplings) for id_ in fit.joinings}
    cables = schedule(build, fit, currents)
    nets = fault_nets(build, fit, states)
    protected = protection(build, fit, nets, cables, currents, joined)
    subject = Subject(build, fit, states, rows, cases, budget, cables, protected)
    findings = every_finding(subject)
    cures = remedies(subject, nets, currents, findings)
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
        protection=replace(protected, remedies=cures),
    )
