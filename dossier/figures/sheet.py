"""Blank figure, fixed settings, and all figures of a dossier as the pages of one vector PDF."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any, Final

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from dossier import style
from dossier.figures import faces

Say = Callable[[str], str]  # makes foreign text showable on one line

_SETTINGS: Final[dict[str, Any]] = {
    "font.family": [faces.BODY, faces.SYMBOLS],
    "font.size": style.FIGURE_TEXT,
    "text.color": style.INK,
    "text.parse_math": False,  # a dollar sign in a title is a dollar sign
    "axes.unicode_minus": True,
    "axes.edgecolor": style.RULE,
    "axes.labelcolor": style.MUTED,
    "axes.labelsize": style.FIGURE_TEXT,
    "axes.linewidth": style.AXIS,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.labelpad": 3.0,
    "axes.xmargin": 0.0,
    "grid.color": style.GRID,
    "grid.linewidth": style.GRID_LINE,
    "xtick.color": style.RULE,
    "ytick.color": style.RULE,
    "xtick.labelcolor": style.MUTED,
    "ytick.labelcolor": style.MUTED,
    "xtick.labelsize": style.FIGURE_TEXT,
    "ytick.labelsize": style.FIGURE_TEXT,
    "xtick.major.width": style.AXIS,
    "ytick.major.width": style.AXIS,
    "xtick.major.size": 2.6,
    "ytick.major.size": 2.6,
    "lines.linewidth": style.TRACE,
    "lines.solid_capstyle": "butt",
    "legend.frameon": False,
    "legend.fontsize": style.FIGURE_TEXT,
    "legend.handlelength": 2.6,
    "legend.columnspacing": 1.6,
    "legend.borderaxespad": 0.0,
    "figure.dpi": 72,
    "savefig.dpi": 72,
    "pdf.fonttype": 42,  # TrueType, so that the text can be selected and searched
    "ps.fonttype": 42,  # the PDF backend reads this one when it decides which signs keep their own code
    "pdf.compression": 6,
    "pdf.use14corefonts": False,
    "path.simplify": False,
}


def settings() -> Any:
    """Context in which every drawing setting has its own value, whatever the user's own settings say."""
    faces.register()
    return mpl.rc_context({**mpl.rcParamsDefault, "backend": "pdf", **_SETTINGS})


def blank(width: float, height: float, *, left: float, bottom: float = 29.0, top: float = 16.0) -> tuple[Figure, Axes]:
    """A figure of ``width`` x ``height`` [pt] with one pair of axes inside the margins [pt]; use inside `settings`."""
    figure = Figure(figsize=(width / 72.0, height / 72.0))
    FigureCanvasPdf(figure)
    area = (left / width, bottom / height, (width - left - 7.0) / width, (height - bottom - top) / height)
    return figure, figure.add_axes(area)


def name_value(axes: Axes, words: str) -> None:
    """Name the vertical axis above its end, upright, where it reads like the legend beside it."""
    axes.annotate(
        words,
        (0.0, 1.0),
        xycoords="axes fraction",
        xytext=(-22.0, 5.0),
        textcoords="offset points",
        ha="left",
        va="bottom",
        color=style.MUTED,
        fontsize=style.FIGURE_TEXT,
    )


def volts(axes: Axes, values: Sequence[float], words: str) -> None:
    """The vertical axis of a voltage plot: room around ``values``, even steps of 0.1 V or more, and its name."""
    low, high = min(values), max(values)
    room = max(0.08 * (high - low), 0.1)
    axes.set_ylim(low - room, high + room)
    steps = max(1, min(7, int((high - low + 2.0 * room) / 0.1)))
    axes.yaxis.set_major_locator(MaxNLocator(steps, steps=[1, 2, 5, 10]))
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:.1f}".replace("-", "−"))
    name_value(axes, words)


def pdf_of(figures: Sequence[Figure]) -> bytes:
    """All ``figures`` as the pages of one PDF, sharing their faces; the same bytes for the same figures."""
    out = io.BytesIO()
    with settings(), PdfPages(out, metadata={"CreationDate": None, "Producer": None, "Creator": None}) as pages:
        for figure in figures:
            pages.savefig(figure)
    return out.getvalue()
