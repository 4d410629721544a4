"""A measured log over its prediction, one pair of lines per voltage."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from dossier import style
from dossier.figures.sheet import Say, blank, settings, volts
from dossier.reader import wording
from dossier.results.logs import LoggedChannel, MeasuredLog

MOST_CHANNELS = len(style.SERIES)


def drawn(log: MeasuredLog) -> tuple[LoggedChannel, ...]:
    """The voltages that are drawn."""
    return tuple(c for c in log.channels if c.kind == "voltage")[:MOST_CHANNELS]


def logged(log: MeasuredLog, size: tuple[float, float], say: Say) -> Figure:
    """Measured values as dots, the prediction as a line.

    Args:
        log: the log, at least one voltage.
        size: width and height [pt].
        say: makes a title showable.
    """
    with settings():
        channels = drawn(log)
        figure, axes = blank(*size, left=24.0, top=16.0 + 11.0 * (len(channels) - 1))
        values: list[float] = []
        for index, channel in enumerate(channels):
            colour, name = style.SERIES[index], say(channel.title)
            thin = max(1, len(channel.t) // 300)
            axes.plot(
                channel.t[::thin],
                channel.measured[::thin],
                color=colour,
                marker="o",
                markersize=1.6,
                markeredgewidth=0,
                linestyle="",
                label=wording.say("figures.measured", name=name),
                zorder=3,
            )
            axes.plot(
                channel.t,
                channel.predicted,
                color=colour,
                dashes=style.DASHES[index],
                linewidth=style.TRACE_THIN,
                label=wording.say("figures.predicted", name=name),
                zorder=2,
            )
            for one in (channel.measured, channel.predicted):
                finite = one[np.isfinite(one)]
                values += [float(finite.min()), float(finite.max())] if finite.size else []
        axes.set_xlim(float(channels[0].t[0]), float(channels[0].t[-1]))
        axes.set_xlabel(wording.say("figures.time_from_the_start_of_the"))
        volts(axes, values, wording.say("figures.voltage_v"))
        axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.01), ncols=2, markerscale=2.5)
    return figure
