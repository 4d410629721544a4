"""``dossier check``: validate, compute, print the findings."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from dossier.buildfile.reader import BuildFileError, read_build
from dossier.cli.exit_codes import Exit
from dossier.cli.terminal import render, terminal
from dossier.diagnostic import Diagnostic, Severity


def check(path: Path, *, show: str, strict: bool) -> int:
    """Print what is wrong with a build file or an installation.

    Args:
        path: the build file.
        show: full, concise or json.
        strict: whether a caution counts like a stop.

    Returns:
        the exit code.
    """
    try:
        build = read_build(path)
    except BuildFileError as error:
        print_diagnostics(error.diagnostics, show)
        return Exit.UNUSABLE
    from dossier.assessment.assess import assess

    results = assess(build)
    if show == "json":
        from dossier.record.results_json import results_to_json

        print(json.dumps(results_to_json(build, results), ensure_ascii=False, indent=1, sort_keys=False))
        return exit_code(results.findings, strict)
    print_diagnostics(tuple(f for f in results.findings if f.severity > Severity.OK), show)
    if show == "full":
        for case in results.load_cases:
            print(f"{case.title} ({case.engine}; {case.signal})")
            for amplifier in case.amplifiers:
                print(f"  {amplifier.title}: {amplifier.outcome.sentence}")
        print()
    print(f"{path}: {results.verdict.sentence}")
    return exit_code(results.findings, strict)


def exit_code(findings: tuple[Diagnostic, ...], strict: bool) -> int:
    """Exit code that a list of findings asks for."""
    worst = max((f.severity for f in findings), default=Severity.OK)
    return Exit.STOP if worst >= (Severity.CAUTION if strict else Severity.STOP) else Exit.OK


def print_diagnostics(diagnostics: tuple[Diagnostic, ...], show: str) -> None:
    """Print diagnostics to standard output, or to standard error if the build file cannot be used."""
    if show == "json":
        rows = [
            {
                "code": d.code,
                "severity": d.severity.word,
                "headline": d.headline,
                "path": d.path,
                "file": d.where.file if d.where else None,
                "line": d.where.line if d.where else None,
                "column": d.where.column if d.where else None,
                "expected": d.expected,
                "consequence": d.consequence,
                "fix": d.fix,
                "source": d.source,
            }
            for d in diagnostics
        ]
        print(json.dumps({"diagnostics": rows}, ensure_ascii=False, indent=1))
        return
    stream = sys.stderr if any(d.severity is Severity.ERROR for d in diagnostics) else sys.stdout
    colour, width = terminal(stream)
    for diagnostic in diagnostics:
        print(render(diagnostic, show, colour=colour, width=width), file=stream)
        if show == "full":
            print(file=stream)
