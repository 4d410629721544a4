"""``dossier check``: validate, compute, print the findings."""

from __future__ import annotations

import argparse
import json
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
    parser.add_argument("build", metavar="BUILD.yaml", type=Path, help="build file")
    parser.add_argument("--show", choices=("full", "concise", "json"), default="full", help="how (default: full)")
    add_units(parser)
    parser.add_argument("--strict", action="store_true", help="exit 1 for a caution too")
    parser.add_argument("-q", "--quiet", action="store_true", help="print nothing that is not an error")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    try:
        configuration = configuration_of(arguments)
    except BuildFileError as error:
        return _unusable(arguments.build, error, arguments.show)
    return check(
        arguments.build,
        show=arguments.show,
        strict=arguments.strict,
        quiet=arguments.quiet,
        configuration=configuration,
        units=arguments.units,
    )


def check(
    path: Path,
    *,
    show: str,
    strict: bool = False,
    quiet: bool = False,
    configuration: Configuration = NO_CONFIGURATION,
    units: str | None = None,
) -> int:
    """Print what is wrong with a build file or an installation.

    Args:
        path: the build file.
        show: full, concise or json.
        strict: whether a caution counts like a stop.
        quiet: whether to print errors of the build file only.
        configuration: the user's, with the units used where the build file says nothing of them.
        units: whose units findings are printed in, before all others; JSON stays SI.

    Returns:
        the exit code.
    """
    try:
        build = with_configuration(read_build(path), configuration)
        with Progress("computing", quiet=quiet):
            from dossier.assessment.assess import assess

            results = assess(build, bands=False, options=False)
    except BuildFileError as error:
        return _unusable(path, error, show)
    if build.kept.photos or build.kept.workshop:
        from dossier.record.photos import prepared, with_findings

        results = with_findings(build, results, prepared(build)[1])
    code = exit_code(results.findings, strict)
    if show == "json":
        _print_json(path, code, results.findings, _results(build, results))
    elif not quiet:
        results = read_by(units_of(build, configuration, units), results)
        print_diagnostics(tuple(f for f in results.findings if f.severity > Severity.OK), show)
        if show == "full":
            _print_load_cases(results)
            _print_remedies(results)
        print(f"{path}: {results.verdict.sentence}")
    return code


def _unusable(path: Path, error: BuildFileError, show: str) -> int:
    if show == "json":
        _print_json(path, Exit.UNUSABLE, error.diagnostics)
    else:
        print_diagnostics(error.diagnostics, show)
    return Exit.UNUSABLE


def _print_load_cases(results: Results) -> None:
    for case in results.load_cases:
        print(f"{case.title} ({case.engine}; {case.signal})")
        for amplifier in case.amplifiers:
            print(f"  {amplifier.title}: {amplifier.outcome.sentence}")
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


def _print_json(path: Path, code: int, diagnostics: tuple[Diagnostic, ...], results: Any = None) -> None:
    """One object, the same keys whether the build file can be used or not; ``schemas/check.schema.json`` says which."""
    rows = [as_json(one) for one in diagnostics]
    tree = {"format": FORMAT, "file": str(path), "exit": int(code), "diagnostics": rows, "results": results}
    print(json.dumps(tree, ensure_ascii=False, indent=1))
