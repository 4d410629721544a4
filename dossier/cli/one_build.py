"""One build file to its dossier, and what came of it: the part of ``write`` that runs in its own process."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from dossier.buildfile.configuration import with_configuration
from dossier.buildfile.reader import BuildFileError, read_build
from dossier.buildfile.recorded import NO_CONFIGURATION, Configuration
from dossier.cli.choices import paper_of, units_of
from dossier.cli.exit_codes import Exit, exit_code
from dossier.cli.terminal import visible
from dossier.diagnostic import Diagnostic, Severity
from dossier.frozen import dataclass
from dossier.reader.promised import as_fine_as, low_v

if TYPE_CHECKING:
    from dossier.buildfile.model import Build
    from dossier.results.overview import Results

COMPUTING = 0.8  # of the time of a dossier, about; the rest sets its pages


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked for, the same for every build of a call."""

    directory: Path
    paper: Literal["a4", "letter"] | None  # None: as the build file or the configuration says
    results: bool  # results.json too
    tables: bool  # CSV tables too
    quick: bool
    strict: bool
    editions: tuple[str, ...] = ("workshop",)
    entry_where_recorded: bool = False  # the entry edition is written where runs are recorded, else left out
    units: Literal["metric", "us"] | None = None  # None: as the build file or the configuration says
    configuration: Configuration = NO_CONFIGURATION
    language: str = "en"


@dataclass(frozen=True, slots=True)
class Written:
    """What came of one build.

    Attributes:
        path: the build file.
        code: its exit code.
        verdict: one sentence: the verdict, or what went wrong.
        severity: the worst severity in words.
        files: what was written.
        worst_v: the lowest mean voltage at an amplifier over all load cases [V]; None if there is none to state.
        worst_case: the load case it belongs to.
        volts: the lowest voltage as printed.
        collapses: whether a load case has no voltage to state.
        counts: findings by severity: stop, caution, note.
        problems: why nothing was written.
        seconds: how long it took.
    """

    path: Path
    code: int
    verdict: str
    severity: str
    files: tuple[Path, ...] = ()
    worst_v: float | None = None
    worst_case: str = ""
    volts: str = ""
    collapses: bool = False
    counts: tuple[int, int, int] = (0, 0, 0)
    problems: tuple[Diagnostic, ...] = ()
    seconds: float = 0.0
    readings_aside: bool = False  # something was read, and no samples were played that it could tell


def load() -> None:
    """Import everything a build needs, once, before processes divide."""
    import dossier.assessment.assess
    import dossier.record.write  # noqa: F401


def write_one(path: Path, request: Request, progress: Callable[[str, float], None] | None = None) -> Written:
    """Read, compute and write one build; ``progress`` is told what is being done, and how much of all (0..1).

    Never raises for what a user can cause; an error of our own passes.
    """
    started = time.perf_counter()
    try:
        build = with_configuration(read_build(path), request.configuration)
        editions = _editions(build, request)
        from dossier.assessment.assess import assess

        def told(what: str, done: float) -> None:
            if progress:
                progress(visible(f"{path.stem}: {what}"), COMPUTING * done)

        results = assess(build, bands=not request.quick, unasked=not request.quick, progress=told)
        told("setting the pages", 1.0)
    except BuildFileError as error:
        return _failed(path, Exit.UNUSABLE, error.diagnostics, started)
    from dossier.record.photos import prepared, with_findings
    from dossier.record.write import OutputError, write_dossier

    units = units_of(build, request.configuration, request.units)
    photos, refused = prepared(build)
    results = with_findings(build, results, refused)

    try:
        files = write_dossier(
            build,
            results,
            request.directory,
            photos=photos,
            paper=paper_of(build, request.configuration, request.paper),
            units=units,
            language=request.language,
            editions=editions,
            results_json=request.results,
        )
        if request.tables:
            from dossier.record.tables_csv import write_tables

            files += write_tables(build, results, request.directory, units)
    except OutputError as error:
        return _failed(path, Exit.NOT_WRITTEN, (error.diagnostic,), started)
    worst_v, worst_case, collapses = _worst(results)
    with as_fine_as(build.voltage_limits):
        volts = "collapse" if collapses else "" if worst_v is None else f"{low_v(worst_v)} V"
    return Written(
        path=path,
        code=exit_code(results.findings, request.strict),
        verdict=results.verdict.sentence,
        severity=results.verdict.severity.word,
        files=files,
        worst_v=worst_v,
        worst_case=worst_case,
        volts=volts,
        collapses=collapses,
        counts=_counts(results.findings),
        seconds=time.perf_counter() - started,
        readings_aside=request.quick and bool(results.recorded.readings or results.recorded.joints),
    )


