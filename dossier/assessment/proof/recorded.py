"""The record sections with their judgements, put together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dossier.assessment.proof.checklist import checklist
from dossier.assessment.proof.handover import due, settings
from dossier.assessment.proof.measurements import beside, joints, proofs, readings
from dossier.assessment.proof.sound import sound
from dossier.buildfile.model import Build
from dossier.results.options import Feed
from dossier.results.overview import AmplifierRow, EnergySource
from dossier.results.recorded import Recorded
from dossier.results.ripple import RippleReading
from dossier.results.sag import LoadCaseResult
from dossier.results.schedule import ConductorRow


def recorded(
    build: Build,
    cases: Sequence[LoadCaseResult],
    schedule: Sequence[ConductorRow],
    amplifiers: Sequence[AmplifierRow],
    sources: Sequence[EnergySource],
    fed: Mapping[str, Feed],
    ripples: tuple[RippleReading, ...],
) -> Recorded:
    """Measurements, settings, checklist and maintenance of a build, set beside what was computed.

    ``fed`` says by sound run whether the system could feed its target, ``ripples`` what alternating volts told.
    """
    rows, runs = readings(build, cases), sound(build, cases, fed)
    return Recorded(
        readings=rows,
        joints=joints(build, schedule),
        proofs=proofs(build),
        sound=runs,
        beside=beside(build, rows, runs),
        settings=settings(build, amplifiers),
        checklist=checklist(build, sources, amplifiers),
        due=due(build),
        ripples=ripples,
    )
