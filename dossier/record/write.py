"""Compose the PDF of a build and put it in its place without ever harming what is there."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Final, Literal

from pikepdf import ObjectStreamMode, Pdf

from dossier import __version__
from dossier.buildfile.model import Build
from dossier.figures.sheet import pdf_of
from dossier.pages.edition import EDITIONS, story
from dossier.pages.section import Stamp
from dossier.pages.words import word
from dossier.pdf.embed import embed
from dossier.pdf.tagging import tag
from dossier.pdf.template import Furniture, Laid, lay_out
from dossier.pdf.text import plain
from dossier.record.archive import About, Attachment, archive, digest
from dossier.record.attached import attachments_of, masked
from dossier.record.files import OutputError, output_stem, replace_file
from dossier.record.results_json import results_json
from dossier.record.seal import put_seal
from dossier.results.overview import Results
from dossier.results.pictures import Picture

__all__ = ["OutputError", "compose", "write_dossier"]

PROGRAM: Final = f"install-dossier {__version__}"
PLAN: Final = "PLAN — not built"
Paper = Literal["a4", "letter"]
_TITLES: Final = {
    "workshop": "Installation dossier",
    "customer": "Owner's paper",
    "inspector": "Inspection paper",
}


def compose(
    build: Build,
    results: Results,
    photos: tuple[Picture, ...] = (),
    *,
    paper: Paper = "a4",
    edition: str = "workshop",
) -> bytes:
    """One edition as PDF; the same build, results, photos, paper and edition give the same bytes.

    Args:
        build: what was read.
        results: what was computed from it.
        photos: as prepared.
        paper: a4 or letter.
        edition: workshop, customer or inspector.
    """
    hidden = edition == "inspector" and build.kept.identity.masked
    if hidden:
        build, results = masked(build, results)
    attachments = attachments_of(build, results, photos, PROGRAM)
    stamp = Stamp(digest(attachments), PROGRAM, tuple(one.name for one in attachments), photos, hidden)
    pages = story(build, results, stamp, edition)
    laid = lay_out(pages, _furniture(build), paper=paper, author=build.record.workshop)
    return _finish(laid, build, attachments, paper, edition)


def write_dossier(
    build: Build,
    results: Results,
    directory: Path,
    *,
    photos: tuple[Picture, ...] = (),
    paper: Paper = "a4",
    editions: Sequence[str] = ("workshop",),
    results_json: bool = False,
) -> tuple[Path, ...]:
    """Write ``<name>.pdf`` into ``directory``, other editions beside it; returns what was written.

    Args:
        build: what was read.
        results: what was computed from it.
        directory: where to.
        photos: as prepared.
        paper: a4 or letter.
        editions: names of ``dossier.pages.edition.EDITIONS``.
        results_json: whether ``<name>.results.json`` is written too.

    Raises:
        OutputError: the folder or a file cannot be written. Files that were there are unharmed, nothing
            half-written is left.
    """
    stem = output_stem(build.name)
    parts = [
        (
            directory / f"{stem}{EDITIONS[edition].suffix}.pdf",
            compose(build, results, photos, paper=paper, edition=edition),
        )
        for edition in editions
    ]
    if results_json:
        parts.append((directory / f"{stem}.results.json", _results(build, results)))
    for path, data in parts:
        replace_file(path, data)
    return tuple(path for path, _ in parts)


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


def _finish(
    laid: Laid, build: Build, attachments: tuple[Attachment, ...], paper: str, edition: str
) -> bytes:
    record = build.record
    about = About(
        title=f"{_TITLES[edition]} {plain(record.number, 40)}: {plain(record.title, 140)}",
        author=plain(record.workshop, 120),
        subject=plain(f"{build.vehicle.description}, revision {record.revision}", 200),
        keywords="vehicle audio, voltage, load budget, cable and fuse schedule",
        creator=PROGRAM,
        date=record.date,
    )
    identity = b"\0".join([PROGRAM.encode(), paper.encode(), edition.encode(), *(one.data for one in attachments)])
    out = io.BytesIO()
    with Pdf.open(io.BytesIO(laid.data)) as pdf:
        if laid.figures:
            embed(pdf, list(laid.figures), pdf_of([box.draw_figure() for box in laid.figures.values()]))
        tag(pdf, laid.structure)
        archive(pdf, about, attachments, identity)
        put_seal(
            pdf, program=PROGRAM, edition=edition, paper=paper, attachments=attachments, day=build.record.date
        )
        pdf.save(
            out,
            force_version="1.7",
            deterministic_id=True,
            object_stream_mode=ObjectStreamMode.generate,
            recompress_flate=False,
            linearize=False,
        )
    return out.getvalue()
