"""Compose the PDF of a build and put it in its place without ever harming what is there."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Final, Literal

from pikepdf import ObjectStreamMode, Pdf

from dossier import __version__
from dossier.buildfile.file_names import file_stem
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.figures.sheet import pdf_of
from dossier.frozen import dataclass
from dossier.pages.editions.edition import EDITIONS, story
from dossier.pages.section import Stamp
from dossier.pages.words import word
from dossier.pdf.embed import embed
from dossier.pdf.tagging import tag
from dossier.pdf.template import Furniture, Laid, lay_out
from dossier.pdf.text import plain
from dossier.reader.promised import as_fine_as
from dossier.reader.reading import read_by
from dossier.reader.units import Units
from dossier.reader.wording import ENGLISH, say, speaking, terms
from dossier.record.archive import About, Attachment, archive, digest
from dossier.record.attached import attachments_of
from dossier.record.drawn_with import drawn_with
from dossier.record.files import OutputError, replace_file
from dossier.record.masking import is_masked, masked, masked_pictures
from dossier.record.opened import MOST_FILE, NotADossierError, opened
from dossier.record.results_json import results_json, stored_results
from dossier.record.seal import put_seal
from dossier.record.streams import MOST_ATTACHED
from dossier.results.overview import Results
from dossier.results.pictures import Picture

__all__ = ["OutputError", "compose", "write_dossier"]

PROGRAM: Final = f"install-dossier {__version__}"
Paper = Literal["a4", "letter"]


@dataclass(frozen=True, slots=True)
class Original:
    """What a document says of itself that was made elsewhere, kept when it is set again to be compared."""

    program: str  # name and version of the program that made it
    results: bytes  # the results as attached to it


@dataclass(frozen=True, slots=True)
class Look:
    """Which document is made of a build."""

    program: str

    edition: str
    paper: str
    units: Units
    language: str


def compose(
    build: Build,
    results: Results,
    pictures: tuple[Picture, ...] = (),
    *,
    paper: Paper = "a4",
    units: Units = Units.METRIC,
    edition: str = "workshop",
    language: str = ENGLISH,
    original: Original | None = None,
) -> bytes:
    """One edition as PDF; the same build, results, pictures and choices give the same bytes.

    Args:
        build: what was read.
        results: what was computed from it.
        pictures: photos and logo, as prepared.
        paper: a4 or letter.
        units: of the reader; what is attached stays SI.
        edition: workshop, customer or inspector.
        language: of the wording; findings and other computed sentences are English.
        original: the document that is set again, if it was made elsewhere.
    """
    program = original.program if original else PROGRAM
    hidden = is_masked(build, edition)
    if hidden:
        build, results = masked(build, results)
        pictures = masked_pictures(build, pictures)
    attachments = attachments_of(build, results, pictures, program, original.results if original else b"")
    stamp = Stamp(
        digest(attachments),
        program,
        tuple(one.name for one in attachments),
        tuple(one for one in pictures if not one.is_logo),
        hidden,
        units,
        next((one for one in pictures if one.is_logo), None),
    )
    with speaking(language), as_fine_as(build.voltage_limits):
        pages = story(read_by(units, build), read_by(units, results), stamp, edition)
        laid = lay_out(pages, _furniture(build, results), paper=paper, author=build.record.workshop)
        return _finish(laid, build, attachments, Look(program, edition, paper, units, language))


def write_dossier(
    build: Build,
    results: Results,
    directory: Path,
    *,
    photos: tuple[Picture, ...] = (),
    paper: Paper = "a4",
    units: Units = Units.METRIC,
    language: str = ENGLISH,
    editions: Sequence[str] = ("workshop",),
    results_json: bool = False,
) -> tuple[Path, ...]:
    """Write ``<name>.pdf`` into ``directory``, other editions beside it; returns what was written.

    Args:
        build: what was read.
        results: what was computed from it.
        directory: where to.
        photos: and logo, as prepared.
        paper: a4 or letter.
        units: of the reader.
        language: of the wording.
        editions: names of ``dossier.pages.editions.edition.EDITIONS``.
        results_json: whether ``<name>.results.json`` is written too.

    Raises:
        OutputError: the folder or a file cannot be written, or would not open again. Files that were there are
            unharmed, nothing half-written is left.
    """
    stem = file_stem(build.name)
    parts = [
        (
            directory / f"{stem}{EDITIONS[edition].suffix}.pdf",
            compose(build, results, photos, paper=paper, units=units, edition=edition, language=language),
        )
        for edition in editions
    ]
    if results_json:
        parts.append((directory / f"{stem}.results.json", _results(build, results)))
    for path, data in parts[: len(editions)]:
        _open_again(path, data)
    for path, data in parts:
        replace_file(path, data)
    return tuple(path for path, _ in parts)


def _open_again(path: Path, data: bytes) -> None:
    """Nothing is written that would be refused when it is read.

    Raises:
        OutputError: it holds more than a dossier may.
    """
    try:
        found = opened(data)
        why = "" if stored_results(found.parts[found.results_name]) else "has more results than can be read again"
    except NotADossierError as error:
        why = str(error)
    if why:
        raise OutputError(
            Diagnostic(
                "record-too-large", Severity.ERROR, f"{path} would not open again: it {why}",
                expected=f"logs, photos and other parts of at most {MOST_ATTACHED // 2**20} MiB together, in a file of "
                f"at most {MOST_FILE // 2**20} MiB",
                consequence="Nothing was written; a file that was there before is unchanged.",
                fix="shorter or fewer logs, fewer photos",
            )
        )  # fmt: skip


def _results(build: Build, results: Results) -> bytes:
    return results_json(results, build=build.name, program=PROGRAM)


def _furniture(build: Build, results: Results) -> Furniture:
    record = build.record
    name = f"  ·  {plain(build.kept.workshop.name, 60)}" if build.kept.workshop else ""
    return Furniture(
        title=plain(record.title, 80),
        number=plain(record.number, 40),
        footer=say(
            "paper.footer",
            revision=plain(record.revision, 20),
            date=plain(record.date, 30),
            stage=word(record.stage),
            name=name,
        ),
        stamp=_stamp(build, results),
        alarm=results.verdict.severity is Severity.STOP,
    )


def _stamp(build: Build, results: Results) -> str:
    """What the head of every page says: that this is a plan, and while a stop is open, that."""
    planned = build.record.stage == "design"
    if results.verdict.severity is Severity.STOP:
        return say("paper.plan_stop" if planned else "paper.stop")
    return say("paper.plan") if planned else ""


def _finish(laid: Laid, build: Build, attachments: tuple[Attachment, ...], look: Look) -> bytes:
    record = build.record
    about = About(
        title=f"{terms('paper.titles')[look.edition]} {plain(record.number, 40)}: {plain(record.title, 140)}",
        author=plain(record.workshop, 120),
        subject=plain(say("paper.subject", description=build.vehicle.description, revision=record.revision), 200),
        keywords=say("paper.vehicle_audio_voltage_load_budget_cable"),
        creator=look.program,
        date=record.date,
    )
    made_as = (look.program, look.paper, look.units.value, look.edition, look.language)
    identity = b"\0".join([*(one.encode() for one in made_as), *(one.data for one in attachments)])
    out = io.BytesIO()
    with Pdf.open(io.BytesIO(laid.data)) as pdf:
        if laid.figures:
            embed(pdf, list(laid.figures), pdf_of([box.draw_figure() for box in laid.figures.values()]))
        tag(pdf, laid.structure)
        archive(pdf, about, attachments, identity)
        put_seal(
            pdf,
            program=look.program,
            edition=look.edition,
            paper=look.paper,
            units=look.units.value,
            language=look.language,
            attachments=attachments,
            day=build.record.date,
            made=drawn_with(),
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
