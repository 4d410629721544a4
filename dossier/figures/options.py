"""Voltage at the worst amplifier against note length, one line per option, and where one overtakes another."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import Locator, NullLocator

from dossier import style
from dossier.figures.sheet import Say, blank, settings, volts
from dossier.reader import wording
from dossier.results.options import Crossover, OptionComparison, OptionRow

MOST_OPTIONS = len(style.SERIES)  # drawn beside the build as it stands


def drawn(comparison: OptionComparison) -> tuple[OptionRow, ...]:
    """The options the figure shows: those that hold most at the short or the long note first, in build order."""
    options = [row for row in comparison.rows if row.kind == "option"]
    best = sorted(options, key=lambda r: -max(r.short.mean.volts or 0.0, r.long.mean.volts or 0.0))[:MOST_OPTIONS]
    return tuple(row for row in options if row in best)


def main_crossover(comparison: OptionComparison) -> Crossover | None:
    """The crossover of the option that is best at short notes with the one that is best at long ones."""
    options = [row for row in comparison.rows if row.kind == "option"]
    if not options:
        return None
    short = max(options, key=lambda r: r.short.mean.volts or 0.0).id
    long = max(options, key=lambda r: r.long.mean.volts or 0.0).id
    return next(
        (c for c in comparison.crossovers if c.statistic == "mean" and {c.early, c.late} == {short, long}), None
    )


def options(comparison: OptionComparison, limit: float | None, size: tuple[float, float], say: Say) -> Figure:
    """Mean voltage against note length on a logarithmic axis.

    Args:
        comparison: the computed options, at least the build itself.
        limit: lowest accepted mean [V], if there is one.
        size: width and height [pt].
        say: makes a title showable.
    """
    with settings():
        rows = drawn(comparison)
        figure, axes = blank(*size, left=24.0, top=16.0 + 11.0 * ((len(rows) + 2) // 2))
        build = comparison.rows[0]
        values: list[float] = []
        found = main_crossover(comparison)
        if found is not None and found.low is not None and found.high is not None:
            axes.axvspan(
                found.low,
                max(found.high, found.low * 1.05),
                color=style.BAND,
                linewidth=0,
                label=wording.say("figures.crossover_5_to_95"),
            )
        values += _line(axes, build, style.RULE, (), wording.say("figures.as_it_stands"), 1.8)
        for index, row in enumerate(rows):
            values += _line(axes, row, style.SERIES[index], style.DASHES[index], say(row.title), style.TRACE)
        if limit is not None:
            axes.axhline(
                limit,
                color=style.BAD,
                linewidth=0.9,
                linestyle=(0, (4.0, 2.0)),
                label=wording.say("figures.limit_mean"),
            )
            values.append(limit)
        if found is not None and found.at is not None:
            at = _volts_at(next(r for r in comparison.rows if r.id == found.late), found.at)
            if np.isfinite(at):
                axes.plot(
                    [found.at],
                    [at],
                    marker="o",
                    markersize=4.5,
                    color="white",
                    markeredgecolor=style.INK,
                    markeredgewidth=1.0,
                    linestyle="",
                    zorder=6,
                )
        _axes(axes, build, values)
        axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.01), ncols=2)
    return figure


def _line(axes: Axes, row: OptionRow, colour: str, dashes: tuple[float, ...], label: str, width: float) -> list[float]:
    curve = row.curve
    axes.plot(curve.seconds, curve.mean, color=colour, dashes=dashes, label=label, linewidth=width, zorder=3)
    known = np.flatnonzero(np.isfinite(curve.mean))
    if known.size and known[-1] < len(curve.mean) - 1:  # it cannot be held any longer
        axes.plot(
            [curve.seconds[known[-1]]],
            [curve.mean[known[-1]]],
            marker="x",
            color=style.BAD,
            markersize=6,
            markeredgewidth=1.4,
            linestyle="",
            zorder=6,
        )
    finite = curve.mean[known]
    return [float(finite.min()), float(finite.max())] if finite.size else []


def _volts_at(row: OptionRow, seconds: float) -> float:
    return float(np.interp(seconds, row.curve.seconds, row.curve.mean))


def _axes(axes: Axes, build: OptionRow, values: list[float]) -> None:
    seconds = build.curve.seconds
    axes.set_xscale("log")
    axes.set_xlim(float(seconds[0]), float(seconds[-1]))
    ticks = [s for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0) if seconds[0] <= s <= seconds[-1]]
    axes.set_xticks(ticks, [f"{s:g}" for s in ticks])
    axes.xaxis.set_minor_locator(_none())
    axes.set_xlabel(wording.say("figures.length_of_the_note_s"))
    volts(axes, values or (0.0, 1.0), wording.say("figures.mean_voltage_v"))


def _none() -> Locator:
    return NullLocator()
