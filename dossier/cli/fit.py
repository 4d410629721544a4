"""``dossier fit``: calibrate a build from a measured log, and write a build file with the fitted values."""

from __future__ import annotations

import argparse
import math
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

from dossier.buildfile.logs.log import LogError
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.reader import BuildFileError, read_build
from dossier.cli.exit_codes import Exit
from dossier.cli.progress import Progress
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import visible
from dossier.diagnostic import Diagnostic, Severity

if TYPE_CHECKING:
    from dossier.buildfile.model import Build, LoadCase
    from dossier.buildfile.recorded import StatedLog
    from dossier.fitting.calibrate import Fit
    from dossier.fitting.parameters import Calibrated


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("build", metavar="BUILD.yaml", type=Path, help="build file")
    parser.add_argument("--log", metavar="RUN.csv", type=Path, required=True, help="the measured log")
    parser.add_argument("--load-case", metavar="NAME", default="", help="what was played (default: the longest tone)")
    parser.add_argument(
        "--column",
        metavar="COLUMN=PLACE",
        action="append",
        default=[],
        help='what a column shows, for example --column "U amp=amplifiers.bass"; again for each (default: by name)',
    )
    parser.add_argument(
        "--starts", metavar="SECONDS", type=float, help="when the sound starts, from the first row of the log"
    )
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=Path, help="build file to write (default: BUILD-fitted.yaml)"
    )


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    return fit(
        arguments.build,
        arguments.log,
        load_case=arguments.load_case,
        columns=arguments.column,
        starts=arguments.starts,
        output=arguments.output,
    )


def fit(
    path: Path,
    log: Path,
    *,
    load_case: str = "",
    columns: list[str] | None = None,
    starts: float | None = None,
    output: Path | None = None,
) -> int:
    """Calibrate a build from a log.

    Returns:
        the exit code: 0; 1 if the build does not explain the log; 2 if build file, log or call cannot be used; 3 if
        the new file cannot be written.
    """
    target = output or path.with_name(f"{path.stem}-fitted.yaml")
    if target.exists():
        return _said(
            Diagnostic(
                "output-exists",
                Severity.ERROR,
                f"{target} exists already; it is never overwritten",
                fix="choose another name with -o",
            ),
            Exit.NOT_WRITTEN,
        )
    try:
        build = read_build(path)
        known = _known_to(build, path, log)
        case = _case(build, load_case or (known.load_case if known else ""))
        stated = dict(_pair(one) for one in columns or []) or (known.columns if known else {})
        if starts is None and known is not None and known.starts is not None:
            starts = known.starts.si
        with Progress("fitting"):
            from dossier.assessment.proof.log_columns import channels_of
            from dossier.fitting.calibrate import ScipyMissingError, calibrate
            from dossier.fitting.judgement import NotExplainedError

            read = read_log(_bytes(log), str(log))
            channels = channels_of(build, read, stated, str(log))
            from dossier.assessment.sag.load_cases import not_followed
            from dossier.circuit.newton import ConvergenceError

            try:
                found = calibrate(build, case, read, channels, starts)
            except ConvergenceError as why:
                raise BuildFileError((not_followed(build, str(why), f"load_cases.{case.id}"),)) from why
            except NotExplainedError as why:
                print_diagnostics(why.diagnostics)
                return Exit.STOP
            except ScipyMissingError:
                return _said(
                    Diagnostic(
                        "scipy-missing",
                        Severity.ERROR,
                        "fitting needs the package scipy, which is not installed",
                        fix='pip install "install-dossier[fit]"',
                    ),
                    Exit.UNUSABLE,
                )
    except (BuildFileError, LogError) as error:
        print_diagnostics(error.diagnostics)
        return Exit.UNUSABLE
    print(as_text(found, case, read.words))
    return _write(build, found, log, target)


