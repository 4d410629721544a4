"""Deferral to local rules and licensed practice, and what the computation leaves out and which way that errs."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pdf.flow import TwoColumns, heading, rich, text
from dossier.pdf.text import markup
from dossier.reader.wording import entries, say
from dossier.results.overview import Results


def limits(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Local rules first, then the limits of the computation, then the notes of the build file."""
    story: list[Any] = [
        text(say("limits.this_dossier_does_not_replace_the")),
        text(say("limits.work_that_local_law_reserves_for")),
        heading(say("limits.limits_of_the_computation"), 2, "limits-model"),
        text(say("limits.computed_values_come_from_a_model")),
        TwoColumns(
            [rich(f"<b>{markup(one['what'])}.</b> {markup(one['way'])}", "small") for one in entries("limits.errors")]
        ),
    ]
    if build.notes:
        story.append(heading(say("limits.notes_of_the_build_file"), 2, "notes"))
        story += [text(note) for note in build.notes]
    return story
