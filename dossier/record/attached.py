"""What is attached to a dossier, in the order of the digest."""

from __future__ import annotations

from typing import Final

from dossier.buildfile.attached_files import BesideError, folder_of, read_beside
from dossier.buildfile.file_names import file_stem
from dossier.buildfile.logs.log import MAXIMUM_BYTES
from dossier.buildfile.model import Build
from dossier.pdf.text import plain
from dossier.record.archive import Attachment
from dossier.record.results_json import results_json
from dossier.results.overview import Results
from dossier.results.pictures import Picture

CONFIGURATION: Final = "workshop-configuration.yaml"


def attachments_of(
    build: Build, results: Results, photos: tuple[Picture, ...], program: str, stored: bytes = b""
) -> tuple[Attachment, ...]:
    """Every part of the record, in the order of the digest: build file, results, logs, photos, configuration, logo.

    Args:
        build: what was read.
        results: what was computed from it.
        photos: as prepared.
        program: name and version of the program.
        stored: the results as they were written down before; they are taken as they are.
    """
    name = file_stem(build.name)
    parts = [
        Attachment(
            f"{name}.yaml", build.text, "application/yaml", "Source", "The build file this document is made from"
        ),
        Attachment(
            f"{name}.results.json",
            stored or results_json(results, build=build.name, program=program),
            "application/json",
            "Data",
            "Everything that was computed, with units",
        ),
    ]
    for log in build.kept.measurements.logs.values():
        try:
            data = read_beside(folder_of(build), log.file, MAXIMUM_BYTES)
        except BesideError:
            continue  # a finding says why it is left out
        words = f"Voltage log: {plain(log.title, 120)}"
        parts.append(Attachment(f"log-{log.id}.csv", data, "text/csv", "Source", words))
    parts += [
        Attachment(one.name, one.data, "image/jpeg", "Supplement", f"Photo: {plain(one.caption, 150)}")
        for one in photos
        if not one.is_logo
    ]
    if build.configuration:
        words = "The configuration file the letterhead comes from"
        own = "_" if name.casefold() + ".yaml" == CONFIGURATION else ""
        parts.append(Attachment(own + CONFIGURATION, build.configuration.text, "application/yaml", "Source", words))
    parts += [
        Attachment(one.name, one.data, "image/png", "Supplement", f"Logo: {plain(one.caption, 150)}")
        for one in photos
        if one.is_logo
    ]
    return tuple(parts)
