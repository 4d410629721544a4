"""Load budget by engine state: what is asked, as stacked bars, against what the supplies give, as a mark."""

from __future__ import annotations

from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from dossier import style
from dossier.figures.sheet import Say, blank, name_value, settings
from dossier.reader import wording
from dossier.reader.promised import load_a
from dossier.results.budget import BusBudget, LoadBudget

_PARTS: Final = (style.SERIES[3], style.SERIES[2], style.SERIES[0])  # the vehicle's own load, converters, audio


def budget(load: LoadBudget, size: tuple[float, float], say: Say) -> Figure:
    """One bar per engine state, bus and demand level, base load first, the supply as a line across its bus.

    Args:
        load: the computed budget, at least one state.
        size: width and height [pt].
        say: makes a title showable.
    """
    tagged = any(bus.tag for state in load.states for bus in state.buses)
    with settings():
        figure, axes = blank(*size, left=24.0, bottom=42.0 + (8.0 if tagged else 0.0))
        names = wording.lines("figures.budget_parts")
        labels: list[tuple[float, str]] = []
        highest = 1.0
        x = 0.0
        for state in load.states:
            start = x
            for bus in state.buses:
                begins = x
                for words, parts in _bars(bus):
                    bottom = 0.0
                    for label, colour, amperes in zip(names, _PARTS, parts, strict=True):
                        if amperes:
                            once = _once(axes, label)
                            axes.bar(x, amperes, 0.62, bottom=bottom, color=colour, linewidth=0, label=once)
                            bottom += amperes
                    axes.annotate(
                        load_a(bottom),
                        (x, bottom),
                        xytext=(0, 2),
                        textcoords="offset points",
                        ha="center",
                        va="bottom",
                        fontsize=style.FIGURE_SMALL,
                        color=style.INK,
                        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.4},
                        zorder=5,
                    )
                    tag = f"{bus.tag}\n" if bus.tag else ""
                    labels.append((x, tag + _short(say(words)) if words else bus.tag))
                    highest = max(highest, bottom)
                    x += 1.0
                axes.plot(
                    [begins - 0.45, x - 0.55],
                    [bus.supply, bus.supply],
                    color=style.SERIES[1],
                    linewidth=1.8,
                    label=_once(axes, wording.say("figures.supply")),
                    zorder=4,
                )
                highest = max(highest, bus.supply)
            axes.annotate(
                say(wording.terms("words.terms")[state.state]),
                ((start + x - 1.0) / 2.0, 0.0),
                xycoords=("data", "axes fraction"),
                xytext=(0, -27 - (8 if any(bus.tag for bus in state.buses) else 0)),
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
        name_value(axes, wording.say("figures.current_a"))
        axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.01), ncols=4)
    return figure


def _bars(bus: BusBudget) -> list[tuple[str, tuple[float, float, float]]]:
    """Level and what is asked of a bus [A], part by part; one bar without a level where no amplifier is on it."""
    bars = [
        (demand.name, (bus.base_load, taken, demand.amperes))
        for demand, taken in zip(bus.demands, bus.passed_on, strict=True)
    ]
    return bars if len(set(bus.balances)) > 1 or len(bars) < 2 else [("", bars[0][1])]


def _once(axes: Axes, label: str) -> str | None:
    """A name for the legend, the first time only."""
    return None if label in axes.get_legend_handles_labels()[1] else label


def _short(words: str) -> str:
    """The part after the comma of "music, 1/8 power", on two lines."""
    tail = words.split(",")[-1].strip()
    return tail.replace(" ", "\n", 1)
