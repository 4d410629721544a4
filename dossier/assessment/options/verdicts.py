"""The options in plain words, every sentence with its conditions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dossier.reader.promised import low_v, spare
from dossier.results.options import ASKING_LESS, Crossover, NoteReading, OptionRow

LEAST_V = 0.05  # a gain below half of what is printed is none
TOLD_APART_V = 0.1  # what is printed: closer voltages are called equal


def verdicts(
    rows: Sequence[OptionRow], crossed: Sequence[Crossover], conditions: str, limit: float | None = None
) -> tuple[str, ...]:
    """What holds most for short notes, for long ones, where they cross, and what no money buys.

    Args:
        rows: the build first.
        crossed: where the order of two options changes.
        conditions: those of the note, in words.
        limit: lowest mean accepted at the amplifiers [V].
    """
    build, options = rows[0], [r for r in rows if r.kind == "option"]
    said = []
    if options:
        said += _best(build, options, crossed)
    said += _nothing_gained(build, options)
    said += _recharge(build, options)
    said += _free(build, rows, limit)
    return (*said, f"All of this: {conditions}.") if said else ()


def _volts(reading: NoteReading) -> float:
    return -1.0 if reading.mean.volts is None else reading.mean.volts


def _best(build: OptionRow, options: Sequence[OptionRow], crossed: Sequence[Crossover]) -> list[str]:
    short = max(options, key=lambda r: _volts(r.short))
    long = max(options, key=lambda r: _volts(r.long))
    if _volts(short.short) < 0.0:
        return ["No option holds even a short note."]
    if _volts(short.short) < _volts(build.short) + LEAST_V and _volts(long.long) < _volts(build.long) + LEAST_V:
        return ["No option holds more than what is there, at any length that was compared."]
    said = [
        f"{_named(row)} is not to be built as it is written: {stop}."
        for row in ((short,) if short.id == long.id else (short, long))
        for stop in row.stops
    ]
    found = next((c for c in crossed if c.statistic == "mean" and {c.early, c.late} == {short.id, long.id}), None)
    if short.id == long.id:
        said.append(
            f"{short.title} holds most at every length that was compared: {_gained(build.short, short.short)} after "
            f"{short.short.seconds:.0f} s and {_gained(build.long, short.long)} after {short.long.seconds:.0f} s."
        )
    elif found is not None and found.at is not None and _lead(short, long, found.at) < TOLD_APART_V:
        said.append(
            f"For notes under {_about(found)} {_named(short)} and {_named(long)} are within {TOLD_APART_V:.1f} V of "
            f"each other; for longer notes {_named(long)} holds more ({_figure(long.long)} against "
            f"{_figure(short.long)} after {short.long.seconds:.0f} s)."
        )
    elif found is not None and found.at is not None:
        said.append(
            f"For notes under {_about(found)} {_named(short)} holds more; for longer notes {_named(long)} does "
            f"({_figure(short.short)} against {_figure(long.short)} after {short.short.seconds:.0f} s, "
            f"{_figure(long.long)} against {_figure(short.long)} after {short.long.seconds:.0f} s)."
        )
    else:
        said.append(
            f"After {short.short.seconds:.0f} s {_named(short)} holds most ({_figure(short.short)}), after "
            f"{long.long.seconds:.0f} s {_named(long)} ({_figure(long.long)}); the order does not turn at one clear "
            f"length."
        )
    return said


def _lead(short: OptionRow, long: OptionRow, until: float) -> float:
    """How much more ``short`` holds at best on notes up to ``until`` [V]."""
    before = short.curve.seconds <= until
    ahead = (short.curve.mean - long.curve.mean)[before]
    return float(np.nanmax(ahead)) if ahead.size and not np.isnan(ahead).all() else np.inf


def _about(c: Crossover) -> str:
    if c.low is None or c.high is None:
        return f"about {_seconds(c.at or 0.0)} s"
    low, high = _seconds(c.low), _seconds(c.high)
    return f"about {_seconds(c.at or 0.0)} s" + ("" if low == high else f" (5 to 95 %: {low} to {high} s)")


def _seconds(s: float) -> str:
    return f"{s:.0f}" if s >= 3.0 else f"{s:.1f}"


def _named(row: OptionRow) -> str:
    return f"“{row.title}”"


def _figure(reading: NoteReading) -> str:
    return "cannot be held" if reading.mean.volts is None else f"{low_v(reading.mean.volts)} V"


def _gained(base: NoteReading, reading: NoteReading) -> str:
    if reading.mean.volts is None:
        return "cannot be held"
    if base.mean.volts is None:
        return f"{low_v(reading.mean.volts)} V, where the build as it stands cannot hold at all"
    return f"{reading.mean.volts - base.mean.volts:+.1f} V".replace("-", "−")


def _nothing_gained(build: OptionRow, options: Sequence[OptionRow]) -> list[str]:
    said = []
    for row in options:
        gains = [
            None if a.mean.volts is None or b.mean.volts is None else a.mean.volts - b.mean.volts
            for a, b in ((row.short, build.short), (row.long, build.long))
        ]
        if all(g is not None and g < TOLD_APART_V for g in gains):
            said.append(f"{_named(row)} gains less than {TOLD_APART_V:.1f} V at either length.")
    return said


def _recharge(build: OptionRow, options: Sequence[OptionRow]) -> list[str]:
    """An option that moves the balance more than the voltage is worth saying so."""
    said = []
    for row in options:
        better = row.balance_idle - build.balance_idle
        if better >= 10.0:
            left = "still short" if row.balance_idle < 0.0 else "a surplus"
            said.append(
                f"{_named(row)} improves the balance at idle by {better:.0f} A (music at 1/8 power), to "
                f"{spare(row.balance_idle)} A, {left}.".replace("-", "−")
            )
        elif better <= -10.0:
            said.append(f"{_named(row)} worsens the balance at idle by {-better:.0f} A.")
    return said


def _free(build: OptionRow, rows: Sequence[OptionRow], limit: float | None) -> list[str]:
    """Asking less, where it gains something."""
    row = next((r for r in rows if r.id == ASKING_LESS), None)
    if row is None or row.long.mean.volts is None or row.long.mean.volts < _volts(build.long) + LEAST_V:
        return []
    below = "" if limit is None or row.long.mean.volts >= limit else f", still below the limit of {limit:.1f} V"
    return [
        f"{row.title} costs nothing and leaves no amplifier starved: {low_v(row.long.mean.volts)} V after "
        f"{row.long.seconds:.0f} s{below}."
    ]
