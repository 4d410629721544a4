"""What is said beyond the build with its nominal values: bands, options, what to measure next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from dossier.assessment.conductors.warming import with_metal
from dossier.assessment.options.options import compare, plan
from dossier.assessment.options.sensitivity import sensitivity
from dossier.assessment.options.with_readings import with_bands
from dossier.assessment.proof.logs import UsableLog, logs_over
from dossier.assessment.proof.ripple_readings import Explained
from dossier.assessment.sag.sampled import ask_bands
from dossier.assessment.sag.samples import SAMPLES, SEED, Progress
from dossier.buildfile.model import Build
from dossier.circuit.sampler import InputSampler, nominal
from dossier.equipment.installed import installed, running
from dossier.results.overview import Results


def with_bands_and_options(
    build: Build,
    results: Results,
    compute: Callable[[Build], Results],
    logs: Sequence[UsableLog],
    *,
    bands: bool,
    unasked: bool,
    progress: Progress,
) -> Results:
    """The same results with bands (where asked for), options beside the build, and what moves the voltage.

    Args:
        build: the build.
        results: what was computed of it with nominal values.
        compute: takes an option's build to its nominal results.
        logs: those of the build that can be used.
        bands: whether to sample the inputs.
        unasked: whether to compare the ways nobody had to write, too, where the build states no option.
        progress: told what is being computed.
    """
    draw: InputSampler = nominal
    count = 0
    if bands:
        samples = Explained(build, SAMPLES, SEED)
        draw, count = samples, SAMPLES
        fit = installed(build)
        for case in results.load_cases:
            asked = build.load_cases[case.id]
            ask_bands(build, with_metal(fit, case.warm_metal), running(build, asked.engine), asked, case, samples)
    ways = plan(build, results) if unasked or build.options else None
    if ways is not None:
        ways.ask(draw)
    told = None
    if bands:
        results, told = with_bands(build, results, samples, progress)
    progress("measured logs", 0.28)
    results = replace(results, logs=logs_over(build, logs))
    if ways is None:
        return results
    progress("what moves the voltage", 0.3)
    results = replace(results, sensitivity=sensitivity(build, installed(build), results))

    def heard(what: str, done: float) -> None:
        progress(what, 0.35 + 0.65 * done)

    return replace(results, options=compare(build, results, compute, ways, draw, count, heard, told))
