"""Build files of any size that hold their voltage: so many amplifiers, cables, load cases, seconds of sound."""

from __future__ import annotations


def sized(
    *,
    amplifiers: int = 1,
    cables: int = 2,
    cases: int = 1,
    seconds: float = 5.0,
    tone: float = 40.0,
    music: bool = False,
) -> str:
    """A valid build file.

    Args:
        amplifiers: how many, 100 W each, spread over the places.
        cables: how many, an even number; two for every place behind the battery.
        cases: how many load cases, all of the same sound.
        seconds: length of each [s].
        tone: its frequency [Hz].
        music: whether music is played instead.
    """
    places = [f"place_{n}" for n in range(cables // 2)]
    at = [places[n % len(places)] for n in range(amplifiers)]
    rows = [
        "format: 1",
        f"record: {{number: S-{amplifiers}-{cables}, title: Sized, stage: design, date: 2026-01-31}}",
        "vehicle: {description: Van}",
        "locations:",
        "  bay: {}",
        *(f"  {place}: {{}}" for place in places),
        "batteries:",
        f"  starter: {{at: bay, chemistry: agm, capacity: 100 Ah, parallel: {max(1, amplifiers // 4)}}}",
        "amplifiers:",
        *(
            f"  amp_{n}: {{at: {place}, supply: regulated, rated: {{4 ohm: 100 W}}}}"
            for n, place in enumerate(at)
        ),
        "speakers:",
        *(f"  sub_{n}: {{amplifier: amp_{n}, coil_impedance: 4 ohm}}" for n in range(amplifiers)),
        "cables:",
    ]
    for n, place in enumerate(places):
        rows += [
            f"  feed_{n}: {{role: feed, from: bay, to: {place}, size: 70 mm2, length: 4 m, fuses: {{main: {{near: bay,"
            " distance: 100 mm, style: bolt_in, rating: 150 A, breaking_capacity: 20 kA,"
            " opens_within: {300 A: 100 s, 525 A: 15 s, 900 A: 1 s}}}}",
            f"  back_{n}: {{role: return, from: {place}, to: bay, size: 70 mm2, length: 4 m}}",
        ]
    rows.append("load_cases:")
    sound = "music: {crest_factor: 9 dB}" if music else f"tone: {tone:g} Hz"
    signal = f"{{{sound}, for: {seconds:g} s}}"
    rows += [f"  note_{n}: {{engine: stopped, signal: {signal}}}" for n in range(cases)]
    return "\n".join(rows) + "\n"
