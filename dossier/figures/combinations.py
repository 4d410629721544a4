"""Cost of combinations of options against what is above the limits at worst, with the front of the best."""

from __future__ import annotations

from matplotlib.figure import Figure

from dossier import style
from dossier.figures.sheet import blank, settings, volts
from dossier.reader import wording
from dossier.results.options import WithinBudget


def combinations(sums: WithinBudget, size: tuple[float, float]) -> Figure:
    """One mark for each combination that holds its load cases; a line joins those that nothing as cheap reaches.

    Args:
        sums: what was computed.
        size: width and height [pt].
    """
    with settings():
        figure, axes = blank(*size, left=30.0, top=22.0)
        held = [one for one in sums.combinations if one.margin is not None]
        front = sorted((one for one in held if one.on_front), key=lambda one: one.cost)
        axes.plot(
            [one.cost for one in front],
            [one.margin or 0.0 for one in front],
            color=style.SERIES[0],
            linewidth=style.TRACE,
            drawstyle="steps-post",
            label=wording.say("figures.front_of_the_best"),
            zorder=2,
        )
        for one in held:
            best = one.options == sums.best
            axes.plot(
                [one.cost],
                [one.margin or 0.0],
                marker="x" if one.stops else "o",
                markersize=7.0 if best else 4.5,
                color=style.BAD if one.stops else style.SERIES[0] if best else "white",
                markeredgecolor=style.BAD if one.stops else style.INK,
                linestyle="",
                zorder=4,
            )
        axes.axhline(0.0, color=style.BAD, linewidth=0.9, linestyle=(0, (4.0, 2.0)), zorder=1)
        axes.set_xlabel(wording.say("figures.cost", currency=sums.currency))
        axes.margins(x=0.04)
        volts(axes, [0.0, *(one.margin or 0.0 for one in held)], wording.say("figures.above_limits_v"))
        axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.01), ncols=1)
    return figure
