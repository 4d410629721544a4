"""Deferral to local rules and licensed practice, and what the computation leaves out and which way that errs."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, table_of
from dossier.reader.wording import entries, say
from dossier.results.overview import Results

_S: Final = "cell_small"


def limits(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Local rules first, then the limits of the computation, then the notes of the build file."""
    story: list[Any] = [
        text(
            say("limits.this_dossier_does_not_replace_the"),
        ),
        text(
            say("limits.work_that_local_law_reserves_for"),
        ),
        heading(say("limits.limits_of_the_computation"), 2, "limits-model"),
        text(
            say("limits.computed_values_come_from_a_model"),
        ),
        table_of(
            entries("limits.errors"),
            [
                Column(say("limits.not_modelled"), lambda row: row["what"], share=1.5, row_head=True, style=_S),
                Column(say("limits.which_way_it_errs"), lambda row: row["way"], share=1.0, style=_S),
            ],
            tight=True,
        ),
    ]
    if build.notes:
        story.append(heading(say("limits.notes_of_the_build_file"), 2, "notes"))
        story += [text(note) for note in build.notes]
    return story