def _write(build: Build, found: Fit, log: Path, target: Path) -> int:
    from dossier.fitting.edit import edited, entries

    changes = entries(build, found.results)
    if not changes:
        print("the log tells nothing that was not known; nothing was written")
        return Exit.OK
    note = f"Fitted by dossier to {visible(log.name)}, fit rms {1e3 * found.rms:.0f} mV" + (
        "" if found.adequate else "; model form not adequate"
    )
    try:
        text = edited(build, changes, note)
    except BuildFileError as error:
        print_diagnostics(error.diagnostics)
        return Exit.UNUSABLE
    try:
        with target.open("xb") as file:
            file.write(text)
    except OSError as error:
        return _said(
            Diagnostic(
                "output-not-written",
                Severity.ERROR,
                f"cannot write {target}: {error.strerror or error}",
                fix="choose another place with -o",
            ),
            Exit.NOT_WRITTEN,
        )
    print(f"wrote {target}: {len(changes)} values with basis: fitted; the original is untouched")
    return Exit.OK


def as_text(found: Fit, case: LoadCase, read: str) -> str:
    """The calibration in words."""
    lines = [
        f"load case {visible(case.title)}; {read}",
        visible(found.clock.words),
        "fitted to " + "; ".join(visible(c) for c in found.channels),
        "",
    ]
    lines += [_line(one) for one in found.results]
    lines += [
        "  (± is one standard deviation over repetitions with the same meters; the tolerances in the file are two,",
        "  and include what the meters' own calibration adds)",
        "",
    ]
    lines += [textwrap.fill(f"note: {visible(remark)}", 100, subsequent_indent="  ") for remark in found.remarks]
    for a, b, r in found.correlated:
        lines.append(
            textwrap.fill(
                f"warning: {visible(a)} and {visible(b)} cannot be told apart (correlation {r:+.2f}); log the "
                f"voltage at both ends, "
                "battery post and amplifier terminals",
                100,
                subsequent_indent="  ",
            )
        )
    lines.append(
        f"residual {1e3 * found.rms_before:.0f} mV rms before, {1e3 * found.rms:.0f} mV after; noise of the log "
        f"{1e3 * found.noise:.0f} mV"
    )
    if not found.adequate:
        lines.append(
            textwrap.fill(
                "warning: model form not adequate: the residual is more than twice the noise, so something that is "
                "not fitted differs "
                "(output, efficiency, polarisation, the load case itself). Use the fitted values for programmes "
                "like this one only.",
                100,
                subsequent_indent="  ",
            )
        )
    if not any(one.parameter.id.startswith("efficiency") for one in found.results):
        lines.append("no current was logged: the resistances absorb what efficiency and output are wrong by")
    return "\n".join(lines)


def _line(one: Calibrated) -> str:
    p = one.parameter
    factor, unit = {"ohm": (1e3, "mohm"), "": (100.0, "%")}.get(p.unit, (1.0, p.unit))
    value, sd = p.value(one.theta) * factor, (one.sd if p.shifts else one.sd * p.nominal) * factor
    was = f"{p.nominal * factor:.4g} {unit}"
    told = "" if one.told else "  (this log cannot determine it; unchanged)"
    places = 0 if sd <= 0.0 else max(0, 1 - math.floor(math.log10(sd)))  # two figures of the error
    return f"  {visible(p.title)}: {value:.{places}f} ± {sd:.{places}f} {unit}, was {was}{told}"


def _known_to(build: Build, path: Path, log: Path) -> StatedLog | None:
    """What the build file says of this very file."""
    for one in build.kept.measurements.logs.values():
        if (path.parent / one.file).resolve() == log.resolve():
            return one
    return None


def _case(build: Build, name: str) -> LoadCase:
    from dossier.assessment.sag.full_level_tone import note_case

    if not name and build.load_cases:
        return note_case(build)
    if name in build.load_cases:
        return build.load_cases[name]
    raise LogError(
        Diagnostic(
            "load-case-unknown",
            Severity.ERROR,
            f"the build file has no load case `{visible(name)}`",
            expected="one of " + ", ".join(build.load_cases),
        )
    )


def _pair(text: str) -> tuple[str, str]:
    name, sign, place = text.rpartition("=")
    if not sign:
        raise LogError(
            Diagnostic(
                "usage",
                Severity.ERROR,
                f"--column {visible(text)}: no `=` in it",
                expected='--column "U amp=amplifiers.bass"',
            )
        )
    return name.strip(), place.strip()


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise LogError(
            Diagnostic("log-not-read", Severity.ERROR, f"cannot read {path}: {error.strerror or error}")
        ) from error


def _said(problem: Diagnostic, code: Exit) -> int:
    print_diagnostics((problem,))
    return code
