"""``dossier check``: validate, compute, print the findings."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dossier.buildfile.configuration import with_configuration
from dossier.buildfile.reader import BuildFileError, read_build
from dossier.buildfile.recorded import NO_CONFIGURATION, Configuration
from dossier.cli.choices import add_units, configuration_of, units_of
from dossier.cli.exit_codes import Exit, exit_code
from dossier.cli.progress import Progress
from dossier.cli.said import as_json, print_diagnostics
from dossier.diagnostic import Diagnostic, Severity
from dossier.reader.reading import read_by

if TYPE_CHECKING:
    from dossier.buildfile.model import Build
    from dossier.results.overview import Results

FORMAT = 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("builds", metavar="BUILD.yaml", type=Path, nargs="+", help="build file")
    parser.add_argument(
        "--show", choices=("full", "concise", "json"), default="full",
        help="how (default: full); json is one object, of several build files a list of them",
    )
    add_units(parser)
    parser.add_argument("--strict", action="store_true", help="exit 1 for a caution too")
    parser.add_argument("-q", "--quiet", action="store_true", help="print nothing that is not an error")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    try:
        configuration = configuration_of(arguments)
    except BuildFileError as error:
        if arguments.show == "json":
            _print_json([_object(path, Exit.UNUSABLE, error.diagnostics) for path in arguments.builds])
        else:
            print_diagnostics(error.diagnostics, arguments.show)
        return Exit.UNUSABLE
    return check(
        arguments.builds,
        show=arguments.show,
        strict=arguments.strict,
        quiet=arguments.quiet,
        configuration=configuration,
        units=arguments.units,
    )


def check(
    paths: Sequence[Path],
    *,
    show: str,
    strict: bool = False,
    quiet: bool = False,
    configuration: Configuration = NO_CONFIGURATION,
    units: str | None = None,
) -> int:
    """Print what is wrong with build files or installations; one that cannot be used does not stop the others.

    Args:
        paths: the build files.
        show: full, concise or json: one object, of several build files a list of them.
        strict: whether a caution counts like a stop.
        quiet: whether to print errors of the build file only.
        configuration: the user's, with the units used where a build file says nothing of them.
        units: whose units findings are printed in, before all others; JSON stays SI.

    Returns:
        the worst exit code.
    """
    codes, objects = [], []
    for path in paths:
        code, as_data = _check(path, show, strict, quiet, configuration, units)
        codes.append(code)
        objects.append(as_data)
    if show == "json":
        _print_json(objects)
    return max(codes)


def _check(
    path: Path, show: str, strict: bool, quiet: bool, configuration: Configuration, units: str | None
) -> tuple[int, dict[str, Any]]:
    """One build file: its exit code, and its object where JSON is asked for; anything else is printed."""
    try:
        build = with_configuration(read_build(path), configuration)
        with Progress("computing", quiet=quiet):
            from dossier.assessment.assess import assess

            results = assess(build, bands=False, options=False, readings=True)
    except BuildFileError as error:
        if show == "json":
            return Exit.UNUSABLE, _object(path, Exit.UNUSABLE, error.diagnostics)
        print_diagnostics(error.diagnostics, show)
        return Exit.UNUSABLE, {}
    if build.kept.photos or build.kept.workshop:
        from dossier.record.photos import prepared, with_findings

        results = with_findings(build, results, prepared(build)[1])
    code = exit_code(results.findings, strict)
    if show == "json":
        return code, _object(path, code, results.findings, _results(build, results))
    if not quiet:
        results = read_by(units_of(build, configuration, units), results)
        print_diagnostics(tuple(f for f in results.findings if f.severity > Severity.OK), show)
        if show == "full":
            _print_load_cases(results)
            _print_readings(results)
            _print_remedies(results)
        print(f"{path}: {results.verdict.sentence}", flush=True)
    return code, {}


def _print_load_cases(results: Results) -> None:
    for case in results.load_cases:
        print(f"{case.title} (engine {case.engine}; {case.signal})")
        for amplifier in case.amplifiers:
            print(f"  {amplifier.title}: {amplifier.outcome.sentence}")
    print()


def _print_readings(results: Results) -> None:
    rows = results.recorded.readings
    for one in rows:
        low, high = one.predicted_low, one.predicted_high
        span = "" if low is None or high is None else f" ({low:.2f}-{high:.2f})"
        predicted = "nothing predicted" if one.predicted is None else f"{one.predicted:.2f} {one.unit} predicted{span}"
        what = ", ".join(part for part in (one.title, one.where, one.case) if part)
        print(f"{what}: {one.value:.2f} {one.unit} read, {predicted}; {one.remark}")
    for joint in results.recorded.joints:
        if joint.use is not None:
            low, high = joint.predicted_low, joint.predicted_high
            span = "" if low is None or high is None else f", {1e3 * low:.2f}-{1e3 * high:.2f} predicted"
            print(f"{joint.title}: {1e3 * joint.resistance:.2f} mohm read{span}; {joint.remark}")
    told = results.recorded.told
    if told is not None and told.explained:
        for case in results.load_cases:
            for place in case.amplifiers:
                before, after = place.mean_minimum.band, place.mean_minimum.band_with_readings
                if before is not None and after is not None and None not in (before.low, after.low):
                    print(
                        f"{place.title}, {case.title}, lowest mean: {before.low:.1f}-{before.high:.1f} V before the "
                        f"readings, {after.low:.1f}-{after.high:.1f} V with them"
                    )
        for moved in told.moved:
            print(f"{moved.device}, {moved.quantity}: {moved.low} to {moved.high} if the others are within their bands")
    if told is not None and told.symptom is not None:
        print("\n".join(told.symptom.words))
    if rows or results.recorded.joints:
        print()


def _print_remedies(results: Results) -> None:
    for remedy in results.protection.remedies:
        print(f"{remedy.title}: {remedy.words}")
        if remedy.patch is not None:
            print(f"  {json.dumps(remedy.patch, ensure_ascii=False)}")
    if results.protection.remedies:
        print()


def _results(build: Build, results: Results) -> Any:
    from dossier import __version__
    from dossier.record.results_json import results_json

    return json.loads(results_json(results, build=build.name, program=f"install-dossier {__version__}"))


def _object(path: Path, code: int, diagnostics: tuple[Diagnostic, ...], results: Any = None) -> dict[str, Any]:
    """One object, the same keys whether the build file can be used or not; ``schemas/check.schema.json`` says which."""
    rows = [as_json(one) for one in diagnostics]
    return {"format": FORMAT, "file": str(path), "exit": int(code), "diagnostics": rows, "results": results}


def _print_json(objects: Sequence[dict[str, Any]]) -> None:
    """One object as it is, several as a list."""
    print(json.dumps(objects[0] if len(objects) == 1 else objects, ensure_ascii=False, indent=1))
