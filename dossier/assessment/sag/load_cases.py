"""Each load case: simulate it, then say what every instrument would show and how it ends."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from dossier.assessment.sag.currents import ConductorCurrent
from dossier.assessment.sag.outcomes import Judged, outcome_of
from dossier.assessment.sag.places import BASE_LOAD, judged_statistic, limit_checks, mean_at
from dossier.assessment.sag.programmes import programme_of, signal_words, sound_ends
from dossier.assessment.sag.traces import KEPT_POINTS, frozen, minimum, moving_average, thinned, time_mean
from dossier.assessment.supply.engine_states import engine_words
from dossier.buildfile.model import Build, LoadCase
from dossier.buildfile.source import BuildFileError
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.programme import LEAD_IN_S, Programme
from dossier.circuit.sampler import nominal
from dossier.circuit.settings import Settings
from dossier.circuit.simulations import current
from dossier.circuit.trace import Cycle, Transient
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import Wired, wire
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.installed import Installed, Running, running
from dossier.frozen import dataclass
from dossier.results.sag import AmplifierSag, LoadCaseResult, LocationSag, Reading, SourceShare, Trace

FULL_LEVEL = 0.98  # of the programme's own peak: where the output at full level is read


@dataclass(frozen=True, slots=True)
class Played:
    """A load case with the currents that its conductors and its closed couplings carried."""

    result: LoadCaseResult
    currents: dict[str, ConductorCurrent]
    couplings: dict[str, ConductorCurrent]


@dataclass(frozen=True, slots=True)
class _Run:
    """A finished run with what is needed to read it: ``kept`` points for the paper, when the sound ``ends``."""

    build: Build
    fit: Installed
    base_at: str
    case: LoadCase
    wired: Wired
    programme: Programme
    transient: Transient
    kept: NDArray[np.intp]
    ends: float


def play(build: Build, fit: Installed, run: Running, case: LoadCase) -> Played:
    """Simulate a load case with nominal values and read its results.

    Raises:
        BuildFileError: the network has no operating point that could be followed; at the line of the load case.
    """
    programme = programme_of(case)
    wired = wire(build, fit, run, case, nominal)
    try:
        transient = simulate(wired.network, programme)
    except ConvergenceError as why:
        raise BuildFileError((not_followed(build, str(why), f"load_cases.{case.id}"),)) from why
    voltages = (transient.voltage(port).mean[:, 0] for port in wired.amplifiers)
    kept = thinned(transient.t, KEPT_POINTS, *voltages)
    done = _Run(build, fit, run.base.at, case, wired, programme, transient, kept, sound_ends(programme))
    amplifiers = tuple(_amplifier(done, id_) for id_ in fit.amplifiers)
    playing = [a for a in amplifiers if _plays(case, a.id)]
    lowest = min(playing, key=lambda a: -1.0 if a.mean_minimum.volts is None else a.mean_minimum.volts)
    result = LoadCaseResult(
        id=case.id,
        title=case.title,
        engine=engine_words(run.engine, run.speed.nominal),
        signal=signal_words(case),
        drive=case.drive,
        level_db=0.0 if case.level is None else 10.0 * float(np.log10(case.level.si)),
        lead_in=LEAD_IN_S,
        sound_ends=done.ends - LEAD_IN_S,
        t=frozen(transient.t[kept] - LEAD_IN_S),
        amplifiers=amplifiers,
        locations=tuple(_location(done, id_) for id_ in wired.nodes),
        sources=_sources(done),
        worst=lowest.id,
        statistic=judged_statistic(build.amplifier_limit),
    )
    joined = [id_ for id_ in fit.couplings if f"couplings.{id_}" in transient.ports]
    return Played(
        result,
        {id_: _current(done, _flow(done, id_)) for id_ in fit.conductors},
        {id_: _current(done, transient.current(f"couplings.{id_}")) for id_ in joined},
    )


def ask_cases(build: Build, fit: Installed) -> None:
    """Have all load cases played ahead, where another process can."""
    if (simulations := current()).helped:
        for case in build.load_cases.values():
            wired = wire(build, fit, running(build, case.engine), case, nominal)
            simulations.ask(wired.network, programme_of(case), Settings())


def not_followed(build: Build, why: str, path: str = "load_cases") -> Diagnostic:
    """What is said of a load case that cannot be computed: refused, since a guess could hurt someone."""
    which = f"load case `{path.rpartition('.')[2]}`" if "." in path else "one of the variants of the build"
    return Diagnostic(
        "load-case-not-computed",
        Severity.ERROR,
        f"{which} cannot be computed: {why}",
        path,
        build.places.get(path),
        expected="devices whose values fit together: sources that can feed what is asked of them",
        fix="look for a value far from that of any real device (a resistance, the input or output of a converter, a "
        "threshold), or ask less of the load case",
    )


def _plays(case: LoadCase, amplifier: str) -> bool:
    return not case.amplifiers or amplifier in case.amplifiers


def _reading(t: Trace, v: Trace, ends: float) -> Reading:
    found = minimum(t, v, LEAD_IN_S, ends)
    return Reading(None) if found is None else Reading(found[0], found[1] - LEAD_IN_S)


def _amplifier(done: _Run, id_: str) -> AmplifierSag:
    run, case, a, port = done.transient, done.case, done.fit.amplifiers[id_], f"amplifiers.{id_}"
    limit = done.build.amplifier_limit
    cycle, current = run.voltage(port), run.current(port)
    mean, trough = cycle.mean[:, 0], cycle.trough[:, 0]
    traces = _traces(run.t, mean, trough)
    rippled = done.programme.tone_hz is not None
    starved_at = _starved_at(done, (id_,))
    starved = bool(np.isfinite(starved_at))
    readings = _readings(done, traces, starved=starved)
    asked = 0.0
    if _plays(case, id_):
        asked = a.output.nominal * (1.0 if case.level is None else case.level.si)
        asked *= 2.0 if case.drive == "clipped" else 1.0
    output = None if starved else _lowest_output(done, port, asked)
    judged = judged_statistic(limit)
    q = getattr(limit, judged)
    found = run.outcomes[port][0]
    off = next((s.t for s in found.switchings if not s.on), None)
    return AmplifierSag(
        id=id_,
        title=a.title,
        mean=frozen(_until(run.t, mean, starved_at)[done.kept]),
        trough=frozen(_until(run.t, trough, starved_at)[done.kept]) if rippled else None,
        rest=float(mean[0]),
        mean_minimum=readings["mean"],
        minimum_100ms=readings["minimum_100ms"],
        trough_minimum=readings["trough"] if rippled else None,
        asked_w=asked,
        output_w=output,
        lost_db=None if output is None else 10.0 * float(np.log10(max(output, 1e-3) / asked)),
        input_a_mean=time_mean(run.t, current.mean[:, 0], LEAD_IN_S, done.ends),
        input_a_peak=float(np.nanmax(current.crest[:, 0])),
        outcome=outcome_of(
            found,
            Judged(run.t, traces[judged], None if q is None else q.si, judged, done.ends),
            readings["mean"],
            {id_: title for id_, (title, kind) in done.wired.sources.items() if kind == "battery"},
            a.shutdown.nominal,
            -np.inf if off is None else float(mean[int(np.argmax(run.t >= off))]),
        ),
        limits=limit_checks(limit, readings, rippled),
    )


def _traces(t: Trace, mean: Trace, trough: Trace) -> dict[str, Trace]:
    """The trace of each statistic."""
    return {"mean": mean, "minimum_100ms": moving_average(t, mean), "trough": trough}


def _readings(done: _Run, traces: dict[str, Trace], *, starved: bool) -> dict[str, Reading]:
    """What instruments show; nothing where a protection ended a collapse: what it left is not what was asked for."""
    if starved:
        return dict.fromkeys(traces, Reading(None))
    return {name: _reading(done.transient.t, trace, done.ends) for name, trace in traces.items()}


def _starved_at(done: _Run, amplifiers: Iterable[str]) -> float:
    """When the first of some amplifiers was switched off for want of an operating point [s]; inf if none was."""
    found = (done.transient.outcomes[f"amplifiers.{id_}"][0].starved_t for id_ in amplifiers)
    return min((t for t in found if t is not None), default=np.inf)


def _until(t: Trace, values: Trace, end: float) -> Trace:
    """The trace with what follows ``end`` s taken away; the operating point before the switch at ``end`` stays."""
    if np.isinf(end):
        return values
    kept = t < end
    kept[int(np.argmax(t >= end))] = True
    return np.where(kept, values, np.nan)


def _lowest_output(done: _Run, port: str, asked: float) -> float | None:
    """Lowest output while full level was asked [W]; None after a collapse or where nothing was asked."""
    run, levels = done.transient, done.programme.levels
    if asked <= 0.0 or not np.isnan(run.ended[0]):
        return None
    output = run.output[:, 0, run.amplifiers.index(port)]
    level = np.interp(run.t, done.programme.times, levels)
    full = (run.t >= LEAD_IN_S) & (run.t <= done.ends) & (level >= FULL_LEVEL * float(np.max(levels)))
    return float(np.min(output[full] / level[full])) if full.any() else None


def _location(done: _Run, id_: str) -> LocationSag:
    run = done.transient
    v = mean_at(done.wired, run, id_)[:, 0]
    there = [a.id for a in done.fit.amplifiers.values() if a.at == id_]
    starved_at = _starved_at(done, there)
    trough = run.voltage(BASE_LOAD).trough[:, 0] if id_ == done.base_at else v
    readings = _readings(done, _traces(run.t, v, trough), starved=bool(np.isfinite(starved_at)))
    rippled = done.programme.tone_hz is not None
    return LocationSag(
        id=id_,
        title=done.build.locations[id_].title,
        mean=frozen(_until(run.t, v, starved_at)[done.kept]),
        rest=float(v[0]),
        mean_minimum=readings["mean"],
        limits=limit_checks(done.build.vehicle_limit, readings, rippled) if id_ == done.base_at else (),
    )


def _sources(done: _Run) -> tuple[SourceShare, ...]:
    run = done.transient
    rows = []
    for id_, (title, kind) in done.wired.sources.items():
        port = id_ if id_ in run.ports else f"{id_}.out"
        given = -run.current(port).mean[:, 0]
        volts = run.voltage(port).mean[:, 0]
        inside = (run.t >= LEAD_IN_S) & (run.t <= done.ends) & ~np.isnan(given)
        seconds = float(run.t[inside][-1] - run.t[inside][0]) if inside.any() else 0.0
        mean = time_mean(run.t, given, LEAD_IN_S, done.ends)
        energy = time_mean(run.t, given * volts, LEAD_IN_S, done.ends) * seconds
        peak = float(np.max(given[inside])) if inside.any() else 0.0
        rows.append((id_, title, kind, peak, mean, mean * seconds, energy))
    total = sum(max(r[5], 0.0) for r in rows if r[2] != "dc_dc") or 1.0  # a converter passes on what others gave
    return tuple(SourceShare(*r, share=None if r[2] == "dc_dc" else max(r[5], 0.0) / total) for r in rows)


def _flow(done: _Run, conductor: str) -> Cycle:
    """Current of a conductor [A]; none in one that an open contact cuts off."""
    if conductor in done.wired.conductors:
        return done.transient.branch_current(f"cables.{conductor}")
    nothing = np.zeros((len(done.transient.t), 1))
    return Cycle(nothing, nothing, nothing, nothing)


def _current(done: _Run, cycle: Cycle) -> ConductorCurrent:
    run, signal = done.transient, done.case.signal
    largest = np.maximum(np.abs(cycle.crest[:, 0]), np.abs(cycle.trough[:, 0]))
    return ConductorCurrent(
        case=done.case.title,
        mean=abs(time_mean(run.t, cycle.mean[:, 0], LEAD_IN_S, done.ends)),
        rms=time_mean(run.t, cycle.rms[:, 0], LEAD_IN_S, done.ends, rms=True),
        peak=float(np.nanmax(largest)),
        seconds=done.ends - LEAD_IN_S,
        goes_on=signal.kind != "tone",
        burst=signal.burst.si if signal.burst else 0.0,
        every=signal.every.si if signal.every else 0.0,
    )
