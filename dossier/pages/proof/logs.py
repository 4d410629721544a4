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
from dossier.pdf.tables import Column, num, table_of
from dossier.pdf.text import plain
from dossier.reader.wording import say
from dossier.results.logs import MeasuredLog
from dossier.results.overview import Results

_SIZE = (style.LIVE_WIDTH, 180.0)
_say = partial(plain, limit=36)
_CLOSE = 2.0  # times the noise, within which a residual says nothing against the model


def logs(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every log with its figure and residuals; nothing where there is none."""
    if not results.logs:
        return []
    story: list[Any] = [text(say("logs.dots_are_measured_lines_are_predicted"))]
    for log in results.logs:
        story += _log(log)
    return story


def _log(log: MeasuredLog) -> list[Any]:
    story: list[Any] = [heading(plain(log.title, 80), 2, f"log-{log.id}")]
    clock = plain(log.offset_words, 200)
    story.append(
        text(say("logs.load_case_clock", case=plain(log.case, 80), words=plain(log.words, 200), clock=clock), "note")
    )
    story += [text(plain(remark, 300) + ".", "note") for remark in log.remarks]
    if not log.channels:
        return [*story, text(say("logs.nothing_is_compared"))]
    if drawn(log):
        alt = "; ".join(
            say(
                "logs.residual_v_rms_bias_v",
                title=plain(c.title, 60),
                rms=fixed(c.rms, 2),
                bias=fixed(c.bias, 2, sign=True),
            )
            for c in log.channels
        )
        story.append(
            together(
                FigureBox(
                    f"log-{log.id}",
                    partial(logged, log, _SIZE, _say),
                    _SIZE,
                    say("logs.measured_and_predicted_voltage", alt=alt),
                )
            )
        )
    if sum(c.kind == "voltage" for c in log.channels) > MOST_CHANNELS:
        story.append(text(say("logs.the_first_voltages_are_drawn", most_channels=MOST_CHANNELS), "note"))
    story.append(
        table_of(
            log.channels,
            [
                Column(say("columns.where"), lambda c: plain(c.title, 60), share=1.0, row_head=True),
                Column(say("columns.what"), lambda c: c.kind, share=0.5),
                num(say("logs.residual_rms_v_a"), lambda c: fixed(c.rms, 2)),
                num(say("logs.bias_v_a"), lambda c: fixed(c.bias, 2, sign=True)),
            ],
        )
    )
    worst = max((c.rms for c in log.channels if c.kind == "voltage"), default=0.0)
    close = worst <= _CLOSE * max(log.noise, 0.005)
    story.append(
        text(
            say("logs.noise_of_the_log_mv", noise=fixed(1e3 * log.noise, 0))
            + (say("logs.the_residual_is_within_twice_of") if close else say("logs.the_residual_is_larger_than_twice"))
        )
    )
    return story