def _editions(build: Build, request: Request) -> tuple[str, ...]:
    """Those asked for; one for a competition entry needs runs.

    Raises:
        BuildFileError: it was asked for by name and no run is recorded.
    """
    if "entry" not in request.editions or build.kept.measurements.sound:
        return request.editions
    if request.entry_where_recorded:
        return tuple(one for one in request.editions if one != "entry")
    raise BuildFileError((
        Diagnostic(
            "no-runs", Severity.ERROR,
            "the entry edition is made of sound-level runs, and the build file records none",
            path="measurements.sound",
            fix="record a run in measurements.sound, with level, position, instrument; or ask for another edition",
        ),
    ))  # fmt: skip


def failed(path: Path, problem: BaseException) -> Written:
    """What is said when an error of our own stopped a build."""
    said = Diagnostic(
        "internal", Severity.ERROR, f"{type(problem).__name__}: {problem}",
        fix="this is a fault of dossier, not of your build file; DOSSIER_TRACEBACK=1 shows where it happened",
    )
    return _failed(path, Exit.OUR_FAULT, (said,), time.perf_counter())


def not_written(path: Path, problem: OSError | MemoryError) -> Written:
    """What is said when the system refused something on the way: a full disk, no place for temporary files, memory."""
    if isinstance(problem, MemoryError):
        full = Diagnostic("out-of-memory", Severity.ERROR, f"{path}: there is not enough memory; nothing was written")
        return _failed(path, Exit.NOT_WRITTEN, (full,), time.perf_counter())
    what = f" {problem.filename}" if problem.filename else ""
    said = Diagnostic(
        "output-not-written", Severity.ERROR, f"cannot read or write{what}: {problem.strerror or problem}",
        consequence="Nothing was written; a file that was there before is unchanged.",
        fix="Mend or remove what is named, or free some space; TMPDIR names another folder for temporary files.",
    )
    return _failed(path, Exit.NOT_WRITTEN, (said,), time.perf_counter())


def _failed(path: Path, code: Exit, problems: tuple[Diagnostic, ...], started: float) -> Written:
    more = f" and {len(problems) - 1} more" if len(problems) > 1 else ""
    return Written(
        path=path, code=code, verdict=f"{problems[0].headline}{more}", severity=Severity.ERROR.word,
        problems=problems, seconds=time.perf_counter() - started,
    )


def _worst(results: Results) -> tuple[float | None, str, bool]:
    """Lowest mean voltage at an amplifier, its load case, and whether any load case has none to state."""
    lows = [(a.mean_minimum.volts, case.title) for case in results.load_cases for a in case.amplifiers]
    collapses = any(volts is None for volts, _ in lows)
    known = [(volts, title) for volts, title in lows if volts is not None]
    if not known:
        return None, "", collapses
    volts, title = min(known)
    return volts, title, collapses


def _counts(findings: tuple[Diagnostic, ...]) -> tuple[int, int, int]:
    counted = {severity: sum(f.severity is severity for f in findings) for severity in Severity}
    return counted[Severity.STOP], counted[Severity.CAUTION], counted[Severity.NOTE]

