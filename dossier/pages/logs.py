"""Measured logs over the prediction: what was laid over what, and what is left."""

from __future__ import annotations

from functools import partial
from typing import Any

from dossier import style
from dossier.buildfile.model import Build
from dossier.figures.logs import MOST_CHANNELS, drawn, logged
from dossier.pages.section import Stamp
from dossier.pages.words import fixed
from dossier.pdf.figure import FigureBox
from dossier.pdf.flow import heading, text, together
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import plain
from dossier.results.logs import MeasuredLog
from dossier.results.overview import Results

_SIZE = (style.LIVE_WIDTH, 180.0)
_say = partial(plain, limit=36)
_CLOSE = 2.0  # times the noise, within which a residual says nothing against the model


def logs(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every log with its figure and residuals; nothing where there is none."""
    if not results.logs:
        return []
    story: list[Any] = [
        text(
            "Dots are measured, lines are predicted from the inputs as stated, not fitted. The bias is the mean of "
            "measured less "
            "predicted, the rms includes it."
        )
    ]
    for log in results.logs:
        story += _log(log)
    return story


def _log(log: MeasuredLog) -> list[Any]:
    story: list[Any] = [heading(plain(log.title, 80), 2, f"log-{log.id}")]
    story.append(
        text(
            f"Load case {plain(log.case, 80)}; {plain(log.words, 200)}; clock {fixed(log.offset, 2, sign=True)} s, "
            f"{plain(log.offset_words, 200)}.",
            "note",
        )
    )
    if drawn(log):
        alt = "; ".join(
            f"{plain(c.title, 60)}: residual {fixed(c.rms, 2)} V rms, bias {fixed(c.bias, 2, sign=True)} V"
            for c in log.channels
        )
        story.append(
            together(
                FigureBox(
                    f"log-{log.id}",
                    partial(logged, log, _SIZE, _say),
                    _SIZE,
                    f"Measured and predicted voltage. {alt}.",
                )
            )
        )
    if sum(c.kind == "voltage" for c in log.channels) > MOST_CHANNELS:
        story.append(text(f"The first {MOST_CHANNELS} voltages are drawn.", "note"))
    story.append(
        data_table(
            [
                Column("Where", share=1.0, row_head=True),
                Column("What", share=0.5),
                num("Residual rms\nV, A"),
                num("Bias\nV, A"),
            ],
            [[plain(c.title, 60), c.kind, fixed(c.rms, 2), fixed(c.bias, 2, sign=True)] for c in log.channels],
        )
    )
    worst = max((c.rms for c in log.channels if c.kind == "voltage"), default=0.0)
    close = worst <= _CLOSE * max(log.noise, 0.005)
    story.append(
        text(
            f"Noise of the log: {fixed(1e3 * log.noise, 0)} mV. "
            + (
                "The residual is within twice of it: the model follows this run."
                if close
                else "The residual is larger than twice of it: inputs or model form differ from the vehicle. "
                "Fitting tells which inputs would explain it (dossier fit)."
            )
        )
    )
    return story
