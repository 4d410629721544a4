"""``dossier write``: the PDF of one or more build files."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from dossier.buildfile.reader import BuildFileError, read_build
from dossier.cli.check import exit_code, print_diagnostics
from dossier.cli.exit_codes import Exit


def write(paths: list[Path], *, directory: Path, paper: str, results: bool, quick: bool, strict: bool) -> int:
    """Write the dossier of every build file; one that cannot be used does not stop the others.

    Args:
        paths: the build files.
        directory: where to write.
        paper: a4 or letter.
        results: whether to write results.json too.
        quick: whether to leave out the uncertainty bands.
        strict: whether a caution counts like a stop.

    Returns:
        the worst exit code.
    """
    return max(
        _write_one(path, directory, paper=paper, results_json=results, quick=quick, strict=strict)
        for path in paths
    )


def _write_one(
    path: Path, directory: Path, *, paper: str, results_json: bool, quick: bool, strict: bool
) -> int:
    started = time.perf_counter()
    try:
        build = read_build(path)
    except BuildFileError as error:
        print_diagnostics(error.diagnostics, "full")
        return Exit.UNUSABLE
    from dossier.assessment.assess import assess

    results = assess(build, bands=not quick)
    from dossier.record.write import OutputError, write_dossier

    try:
        written = write_dossier(build, results, directory, paper=paper, results_json=results_json)
    except OutputError as error:
        print_diagnostics((error.diagnostic,), "full")
        return Exit.NOT_WRITTEN
    took = time.perf_counter() - started
    for file in written:
        print(f"wrote {file}")
    print(f"{results.verdict.sentence} ({took:.1f} s)")
    sys.stdout.flush()
    return exit_code(results.findings, strict)
