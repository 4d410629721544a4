"""How long the load cases of a build take to compute, estimated beforehand: what would take too long is refused."""

from __future__ import annotations

from dossier.assessment.sag.programmes import programme_of
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity

LONGEST_S = 60.0  # s of a processor for the load cases of one build
# Measured on a common machine: a note in a small network takes 0.1 to 0.3 s, with 64, 99 and 200 amplifiers that
# shut down one after the other 2.7, 3 and 34 s; a minute of music in a small one 1 to 2.5 s.
LEAST_S = 0.1  # of a note in a small network
CUBIC_S = 4.3e-6  # times the third power of the devices: equations are solved for all of them at once
NOTE_VERTICES = 60.0  # of a programme, that take as long again as its beginning


def too_much(build: Build) -> Diagnostic | None:
    """What is said of a build whose load cases would take longer than ``LONGEST_S``; None of any other."""
    converters = sum(s.kind == "dc_dc" for s in build.supplies.values())
    devices = (
        len(build.amplifiers)
        + len(build.batteries)
        + len(build.capacitor_banks)
        + len(build.supplies)
        + len(build.couplings)
        + converters
    )
    note = LEAST_S + CUBIC_S * devices**3
    seconds = sum(note * (1.0 + len(programme_of(c).times) / NOTE_VERTICES) for c in build.load_cases.values())
    if seconds <= LONGEST_S:
        return None
    return Diagnostic(
        "too-much-work",
        Severity.ERROR,
        f"{len(build.load_cases)} load cases with {devices} amplifiers, sources and couplings would take about "
        f"{seconds:.0f} s to compute; at most {LONGEST_S:.0f} s are spent on them",
        "load_cases",
        build.places.get("load_cases"),
        expected="fewer or shorter load cases, or fewer devices",
        fix="state equal amplifiers on one cable as one of their power together, or keep the load cases that decide",
    )
