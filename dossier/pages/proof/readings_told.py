"""What recorded readings make of the bands: before and with them, which inputs moved, and what nobody read."""

from __future__ import annotations

from typing import Any

from dossier.pages.words import fixed, name
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.text import markup, plain
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.readings import MovedInput
from dossier.results.sag import Band


def readings_told(results: Results) -> list[Any]:
    """One line per lowest mean and per input that moved; that nothing was narrowed where no samples were played."""
    told = results.recorded.told
    title = heading(say("readings_told.title"), 2, "measured-told")
    if told is None:
        uses = [one.use for one in results.recorded.readings] + [one.use for one in results.recorded.joints]
        return [title, text(say("readings_told.quick"))] if None in uses else []
    if not told.explained:
        said = [say("readings_told.unexplained", misfit=fixed(told.misfit), limit=fixed(told.limit))]
        if told.against:
            said.append(say("readings_told.against", one=plain(told.furthest_title), other=plain(told.against)))
        return [title, text(" ".join(said))]
    lines = [
        say(
            "readings_told.line",
            case=name(case.title),
            where=name(one.title),
            before=_span(one.mean_minimum.band),
            after=_span(one.mean_minimum.band_with_readings),
        )
        for case in results.load_cases
        for one in case.amplifiers
        if one.mean_minimum.band_with_readings is not None
    ]
    story = [title, text(say("readings_told.how", count=len(told.used)))]
    story += [rich(f"\u2022 {markup(line)}") for line in lines]
    if told.moved:
        story.append(text(say("readings_told.moved")))
        story += [rich(f"\u2022 {markup(_moved(one))}") for one in told.moved]
    if told.unread:
        story.append(text(say("readings_told.unread", states="; ".join(told.unread))))
    if told.symptom is not None:
        story += [text(plain(words, 400)) for words in told.symptom.words]
    return [*story, text(say("readings_told.errors"), "note")]


def _span(band: Band | None) -> str:
    if band is None or band.high is None:
        return say("readings_told.collapse")
    low = say("readings_told.collapse") if band.low is None else fixed(band.low)
    return say("readings_told.span", low=low, high=fixed(band.high))


def _moved(one: MovedInput) -> str:
    others = say("readings_told.only_with", others=plain("; ".join(one.only_with), 200)) if one.only_with else ""
    return say(
        "readings_told.input",
        what=plain(f"{one.device}: {one.quantity}", 110),
        value=one.value,
        low=one.low,
        high=one.high,
        others=others,
    )
