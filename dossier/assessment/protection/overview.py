"""Protection: the order in which faults, fuses, ends, curves and leads are computed."""

from __future__ import annotations

from collections.abc import Mapping

from dossier.assessment.conductors.leads import couplings, remote_leads, speaker_leads
from dossier.assessment.protection.coordination import fuse_checks
from dossier.assessment.protection.curves import time_currents
from dossier.assessment.protection.end_protection import ends, selectivities
from dossier.assessment.protection.prospective import FaultNets, place_faults
from dossier.assessment.protection.starter import cranking
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.buildfile.model import Build
from dossier.equipment.installed import Installed
from dossier.results.protection import Protection
from dossier.results.schedule import ConductorRow

Currents = Mapping[str, tuple[ConductorCurrent, ...]]


def protection(
    build: Build,
    fit: Installed,
    nets: FaultNets,
    schedule: tuple[ConductorRow, ...],
    currents: Currents,
    joined: Currents,
) -> Protection:
    """Everything about faults and fuses but the remedies, which need the findings.

    Args:
        build: the build.
        fit: its devices.
        nets: its networks for fault currents.
        schedule: its conductors.
        currents: cable id -> its currents, one per load case.
        joined: coupling id -> its currents, of the load cases in which it is part of the network.
    """
    rows = {row.id: row for row in schedule}
    checks = fuse_checks(build, fit, nets, rows, currents)
    return Protection(
        places=place_faults(build, fit, nets),
        fuses=checks,
        ends=ends(build, fit, rows),
        selectivity=selectivities(build, checks, nets.least),
        curves=time_currents(fit, checks, rows, currents),
        speaker_leads=speaker_leads(build, fit),
        remote_leads=remote_leads(build),
        couplings=couplings(build, joined),
        cranking=cranking(build, fit, nets),
    )
