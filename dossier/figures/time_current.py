"""Time against current of one run: the fuse's band, what the conductor stands, the load cases, the fault currents."""

from __future__ import annotations

from math import ceil, floor, log, log10
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.markers import TICKDOWN, TICKLEFT
from matplotlib.ticker import FuncFormatter

from dossier import style
from dossier.figures.sheet import Say, blank, name_value, settings
from dossier.reader import wording
from dossier.results.protection import Points, TimeCurrent

_SHORTEST, _LONGEST = 0.005, 10000.0  # s
_SAME_HEIGHT = log(6.0)  # words of points closer in time than this would run into each other
_LEFT_PART = 0.35  # of the axis: words of a point there stand on its right
_TIMES: Final = {
    0.01: "10 ms",
    0.1: "0.1 s",
    1.0: "1 s",
    10.0: "10 s",
    100.0: "100 s",
    1000.0: "17 min",
    10000.0: "3 h",
}


def time_current(run: TimeCurrent, size: tuple[float, float], say: Say) -> Figure:
    """Log-log: fuse band (grey), damage and rating lines of the conductor, loads as points, faults as verticals.

    Args:
        run: what is shown.
        size: width and height [pt].
        say: makes a title showable.
    """
    with settings():
        figure, axes = blank(*size, left=34.0, top=27.0)
        low = 0.5 * min([run.rating, run.allowed] + [p.amperes for p in run.loads if p.amperes > 1.0])
        high = 1.25 * run.most
        axes.set_xscale("log", subs=())
        axes.set_yscale("log", subs=())
        axes.set_xlim(low, high)
        axes.set_ylim(_SHORTEST, _LONGEST)
        _steps_between(axes)
        _band(axes, run)
        _line(axes, run.rating_line, 1, wording.say("figures.insulation_reaches_its_rating_from_cold"))
        _line(axes, run.damage, 2, wording.say("figures.conductor_damaged_from_its_rating_adiabatic"))
        _loads(axes, run, say)
        _faults(axes, run)
        axes.axvline(run.allowed, color=style.SERIES[1], linewidth=0.7, linestyle=(0, (1.0, 1.5)))
        axes.annotate(
            wording.say("figures.allowed_a", allowed=f"{run.allowed:.0f}"),
            (run.allowed, _SHORTEST),
            xytext=(-2.0, 4),
            textcoords="offset points",
            rotation=90,
            fontsize=style.FIGURE_SMALL,
            color=style.SERIES[1],
            ha="right",
            va="bottom",
        )
        axes.xaxis.set_major_formatter(FuncFormatter(_amperes))
        axes.yaxis.set_major_formatter(FuncFormatter(lambda t, _: _TIMES.get(round(t, 3), "")))
        axes.set_xlabel(wording.say("figures.current_through_one_fuse_and_run"))
        name_value(axes, wording.say("figures.time"))
        axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.01), ncols=2)
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
    words = (
        wording.say("figures.fuse_recalled_limits_not_judged")
        if run.recalled
        else wording.say("figures.fuse_points_of_its_data_sheet")
    )
    slow, fast = run.opens_within, run.holds_for
    dash = style.DASHES[1] if run.recalled else ()
    if slow and fast:
        xs = [c for c, _ in slow] + [c for c, _ in reversed(fast)]
        ys = [t for _, t in slow] + [t for _, t in reversed(fast)]
        axes.fill(xs, ys, color=style.BAND, linewidth=0, zorder=0)
    first = True
    for points in (slow, fast):
        if points:
            axes.plot(
                [c for c, _ in points],
                [t for _, t in points],
                color=style.INK,
                linewidth=style.TRACE,
                linestyle=(0, dash) if dash else "-",
                label=words if first else None,
            )
            first = False


def _line(axes: Axes, points: Points, index: int, words: str) -> None:
    if points:
        dash = style.DASHES[index]
        axes.plot(
            [c for c, _ in points],
            [t for _, t in points],
            color=style.SERIES[index],
            linewidth=style.TRACE,
            linestyle=(0, dash) if dash else "-",
            label=words,
        )


def _loads(axes: Axes, run: TimeCurrent, say: Say) -> None:
    shown = [p for p in run.loads if p.amperes > 1.0]
    if not shown:
        return
    axes.plot(
        [p.amperes for p in shown],
        [min(p.seconds, 0.8 * _LONGEST) for p in shown],
        linestyle="none",
        marker="o",
        markersize=3.6,
        color=style.ACCENT,
        label=wording.say("figures.load_cases_rms_how_long"),
        zorder=6,
    )
    left, right = axes.get_xlim()
    heights: list[float] = []  # of the words set so far
    for point in sorted(shown[:4], key=lambda p: -p.amperes):  # so that no words run over the next point
        seconds = min(point.seconds, 0.8 * _LONGEST)
        below = sum(abs(log(seconds / one)) < _SAME_HEIGHT for one in heights)
        heights.append(seconds)
        early = log(point.amperes / left) < _LEFT_PART * log(right / left)  # no room for words on its left
        axes.annotate(
            say(point.words),
            (point.amperes, seconds),
            xytext=(5 if early else -5, -9 * below),
            textcoords="offset points",
            ha="left" if early else "right",
            va="center",
            fontsize=style.FIGURE_SMALL,
            color=style.ACCENT,
            bbox={"facecolor": style.WHITE, "edgecolor": "none", "pad": 0.6},
            zorder=5,
        )


def _faults(axes: Axes, run: TimeCurrent) -> None:
    for amperes, words, at_foot in (
        (run.least, wording.say("figures.smallest_fault"), True),
        (run.most, wording.say("figures.largest_fault"), False),
    ):
        if amperes is None:
            continue
        axes.axvline(amperes, color=style.BAD, linewidth=0.8)
        axes.annotate(
            f"{words} {_kilo(amperes)}",
            (amperes, _SHORTEST if at_foot else _LONGEST),
            xytext=(3, 4) if at_foot else (-2, -3),
            textcoords="offset points",
            rotation=90,
            ha="left" if at_foot else "right",
            va="bottom" if at_foot else "top",
            fontsize=style.FIGURE_SMALL,
            color=style.BAD,
            bbox={"facecolor": style.WHITE, "edgecolor": "none", "pad": 0.4},
        )


def _kilo(amperes: float) -> str:
    return f"{amperes:.0f} A" if amperes < 1000.0 else wording.say("figures.ka", amperes=f"{amperes / 1000.0:.1f}")
