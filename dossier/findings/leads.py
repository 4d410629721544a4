"""Rules on speaker leads, remote leads and couplings."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import allowed_a, load_a
from dossier.reader.said import Measure, sentence

SPEAKER = BY_CODE["speaker-lead-overloaded"]
SPEAKER_LOSS = BY_CODE["speaker-lead-loses-level"]
REMOTE = BY_CODE["remote-lead-unprotected"]
COUPLING = BY_CODE["coupling-overloaded"]
COUPLING_UNKNOWN = BY_CODE["coupling-rating-not-stated"]

WORTH_CURING_DB = 0.5
THIN_REMOTE_A = 3.0  # what a lead thinner than 18 AWG is fused with; common practice, no source


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything wrong with leads and couplings."""
    for lead in subject.protection.speaker_leads:
        path = f"speakers.{lead.id}.lead"
        if lead.allowed is None or lead.programme > lead.allowed:
            below = lead.allowed_below
            thin = "no published allowable current" if below is None else f"may carry less than {load_a(below)} A"
            known = lead.allowed is not None or (below is not None and lead.programme > below)
            may = thin if lead.allowed is None else f"may carry {allowed_a(lead.allowed)} A"
            yield SPEAKER.finding(
                Severity.STOP if known else Severity.CAUTION,
                sentence(
                    "{lead}: {music} A of music, {tone} A of a full tone, in {size}: {may}",
                    lead=lead.title,
                    music=load_a(lead.programme),
                    tone=load_a(lead.amperes),
                    size=lead.size,
                    may=may,
                ),
                path,
            )
        if -lead.level > WORTH_CURING_DB:
            yield SPEAKER_LOSS.note(
                sentence(
                    "{lead}: {length} of {size} lose {level:.1f} dB, {loss:.0f} W",
                    lead=lead.title,
                    length=Measure("run", lead.length, places=1),
                    size=lead.size,
                    level=-lead.level,
                    loss=lead.loss,
                ),
                path,
            )
    for remote in subject.protection.remote_leads:
        path = f"amplifiers.{remote.amplifier}.remote"
        if remote.fuse is None:
            yield REMOTE.caution(
                sentence("{lead}: no fuse is stated for the {size} remote lead", lead=remote.title, size=remote.size),
                path,
            )
        elif remote.allowed is None and remote.fuse > THIN_REMOTE_A:
            yield REMOTE.caution(
                sentence(
                    "{lead}: a fuse of {fuse:g} A for the {size} remote lead, thinner than any published size",
                    lead=remote.title,
                    fuse=remote.fuse,
                    size=remote.size,
                ),
                path,
            )
        elif remote.allowed is not None and remote.fuse > remote.allowed:
            yield REMOTE.stop(
                sentence(
                    "{lead}: a fuse of {fuse:g} A for the {size} remote lead, which may carry {allowed} A",
                    lead=remote.title,
                    fuse=remote.fuse,
                    size=remote.size,
                    allowed=allowed_a(remote.allowed),
                ),
                path,
            )
    for coupling in subject.protection.couplings:
        path = f"couplings.{coupling.id}"
        if coupling.continuous_rating is not None and coupling.lasting > coupling.continuous_rating:
            yield COUPLING.stop(
                f"{coupling.title}: {load_a(coupling.lasting)} A for long, rated {coupling.continuous_rating:.0f} A",
                f"{path}.continuous",
            )
        if coupling.peak_rating is not None and coupling.peak > coupling.peak_rating:
            yield COUPLING.stop(
                f"{coupling.title}: {load_a(coupling.peak)} A peak, rated {coupling.peak_rating:.0f} A", f"{path}.peak"
            )
        if coupling.continuous_rating is None and coupling.peak > 1.0:
            yield COUPLING_UNKNOWN.caution(
                f"{coupling.title}: carries {load_a(coupling.lasting)} A for long, {load_a(coupling.peak)} A peak", path
            )
        elif coupling.peak_rating is None and coupling.peak > (coupling.continuous_rating or 0.0) + 1.0:
            yield COUPLING_UNKNOWN.caution(
                f"{coupling.title}: {load_a(coupling.peak)} A peak, rated {coupling.continuous_rating:.0f} A for long; "
                "its peak rating is not stated",
                path,
            )
