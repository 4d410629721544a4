"""What a load case plays, as a programme and in words; a build whose load cases would take too long is refused."""

from __future__ import annotations

from dossier.buildfile.model import Build, LoadCase
from dossier.circuit import programme
from dossier.circuit.music import envelope
from dossier.circuit.programme import Programme
from dossier.diagnostic import Diagnostic, Severity
from dossier.results.inputs import MusicStatistics


def programme_of(case: LoadCase) -> Programme:
    """The programme of a load case; its level is the amplifiers' business."""
    signal = case.signal
    seconds = signal.duration.si
    if signal.kind == "music":
        assert signal.crest_factor is not None  # the reader asks for it
        return programme.music(signal.crest_factor.si, seconds)
    assert signal.tone is not None  # the reader asks for it
    if signal.kind == "tone":
        return programme.tone(seconds, signal.tone.si)
    assert signal.burst is not None  # the reader asks for both
    assert signal.every is not None
    return programme.bursts(signal.burst.si, signal.every.si, seconds, signal.tone.si)


def music_of(build: Build) -> tuple[MusicStatistics, ...]:
    """Statistics of the music that the load cases play, each crest factor and length once."""
    played = {}
    for case in build.load_cases.values():
        crest = case.signal.crest_factor
        if crest is None:
            continue
        s = envelope(crest.si, case.signal.duration.si).statistics
        played[s] = MusicStatistics(
            crest_db=s.crest_factor_db,
            mean=s.mean,
            rms=s.rms,
            peak=s.peak,
            share_at_full=s.at_full,
            words=f"{case.signal.duration.si:g} s, at full level for {s.longest_full_s:.1f} s at the longest",
        )
    return tuple(played.values())


def sound_ends(played: Programme) -> float:
    """When the sound stops [s]: the last vertex with any level."""
    loud = [t for t, level in zip(played.times, played.levels, strict=True) if level > 0.0]
    return float(loud[-1]) if loud else float(played.times[-1])


def signal_words(case: LoadCase) -> str:
    """For print: ``38 Hz tone for 20 s``."""
    s = case.signal
    seconds = f"{s.duration.si:g} s"
    if s.kind == "music" and s.crest_factor is not None:
        return f"music, crest factor {s.crest_factor.si:g} dB, for {seconds}"
    tone = f"{s.tone.si:g} Hz" if s.tone else ""
    if s.kind == "bursts" and s.burst is not None and s.every is not None:
        return f"{tone} bursts of {s.burst.si:g} s every {s.every.si:g} s, for {seconds}"
    return f"{tone} tone for {seconds}"


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
