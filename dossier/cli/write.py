"""``dossier write``: the PDF of one or more build files."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

from dossier.buildfile.file_names import file_stem
from dossier.buildfile.source import BuildFileError
from dossier.cli.choices import add_jobs, add_units, configuration_of
from dossier.cli.exit_codes import Exit
from dossier.cli.one_build import Request, Written
from dossier.cli.progress import Progress
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import terminal
from dossier.diagnostic import Diagnostic, Severity
from dossier.reader.wording import ENGLISH, languages

EDITIONS = ("workshop", "customer", "inspector", "entry")
_LOOK = 0.3  # s between two looks at the files that are watched


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("builds", metavar="BUILD.yaml", type=Path, nargs="+", help="build file")
    parser.add_argument(
        "-o", "--output", metavar="DIR", type=Path, default=Path("output"), help="where to (default: output)"
    )
    parser.add_argument(
        "--paper", choices=("a4", "letter"),
        help="paper size (default: that of the build file or the configuration, else a4)",
    )
    add_units(parser)
    parser.add_argument("--language", choices=languages(), default=ENGLISH, help="of the wording (default: en)")
    parser.add_argument(
        "--edition", choices=(*EDITIONS, "all"), action="append",
        help="which document; several times for several (default: that of the configuration, else workshop)",
    )
    parser.add_argument("--results", action="store_true", help="also write <stem>.results.json")
    parser.add_argument("--tables", action="store_true", help="also write schedule, budget, traces, cable list as CSV")
    parser.add_argument("--quick", action="store_true", help="leave out the uncertainty bands")
    parser.add_argument("--strict", action="store_true", help="exit 1 for a caution too")
    add_jobs(parser, "for builds side by side or the simulations of one")
    parser.add_argument(
        "--summary", choices=("table", "csv", "json"), default="table",
        help="the summary on standard output; with csv or json everything else goes to standard error",
    )
    parser.add_argument("--watch", action="store_true", help="write again whenever a build file is saved")
    parser.add_argument("-q", "--quiet", action="store_true", help="print nothing that is not an error")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    builds: list[Path] = arguments.builds
    if clash := _same_output(builds):
        print_diagnostics((clash,))
        return Exit.UNUSABLE
    try:
        configuration = configuration_of(arguments)
    except BuildFileError as error:
        print_diagnostics(error.diagnostics)
        return Exit.UNUSABLE
    asked: list[str] = arguments.edition or [configuration.edition or "workshop"]
    request = Request(
        directory=arguments.output,
        paper=arguments.paper,
        results=arguments.results,
        tables=arguments.tables,
        quick=arguments.quick,
        strict=arguments.strict,
        editions=tuple(one for one in EDITIONS if one in asked or "all" in asked),
        entry_where_recorded="entry" not in asked,
        units=arguments.units,
        language=arguments.language,
        configuration=configuration,
    )
    code = write(builds, request, jobs=arguments.jobs, summary=arguments.summary, quiet=arguments.quiet)
    return _watch(builds, request, arguments) if arguments.watch else code


def write(
    builds: Sequence[Path], request: Request, *, jobs: int = 1, summary: str = "table", quiet: bool = False
) -> int:
    """Write the dossier of every build file; one that cannot be used does not stop the others.

    Args:
        builds: the build files.
        request: what is asked for.
        jobs: most processes: of builds side by side, or for the simulations of one.
        summary: table, csv or json.
        quiet: whether to print errors only.

    Returns:
        the worst exit code.
    """
    from dossier.circuit.simulations import side_by_side
    from dossier.cli.processes import write_all

    speaks = sys.stdout if summary == "table" else sys.stderr
    every: list[Written] = []
    said = "writing" if len(builds) == 1 else f"writing {len(builds)} builds"
    with side_by_side(jobs if len(builds) == 1 else 1):
        line = Progress(said, quiet=quiet or (jobs > 1 and len(builds) > 1))
        results = write_all(builds, request, jobs, line.tell)
        while True:
            with line:
                one = next(results, None)
            if one is None:
                break
            every.append(one)
            _print_one(one, speaks, alone=len(builds) == 1, quiet=quiet)
    if summary == "table":
        if len(every) > 1 and not quiet:
            from dossier.cli.summary import as_table

            print(f"\n{as_table(every, terminal(sys.stdout)[1])}")
    else:
        from dossier.cli.summary import as_csv, as_json

        sys.stdout.write(as_csv(every) if summary == "csv" else as_json(every))
    sys.stdout.flush()
    return max(int(one.code) for one in every)


def _print_one(one: Written, stream: TextIO, *, alone: bool, quiet: bool) -> None:
    """What came of one build: a line, or for a single build where everything went."""
    if one.problems:
        print_diagnostics(one.problems, "full" if alone else "concise")
        return
    if quiet:
        return
    if alone:
        for file in one.files:
            print(f"wrote {file}", file=stream)
        print(f"{one.verdict} ({one.seconds:.1f} s)", file=stream)
        if one.readings_aside:
            print("A quick run plays no samples: the recorded readings narrow no band.", file=stream)
    else:
        print(f"wrote {one.files[0]}: {one.verdict} ({one.seconds:.1f} s)", file=stream)
    stream.flush()


def _same_output(builds: Sequence[Path]) -> Diagnostic | None:
    """Two build files of one name would write one dossier: refused, also where only capitals differ."""
    known: dict[str, Path] = {}
    for path in builds:
        other = known.setdefault(file_stem(path.stem).casefold(), path)
        if other is not path:
            return Diagnostic(
                "same-output", Severity.ERROR,
                f"{other} and {path} would both be written to {file_stem(path.stem)}.pdf; nothing was written",
                fix="name each build file once and differently, or write them in two calls with different -o",
            )
    return None


def _watch(builds: Sequence[Path], request: Request, arguments: argparse.Namespace) -> int:
    """Write again whatever is saved, until interrupted."""
    seen = {path: _state(path) for path in builds}
    if not arguments.quiet:
        print("watching; Ctrl-C ends", file=sys.stderr)
    while True:
        time.sleep(_LOOK)
        changed = [path for path in builds if _state(path) not in (seen[path], None)]
        if changed:
            seen.update({path: _state(path) for path in changed})
            write(changed, request, jobs=arguments.jobs, summary=arguments.summary, quiet=arguments.quiet)


def _state(path: Path) -> tuple[int, int, int] | None:
    """What changes when a file is saved; None while there is none (editors replace files)."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
