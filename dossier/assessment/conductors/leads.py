"""Every other conductor: speaker leads, remote leads, and what couplings carry."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from typing import Final

from dossier.assessment.conductors.heating import background
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.buildfile.model import Build
from dossier.electrical import conductors, speakers
from dossier.electrical.ampacity import ALONE, allowable
from dossier.electrical.refusal import OutsideKnownError
from dossier.equipment.amplifiers import impedance_of
from dossier.equipment.installed import Installed
from dossier.reference.conductors import awg_area
from dossier.results.protection import CouplingRow, RemoteLeadRow, SpeakerLeadRow

LEAD_INSULATION: Final = 60.0  # degC: nothing better is marked on most speaker and remote leads; common practice
SMALLEST: Final = awg_area("18")  # of 33 CFR 183.425, Table 5; what is thinner carries less
LEAD_AMBIENT: Final = 40.0  # degC, cabin or boot in summer; not checked against the document
PROGRAMME_SHARE: Final = sqrt(10.0 ** ((3.01 - 9.0) / 10.0))
"""Rms current of music at 9 dB crest factor over that of the full sine."""


def speaker_leads(build: Build, fit: Installed) -> tuple[SpeakerLeadRow, ...]:
    """Every speaker lead whose size is stated."""
    rows = []
    for speaker in build.speakers.values():
        lead = speaker.lead
        if lead is None:
            continue
        amplifier = fit.amplifiers[speaker.amplifiers[0]]
        _, impedance = impedance_of(speaker)
        # sets side by side share the voltage: each takes power by its conductance; a strapped pair gives both outputs
        volts = len(speaker.amplifiers) * speakers.terminal_voltage(amplifier.output.nominal, amplifier.power_ohm)
        power = volts * volts / impedance
        ohms = 2.0 * conductors.resistance(lead.size.si, lead.length.si, lead.material, LEAD_AMBIENT).typical
        loss = speakers.lead_loss(power, impedance, ohms)
        amperes = speakers.terminal_current(power, impedance)
        rows.append(
            SpeakerLeadRow(
                speaker.id,
                speaker.title,
                amplifier.title,
                lead.size.said(),
                lead.length.si,
                amperes,
                amperes * PROGRAMME_SHARE,
                ohms,
                loss.heat,
                -loss.level,
                _allowed(lead.size.si, lead.material),
                _allowed(SMALLEST, lead.material) if lead.size.si < SMALLEST else None,
            )
        )
    return tuple(rows)


def remote_leads(build: Build) -> tuple[RemoteLeadRow, ...]:
    """Every remote lead that is stated."""
    return tuple(
        RemoteLeadRow(
            a.id,
            a.title,
            a.remote.size.said(),
            _allowed(a.remote.size.si, "copper"),
            a.remote.fuse.si if a.remote.fuse else None,
        )
        for a in build.amplifiers.values()
        if a.remote is not None
    )


def _allowed(area: float, material: str) -> float | None:
    try:
        return allowable(area, LEAD_INSULATION, LEAD_AMBIENT, ALONE, material).allowed
    except OutsideKnownError:
        return None


def couplings(build: Build, currents: Mapping[str, tuple[ConductorCurrent, ...]]) -> tuple[CouplingRow, ...]:
    """Every coupling with what it carries in the load cases."""
    rows = []
    for c in build.couplings.values():
        seen = currents.get(c.id, ())
        rows.append(
            CouplingRow(
                c.id,
                c.title,
                c.kind,
                background(seen) if seen else 0.0,
                max((s.peak for s in seen), default=0.0),
                c.continuous.si if c.continuous else None,
                c.peak.si if c.peak else None,
            )
        )
    return tuple(rows)
