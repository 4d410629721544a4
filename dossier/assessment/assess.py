"""Build -> Results: the table of contents of the computation."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dossier.assessment.conductors.schedule import schedule
from dossier.assessment.conductors.warming import played_warm
from dossier.assessment.inputs import inputs_of
from dossier.assessment.overview import (
    amplifier_rows,
    daily_volts,
    energy_sources,
    further_sources,
    key_figures,
    left_live,
    verdict,
)
from dossier.assessment.proof.figures_read import figures
from dossier.assessment.proof.recorded import recorded
from dossier.assessment.proof.ripple_readings import with_measured_ripple
from dossier.assessment.protection.estimates import with_asked
from dossier.assessment.protection.overview import protection
from dossier.assessment.protection.prospective import fault_nets
from dossier.assessment.protection.remedies import remedies, with_remedies
from dossier.assessment.sag.load_cases import Played, ask_cases, not_followed, play
from dossier.assessment.sag.programmes import music_of, too_much
from dossier.assessment.sag.recharge import recharge, recharge_case
from dossier.assessment.sag.samples import Progress, unheard
from dossier.assessment.supply.budget import load_budget
from dossier.assessment.supply.charging import charging
from dossier.assessment.supply.energy import Reserves
from dossier.assessment.supply.engine_states import states_of
from dossier.assessment.supply.storage import storage
from dossier.buildfile.model import Build
from dossier.buildfile.source import BuildFileError
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.simulations import each_once
from dossier.diagnostic import Diagnostic
from dossier.equipment.installed import Installed, installed, running
from dossier.findings.every import every_finding
from dossier.findings.rule import Examined
from dossier.reader.promised import as_fine_as
from dossier.results.overview import Results
from dossier.results.ripple import RippleReading

if TYPE_CHECKING:  # rooms that are opened only where a build asks for them
    from dossier.assessment.proof.logs import UsableLog
    from dossier.results.options import Feed


def assess(
    build: Build,
    *,
    bands: bool = False,
    options: bool = True,
    readings: bool = False,
    unasked: bool = True,
    progress: Progress = unheard,
) -> Results:
    """Everything that can be said about a build.

    Args:
        build: a build as the reader gives it.
        bands: whether to sample the inputs for uncertainty bands.
        options: whether to compare options, find what moves the voltage, and lay measured logs over it.
        readings: whether to sample the load cases that were read, where there are neither bands nor options.
        unasked: whether to compare the ways nobody had to write, too, where the build states no option.
        progress: told what is being computed, and how much of it is done (0..1).

    Returns:
        frozen results; an installation that cannot work is a finding, not an exception.

    Raises:
        BuildFileError: a load case, or a variant of the build, has no operating point that could be followed, or the
            load cases would take too long.
    """
    progress("load cases", 0.0)
    if refused := too_much(build):
        raise BuildFileError((refused,))
    with each_once(), as_fine_as(build.voltage_limits):
        build, ripples = with_measured_ripple(build)
        logs, left_out = _logs(build)
        results = assess_nominal(build, ripples, left_out)
        if not options:
            if readings and figures(build):
                from dossier.assessment.options.with_readings import with_readings

                return with_readings(build, results)
            return results
        from dossier.assessment.options.bands_and_options import with_bands_and_options

        try:
            return with_bands_and_options(
                build, results, assess_nominal, logs, bands=bands, unasked=unasked, progress=progress
            )
        except ConvergenceError as why:
            raise BuildFileError((not_followed(build, str(why)),)) from why


def assess_nominal(
    build: Build, ripples: tuple[RippleReading, ...] = (), left_out: tuple[Diagnostic, ...] = ()
) -> Results:
    """The build itself with nominal values.

    Args:
        build: the build.
        ripples: what its readings of alternating volts said.
        left_out: what is wrong with logs of it that cannot be used.
    """
    fit = installed(build)
    states = {engine.state: running(build, engine) for engine in states_of(build)}
    rows = amplifier_rows(build, fit)
    reserves = Reserves(build, fit, states["stopped"])
    budget = load_budget(build, fit, states, reserves)
    ask_cases(build, fit)
    played = played_warm(
        lambda devices, case: play(build, devices, running(build, case.engine), case),
        fit,
        tuple(build.load_cases.values()),
    )
    cases = tuple(p.result for p in played)
    again = recharge(build, fit, states["cruise"], reserves)
    carried = (*played, again) if isinstance(again, Played) else played
    currents = {id_: tuple(p.currents[id_] for p in carried) for id_ in fit.conductors}
    joined = {id_: tuple(p.couplings[id_] for p in carried if id_ in p.couplings) for id_ in fit.couplings}
    nets = fault_nets(build, fit, states)
    cables = schedule(build, fit, currents, with_asked(build, fit, cases, nets, currents))
    protected = protection(build, fit, nets, cables, currents, joined)
    charged = charging(build, fit, states, cases)
    stored = storage(build, fit, states, reserves, recharge_case(states["cruise"], again), protected.cranking)
    sources = energy_sources(build, fit)
    kept = recorded(build, cases, cables, rows, sources, _fed(build, fit), ripples)
    subject = Examined(build, fit, states, rows, cases, budget, cables, protected, charged, stored, kept, left_out)
    findings = every_finding(subject)
    cures = remedies(subject, nets, currents, findings)
    findings = with_remedies(findings, cures)
    return Results(
        verdict=verdict(build, findings, kept),
        key_figures=key_figures(cases, budget, rows),
        energy_sources=sources,
        further_sources=further_sources(build),
        amplifiers=rows,
        load_cases=cases,
        budget=budget,
        schedule=cables,
        findings=findings,
        inputs=inputs_of(fit, states),
        music=music_of(build),
        protection=replace(protected, remedies=cures),
        charging=charged,
        storage=stored,
        recorded=kept,
        left_live=left_live(build, sources),
        daily=daily_volts(build, fit),
    )


def _logs(build: Build) -> tuple[tuple[UsableLog, ...], tuple[Diagnostic, ...]]:
    """The measured logs; the rooms that read them are opened where there are any."""
    if not build.kept.measurements.logs:
        return (), ()
    from dossier.assessment.proof.logs import read_logs

    return read_logs(build)


def _fed(build: Build, fit: Installed) -> dict[str, Feed]:
    """By sound run that misses its target: whether the build could feed what it takes."""
    if not build.kept.measurements.sound:
        return {}
    from dossier.assessment.options.sound_cost import targets_fed

    return targets_fed(build, fit)
