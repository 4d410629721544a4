"""Rules on drivers: what power reaches them, and whether an amplifier's rating can be wired to."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.acoustics.level import mean_power_fraction
from dossier.buildfile.model import Amplifier, LoadCase, Speaker
from dossier.diagnostic import Diagnostic
from dossier.electrical.speakers import reachable_impedances, terminal_voltage
from dossier.equipment.amplifiers import impedance_of
from dossier.findings.rule import BY_CODE, Examined
from dossier.results.overview import AmplifierRow

OVER_POWER = BY_CODE["driver-above-its-power"]
UNREACHABLE = BY_CODE["load-cannot-be-wired"]

SAME = 1.001  # a rounded impedance or power is no other


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Both, by set of drivers."""
    rows = {row.id: row for row in subject.amplifiers}
    for speaker in subject.build.speakers.values():
        row = rows[speaker.amplifiers[0]]
        yield from _power(subject, speaker, row)
        yield from _wired(subject.build.amplifiers[row.id], speaker, row)


def _power(subject: Examined, speaker: Speaker, row: AmplifierRow) -> Iterator[Diagnostic]:
    rated = speaker.rated_power
    played = [c for c in subject.build.load_cases.values() if not c.amplifiers or row.id in c.amplifiers]
    if rated is None or not played:
        return
    _, impedance = impedance_of(speaker)
    volts = len(speaker.amplifiers) * terminal_voltage(row.rated_w, row.power_ohm)
    full = volts * volts / impedance / speaker.drivers
    worst = max(played, key=_share)
    watts = full * _share(worst)
    if watts > rated.si * SAME:
        yield OVER_POWER.caution(
            f"{speaker.title}: {watts:.0f} W reach each driver in {worst.title}, rated {rated.si:.0f} W",
            f"speakers.{speaker.id}.rated_power",
        )


def _share(case: LoadCase) -> float:
    """Mean power of a load case over rated output [1]; a clipped sine has twice its power."""
    signal = case.signal
    share = case.level.si if case.level else 1.0
    if signal.crest_factor is not None:
        share *= mean_power_fraction(signal.crest_factor.si)
    if signal.burst is not None and signal.every is not None:
        share *= min(signal.burst.si / signal.every.si, 1.0)
    return share * (2.0 if case.drive == "clipped" else 1.0)


def _wired(amplifier: Amplifier, speaker: Speaker, row: AmplifierRow) -> Iterator[Diagnostic]:
    """Of the only set on an amplifier: whether any way to wire it makes a load of the rating."""
    parts = (speaker.coil_impedance.si, speaker.voice_coils, speaker.drivers)
    loads = [z / len(speaker.amplifiers) for z in reachable_impedances(*parts)]
    ratings = [z.si for z, _ in amplifier.rated]
    if len(row.speakers) > 1 or any(1 / SAME <= z / one <= SAME for z in loads for one in ratings):
        return
    at, watts = min(amplifier.rated, key=lambda one: one[0].si)
    yield UNREACHABLE.note(
        f"{row.title}: rated {watts.si:.0f} W at {at.si:g} Ω; {speaker.title} can be wired to "
        f"{' or '.join(f'{z:.3g}' for z in loads)} Ω, never to that; as wired, {row.load_ohm:.3g} Ω, it gives "
        f"{row.rated_w:.0f} W",
        f"amplifiers.{row.id}.rated",
    )
