"""Compose the PDF of a build and put it in its place without ever harming what is there."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Final, Literal

from pikepdf import ObjectStreamMode, Pdf

from dossier import __version__
from dossier.buildfile.model import Build
from dossier.figures.sheet import pdf_of
from dossier.pages.edition import story
from dossier.pages.section import Stamp
from dossier.pages.words import word
from dossier.pdf.embed import embed
from dossier.pdf.tagging import tag
from dossier.pdf.template import Furniture, Laid, lay_out
from dossier.pdf.text import plain
from dossier.record.archive import About, Attachment, archive, digest
from dossier.record.files import OutputError, output_stem, replace_file
from dossier.record.results_json import results_json
from dossier.results.overview import Results

__all__ = ["OutputError", "compose", "write_dossier"]

PROGRAM: Final = f"install-dossier {__version__}"
PLAN: Final = "PLAN — not built"
Paper = Literal["a4", "letter"]


def compose(build: Build, results: Results, *, paper: Paper = "a4") -> bytes:
    """The workshop edition as PDF; the same build, results and paper give the same bytes.

    Args:
        build: what was read.
        results: what was computed from it.
        paper: a4 or letter.
    """
    attachments = _attachments(build, results)
    stamp = Stamp(digest(attachments), PROGRAM, tuple(one.name for one in attachments))
    laid = lay_out(story(build, results, stamp), _furniture(build), paper=paper, author=build.record.workshop)
    return _finish(laid, build, attachments, paper)


def write_dossier(
    build: Build, results: Results, directory: Path, *, paper: Paper = "a4", results_json: bool = False
) -> tuple[Path, ...]:
    """Write ``<name>.pdf`` into ``directory``, and ``<name>.results.json`` on request; returns what was written.

    Raises:
        OutputError: the folder or a file cannot be written. Files that were there are unharmed, nothing
            half-written is left.
    """
    stem = output_stem(build.name)
    parts = [(directory / f"{stem}.pdf", compose(build, results, paper=paper))]
    if results_json:
        parts.append((directory / f"{stem}.results.json", _results(build, results)))
    for path, data in parts:
        replace_file(path, data)
    return tuple(path for path, _ in parts)


def _attachments(build: Build, results: Results) -> tuple[Attachment, ...]:
    name = plain(build.name, 100).replace("/", "_")
    return (
        Attachment(
            f"{name}.yaml", build.text, "application/yaml", "Source", "The build file this document is made from"
        ),
        Attachment(
            f"{name}.results.json",
            _results(build, results),
            "application/json",
            "Data",
            "Everything that was computed, with units",
        ),
    )


def _results(build: Build, results: Results) -> bytes:
    return results_json(results, build=build.name, program=PROGRAM)


def _furniture(build: Build) -> Furniture:
    record = build.record
    return Furniture(
        title=plain(record.title, 80),
        number=plain(record.number, 40),
        footer=f"Revision {plain(record.revision, 20)}  ·  {plain(record.date, 30)}  ·  {word(record.stage)}",
        stamp=PLAN if record.stage == "design" else "",
    )


def _finish(laid: Laid, build: Build, attachments: tuple[Attachment, ...], paper: str) -> bytes:
    record = build.record
    about = About(
        title=f"Installation dossier {plain(record.number, 40)}: {plain(record.title, 140)}",
        author=plain(record.workshop, 120),
        subject=plain(f"{build.vehicle.description}, revision {record.revision}", 200),
        keywords="vehicle audio, voltage, load budget, cable and fuse schedule",
        creator=PROGRAM,
        date=record.date,
    )
    identity = b"\0".join([PROGRAM.encode(), paper.encode(), *(one.data for one in attachments)])
    out = io.BytesIO()
    with Pdf.open(io.BytesIO(laid.data)) as pdf:
        if laid.figures:
            embed(pdf, list(laid.figures), pdf_of([box.draw_figure() for box in laid.figures.values()]))
        tag(pdf, laid.structure)
        archive(pdf, about, attachments, identity)
        pdf.save(
            out,
            force_version="1.7",
            deterministic_id=True,
            object_stream_mode=ObjectStreamMode.generate,
            recompress_flate=False,
            linearize=False,
        )
    return out.getvalue()
