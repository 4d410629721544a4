"""Voltage against time of one load case, with the limits it is judged by."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from dossier import style
from dossier.figures.sheet import Say, blank, settings, volts
from dossier.reader import wording
from dossier.results.sag import AmplifierSag, LoadCaseResult

Trace = NDArray[np.float64]


def decimate(t: Trace, v: Trace, points: int = 480) -> tuple[Trace, Trace]:
    """At most ``points`` samples of ``v`` over ``t`` with the least and the greatest of every stretch kept.

    The time axis may be uneven: stretches are equal in time, so that what is kept is what a page can show. A trace
    that ends in NaN (collapse) keeps the NaN, so that it is drawn as an end and not as a line to somewhere.
    """
    count = len(t)
    if count <= points:
        return t, v
    stretches = max(points // 2 - 1, 1)
    edges = np.linspace(t[0], t[-1], stretches + 1)
    starts = np.unique(np.searchsorted(t, edges[:-1]))
    low = np.where(np.isnan(v), np.inf, v)
    high = np.where(np.isnan(v), -np.inf, v)
    keep = {0, count - 1}
    for first, after in zip(starts, [*starts[1:], count], strict=True):
        keep.add(int(first + np.argmin(low[first:after])))
        keep.add(int(first + np.argmax(high[first:after])))
    gone = np.flatnonzero(np.isnan(v))
    if gone.size:
        keep.add(int(gone[0]))
        keep.add(max(int(gone[0]) - 1, 0))
    chosen = np.array(sorted(keep))
    return t[chosen], v[chosen]


MOST_LINES = 4  # amplifiers drawn; the tables name them all
_APART = 0.05  # V, less than a line is thick
_ONE_ROW = 2  # up to so many amplifiers the legend is one row, beyond that two
_TITLE_SIGNS = (60, 26, 18, 16)  # of one title in the legend, by how many are drawn


def drawn(case: LoadCaseResult) -> tuple[tuple[AmplifierSag, ...], ...]:
    """The lines of the figure, each with the amplifiers it stands for: the worst first, then in build order."""
    worst = [one for one in case.amplifiers if one.id == case.worst]
    others = [one for one in case.amplifiers if one.id != case.worst]
    groups: list[list[AmplifierSag]] = []
    for one in worst + others:
        like = next((group for group in groups if _same(group[0].mean, one.mean)), None)
        if like is None:
            groups.append([one])
        else:
            like.append(one)
    return tuple(tuple(group) for group in groups[:MOST_LINES])


def _same(a: np.ndarray, b: np.ndarray) -> bool:
    """Whether two voltages lie so close together, and end at the same instant, that one line shows both."""
    known = np.isfinite(a)
    return bool(np.array_equal(known, np.isfinite(b)) and np.all(np.abs(a[known] - b[known]) <= _APART))


def sag(case: LoadCaseResult, size: tuple[float, float], say: Say) -> Figure:
    """Mean voltage at the amplifiers, trough of the worst one, limits and bands; time from the start of the sound.

    Args:
        case: the computed load case.
        size: width and height [pt].
        say: makes a title showable.
    """
    with settings():
        groups = drawn(case)
        one_row = len(groups) <= _ONE_ROW
        figure, axes = blank(*size, left=24.0, top=16.0 if one_row else 27.0)
        t = case.t
        values: list[float] = []
        for index, group in enumerate(groups):
            values += _amplifier(axes, t, group[0], index, _title(group, _TITLE_SIGNS[len(groups) - 1], say))
        worst = groups[0][0]
        seen = set()
        for check in worst.limits:
            if (check.statistic, check.limit) in seen:
                continue
            seen.add((check.statistic, check.limit))
            axes.axhline(
                check.limit,
                color=style.BAD,
                linewidth=0.9,
                linestyle=(0, (4.0, 2.0)),
                label=wording.say("figures.limit"),
            )
            values.append(check.limit)
        _axes(axes, case, t, values)
        _collapse(axes, worst, case)
        handles, labels = axes.get_legend_handles_labels()
        once = dict(zip(labels, handles, strict=True))
        axes.legend(
            once.values(),
            once.keys(),
            loc="lower right",
            bbox_to_anchor=(1.0, 1.01),
            ncols=len(once) if one_row else (len(once) + 1) // 2,
        )
    return figure


def _amplifier(axes: Axes, t: np.ndarray, amplifier: AmplifierSag, index: int, title: str) -> list[float]:
    """Draw one amplifier; returns the values that must be in view."""
    colour = style.SERIES[index]
    values: list[float] = []
    if amplifier.band is not None:
        band = amplifier.band
        axes.fill_between(
            band.t,
            band.low,
            band.high,
            color=style.BAND,
            linewidth=0,
            label=wording.say("figures.five_to_95") if index == 0 else None,
        )
        values += _ends(band.low) + _ends(band.high)
    x, y = decimate(t, amplifier.mean)
    axes.plot(x, y, color=colour, dashes=style.DASHES[index], label=title, zorder=3 - 0.1 * index)
    if index == 0 and amplifier.trough is not None and _differs(amplifier):
        x, y = decimate(t, amplifier.trough)
        axes.plot(x, y, color=style.RULE, linewidth=style.TRACE_THIN, label=wording.say("figures.trough"), zorder=2)
        values += _ends(amplifier.trough)
    return values + _ends(amplifier.mean)


def _title(group: tuple[AmplifierSag, ...], signs: int, say: Say) -> str:
    """All the titles where there is room for them, otherwise the first and how many more."""
    titles = [say(one.title) for one in group]
    whole = ", ".join(titles)
    if len(titles) == 1 or len(whole) <= signs:
        return _within(whole, signs)
    more = wording.say("figures.and_more", titles=len(titles) - 1)
    return _within(titles[0], signs - len(more)) + more


def _within(words: str, signs: int) -> str:
    """At most ``signs`` characters of ``words``."""
    return words if len(words) <= signs else words[: signs - 1].rstrip() + "…"


def _differs(amplifier: AmplifierSag) -> bool:
    assert amplifier.trough is not None
    gap = amplifier.mean - amplifier.trough
    return bool(np.any(gap[~np.isnan(gap)] > 0.02))


def _ends(v: np.ndarray) -> list[float]:
    finite = v[np.isfinite(v)]
    return [float(finite.min()), float(finite.max())] if finite.size else []


def _axes(axes: Axes, case: LoadCaseResult, t: np.ndarray, values: list[float]) -> None:
    axes.set_xlim(float(t[0]), float(t[-1]))
    axes.set_xlabel(wording.say("figures.time_from_the_start_of_the"))
    volts(axes, values, wording.say("figures.voltage_v"))
    # The stretch in which the sound plays stands on a line at the foot of the plot.
    axes.plot(
        [0.0, case.sound_ends],
        [0.0, 0.0],
        transform=axes.get_xaxis_transform(),
        color=style.ACCENT,
        linewidth=2.4,
        clip_on=False,
        solid_capstyle="butt",
        zorder=5,
        label=wording.say("figures.sound"),
    )


def _collapse(axes: Axes, worst: AmplifierSag, case: LoadCaseResult) -> None:
    """A cross where the worst amplifier's voltage ends, if it does."""
    outcome = worst.outcome
    if not outcome.is_collapse or outcome.at is None:
        return
    finite = np.flatnonzero(np.isfinite(worst.mean))
    y = float(worst.mean[finite[-1]]) if finite.size else axes.get_ylim()[0]
    axes.plot([outcome.at], [y], marker="x", color=style.BAD, markersize=6, markeredgewidth=1.4, linestyle="", zorder=6)
    late = outcome.at > 0.6 * case.t[-1]
    axes.annotate(
        wording.say("figures.collapse_at_s", at=f"{outcome.at:.1f}"),
        (outcome.at, y),
        xytext=(-7 if late else 7, 4),
        textcoords="offset points",
        ha="right" if late else "left",
        va="bottom",
        color=style.BAD,
        fontsize=style.FIGURE_TEXT,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
    )
