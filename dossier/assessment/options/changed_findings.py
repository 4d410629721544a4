"""Findings that one way to go adds to the build as it stands, and cures."""

from __future__ import annotations

from dossier.diagnostic import Diagnostic, Severity
from dossier.reader.said import sentence


def changed_findings(own: tuple[Diagnostic, ...], base: tuple[Diagnostic, ...]) -> tuple[tuple[str, ...], ...]:
    """Stops and cautions that appear and disappear against the build as it stands, and the new stops, in words."""

    def grave(findings: tuple[Diagnostic, ...]) -> dict[tuple[str, str], Diagnostic]:
        told = (f for f in findings if not f.path.startswith("measurements.readings."))  # read on the build as it is
        return {(f.code, f.path): f for f in told if f.severity >= Severity.CAUTION}

    mine, theirs = grave(own), grave(base)
    played = {f.path for f in own}
    new = [f for key, f in mine.items() if key not in theirs]
    cures = tuple(
        _said(f)
        for key, f in theirs.items()
        if key not in mine and (not f.path.startswith("load_cases.") or f.path in played)
    )
    stops = tuple(_said(f) for f in new if f.severity >= Severity.STOP)
    return tuple(_said(f) for f in new), cures, stops


def _said(finding: Diagnostic) -> str:
    return sentence("{severity}: {headline}", severity=finding.severity.word, headline=finding.headline)
