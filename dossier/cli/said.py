"""Diagnostics on their way out: as text on the right stream, or as plain data."""

from __future__ import annotations

import sys
from typing import Any

from dossier.cli.terminal import render, terminal
from dossier.diagnostic import Diagnostic, Severity


def print_diagnostics(diagnostics: tuple[Diagnostic, ...], show: str = "full") -> None:
    """Print diagnostics to standard output, or to standard error if the build file cannot be used.

    Args:
        diagnostics: what to print.
        show: full or concise.
    """
    stream = sys.stderr if any(d.severity is Severity.ERROR for d in diagnostics) else sys.stdout
    if stream is None:
        return
    colour, width = terminal(stream)
    for diagnostic in diagnostics:
        print(render(diagnostic, show, colour=colour, width=width), file=stream)
        if show == "full":
            print(file=stream)


def as_json(diagnostic: Diagnostic) -> dict[str, Any]:
    """A diagnostic as plain data; the same keys for every one."""
    where = diagnostic.where
    return {
        "code": diagnostic.code,
        "severity": diagnostic.severity.word,
        "headline": diagnostic.headline,
        "path": diagnostic.path,
        "file": where.file if where else None,
        "line": where.line if where else None,
        "column": where.column if where else None,
        "width": where.width if where else None,
        "expected": diagnostic.expected,
        "consequence": diagnostic.consequence,
        "fix": diagnostic.fix,
        "source": diagnostic.source,
    }
