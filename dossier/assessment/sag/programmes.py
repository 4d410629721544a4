"""What a load case plays, as a programme and in words."""

from __future__ import annotations

from dossier.buildfile.model import Build, LoadCase
from dossier.circuit import programme
from dossier.circuit.music import envelope
from dossier.circuit.programme import Programme
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
