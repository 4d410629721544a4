"""Load budget by engine state: what is asked, as stacked bars, against what the supplies give, as a mark."""

from __future__ import annotations

from matplotlib.figure import Figure

from dossier import style
from dossier.figures.sheet import Say, blank, name_value, settings
from dossier.results.budget import LoadBudget


def budget(load: LoadBudget, size: tuple[float, float], say: Say) -> Figure:
    """One bar per engine state and demand level, base load first, the supply as a line across its state.

    Args:
        load: the computed budget, at least one state.
        size: width and height [pt].
        say: makes a title showable.
    """
    with settings():
        figure, axes = blank(*size, left=24.0, bottom=42.0)
        labels: list[tuple[float, str]] = []
        highest = 1.0
        x = 0.0
        for state in load.states:
            start = x
            for level, demand in enumerate(state.demands):
                first = start == 0.0 and level == 0
                axes.bar(
                    x,
                    state.base_load,
                    0.62,
                    color=style.SERIES[3],
                    linewidth=0,
                    label="Vehicle's own load" if first else None,
                )
                axes.bar(
                    x,
                    demand.amperes,
                    0.62,
                    bottom=state.base_load,
                    color=style.SERIES[0],
                    linewidth=0,
                    label="Audio" if first else None,
                )
                total = state.base_load + demand.amperes
                axes.annotate(
                    f"{total:.0f}",
                    (x, total),
                    xytext=(0, 2),
                    textcoords="offset points",
                    ha="center",
                    va="bottom",
                    fontsize=style.FIGURE_SMALL,
                    color=style.INK,
                    bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.4},
                    zorder=5,
                )
                labels.append((x, _short(say(demand.name))))
                highest = max(highest, total)
                x += 1.0
            axes.plot(
                [start - 0.45, x - 0.55],
                [state.supply, state.supply],
                color=style.SERIES[1],
                linewidth=1.8,
                label="Supply" if start == 0.0 else None,
                zorder=4,
            )
            highest = max(highest, state.supply)
            axes.annotate(
                say(state.state.replace("_", "-")),
                ((start + x - 1.0) / 2.0, 0.0),
                xycoords=("data", "axes fraction"),
                xytext=(0, -27),
                textcoords="offset points",
                ha="center",
                va="top",
                fontsize=style.FIGURE_TEXT,
                color=style.INK,
            )
            x += 0.7
        axes.set_xlim(-0.7, x - 1.0)
        axes.set_ylim(0.0, highest * 1.12)
        axes.set_xticks([at for at, _ in labels], [words for _, words in labels], fontsize=style.FIGURE_SMALL)
        axes.tick_params(axis="x", length=0)
        axes.grid(visible=False, axis="x")
        name_value(axes, "Current (A)")
        axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.01), ncols=3)
    return figure


def _short(words: str) -> str:
    """The part after the comma of "music, 1/8 power", on two lines."""
    tail = words.split(",")[-1].strip()
    return tail.replace(" ", "\n", 1)
