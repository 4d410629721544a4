"""Time against current of one run: the fuse's band, what the conductor stands, the load cases, the fault currents."""

from __future__ import annotations

from math import ceil, floor, log, log10
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.markers import TICKDOWN, TICKLEFT
from matplotlib.ticker import FuncFormatter

from dossier import style
from dossier.figures.sheet import blank, name_value, settings
from dossier.reader import wording
from dossier.reader.promised import allowed_a, fault_ka, least_fault_a
from dossier.results.protection import CurvePoint, Points, TimeCurrent

_SHORTEST, _LONGEST = 0.005, 10000.0  # s
_LEAST_LOAD = 1.0  # A: what carries less is not drawn
_LEFT_PART = 0.3  # of the axis: words there begin at their line, at the other end they end at it
_TIMES: Final = {
    0.01: "10 ms",
    0.1: "0.1 s",
    1.0: "1 s",
    10.0: "10 s",
    100.0: "100 s",
    1000.0: "17 min",
    10000.0: "3 h",
}


def shown_loads(run: TimeCurrent) -> tuple[CurvePoint, ...]:
    """The load cases that are drawn, in the order of their numbers."""
    return tuple(point for point in run.loads if point.amperes > _LEAST_LOAD)


def time_current(run: TimeCurrent, size: tuple[float, float]) -> Figure:
    """Log-log: fuse band, damage and rating lines of the conductor, loads as numbered points, faults as verticals.

    Words stand in the margin above, so that nothing is printed over a curve.

    Args:
        run: what is shown.
        size: width and height [pt].
    """
    with settings():
        figure, axes = blank(*size, left=34.0, top=25.0)
        low = 0.5 * min([run.rating, run.allowed] + [p.amperes for p in run.loads if p.amperes > 1.0])
        high = 1.25 * run.most
        axes.set_xscale("log", subs=())
        axes.set_yscale("log", subs=())
        axes.set_xlim(low, high)
        axes.set_ylim(_SHORTEST, _LONGEST)
        _steps_between(axes)
        _band(axes, run)
        _line(axes, run.rating_line, 2)
        _line(axes, run.damage, 1)
        _loads(axes, run)
        _faults(axes, run)
        axes.axvline(run.allowed, color=style.SERIES[1], linewidth=0.7, linestyle=(0, (1.0, 1.5)))
        _above(axes, run.allowed, wording.say("figures.allowed_a", allowed=allowed_a(run.allowed)), style.SERIES[1], 0)
        axes.xaxis.set_major_formatter(FuncFormatter(_amperes))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda t, _: _TIMES.get(round(t, 3), "")))
        axes.set_xlabel(wording.say("figures.current_through_one_fuse_and_run"))
        name_value(axes, wording.say("figures.time"))
    return figure


def _steps_between(axes: Axes) -> None:
    """Marks at 2 to 9 of every decade: two artists in all, where ticks of the library would be two hundred."""
    for limits, marker, across in ((axes.get_xlim(), TICKDOWN, False), (axes.get_ylim(), TICKLEFT, True)):
        decades = range(floor(log10(limits[0])), ceil(log10(limits[1])))
        steps = [k * 10.0**d for d in decades for k in range(2, 10) if limits[0] < k * 10.0**d < limits[1]]
        edge = [0.0] * len(steps)
        axes.plot(
            edge if across else steps,
            steps if across else edge,
            transform=axes.get_yaxis_transform() if across else axes.get_xaxis_transform(),
            linestyle="none",
            marker=marker,
            markersize=1.6,
            markeredgewidth=0.5,
            color=style.RULE,
            clip_on=False,
        )


def _amperes(value: float, _: object = None) -> str:
    return f"{value:.0f}" if value < 1000.0 else f"{value / 1000.0:g} k"


def _band(axes: Axes, run: TimeCurrent) -> None:
    slow, fast = run.opens_within, run.holds_for
    dash = style.DASHES[1] if run.recalled else ()
    if slow and fast:
        xs = [c for c, _ in slow] + [c for c, _ in reversed(fast)]
        ys = [t for _, t in slow] + [t for _, t in reversed(fast)]
        axes.fill(xs, ys, color=style.BAND, linewidth=0, zorder=0)
    for points in (slow, fast):
        if points:
            axes.plot(*zip(*points, strict=True), color=style.INK, linewidth=style.TRACE, linestyle=(0, dash or None))


def _line(axes: Axes, points: Points, index: int) -> None:
    if points:
        axes.plot(
            *zip(*points, strict=True),
            color=style.SERIES[index],
            linewidth=style.TRACE,
            linestyle=(0, style.DASHES[index] or None),
        )


def _loads(axes: Axes, run: TimeCurrent) -> None:
    for number, point in enumerate(shown_loads(run), start=1):
        at = (point.amperes, min(point.seconds, 0.8 * _LONGEST))
        axes.plot(*at, linestyle="none", marker="o", markersize=3.2, color=style.ACCENT, zorder=6)
        axes.annotate(
            str(number),
            at,
            xytext=(-3, 1),
            textcoords="offset points",
            ha="right",
            va="center",
            fontsize=style.FIGURE_SMALL,
            color=style.ACCENT,
        )


def _faults(axes: Axes, run: TimeCurrent) -> None:
    largest = wording.say("figures.ka", amperes=fault_ka(run.most))
    marks = [(run.most, f"{wording.say('figures.largest_fault')} {largest}")]
    if run.least is not None:
        marks.append((run.least, f"{wording.say('figures.smallest_fault')} {least_fault_a(run.least)} A"))
    for row, (amperes, words) in enumerate(marks):
        axes.axvline(amperes, color=style.BAD, linewidth=0.8)
        _above(axes, amperes, words, style.BAD, row)


def _above(axes: Axes, amperes: float, words: str, colour: str, row: int) -> None:
    """Words in the margin above the line of a current, on the first or the second line."""
    left, right = axes.get_xlim()
    share = log(amperes / left) / log(right / left)
    axes.annotate(
        words,
        (amperes, 1.0),
        xycoords=axes.get_xaxis_transform(),
        xytext=(0, 2.5 + 8.5 * row),
        textcoords="offset points",
        ha="left" if share < _LEFT_PART else "right" if share > 1.0 - _LEFT_PART else "center",
        va="bottom",
        fontsize=style.FIGURE_SMALL,
        color=colour,
    )
