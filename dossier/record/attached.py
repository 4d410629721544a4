"""What is attached to a dossier, in the order of the digest; with the identity masked where that is asked for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

import yaml

from dossier.assessment.recorded import recorded
from dossier.buildfile.beside import BesideError, folder_of, read_beside
from dossier.buildfile.configuration import with_configuration
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build_text
from dossier.buildfile.voltage_log import MAXIMUM_BYTES
from dossier.pdf.text import plain
from dossier.record.archive import Attachment
from dossier.record.results_json import results_json
from dossier.results.overview import Results
from dossier.results.pictures import Picture

MASK: Final = "masked"
CONFIGURATION: Final = "workshop-configuration.yaml"


def attachments_of(
    build: Build, results: Results, photos: tuple[Picture, ...], program: str
) -> tuple[Attachment, ...]:
    """Every part of the record, in the order of the digest: build file, results, logs, photos, configuration, logo.

    Args:
        build: what was read.
        results: what was computed from it.
        photos: as prepared.
        program: name and version of the program.
    """
    name = plain(build.name, 100).replace("/", "_")
    parts = [
        Attachment(
            f"{name}.yaml",
            build.text,
            "application/yaml",
            "Source",
            "The build file this document is made from",
        ),
        Attachment(
            f"{name}.results.json",
            results_json(results, build=build.name, program=program),
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


def masked(build: Build, results: Results) -> tuple[Build, Results]:
    """The same with plate, vehicle number, customer and the receiver's name masked, in the build file as well.

    Build and results come back unchanged where the build file does not ask for it.
    """
    kept = build.kept
    if not kept.identity.masked:
        return build, results
    paths = [
        ("record", "identity", "plate"),
        ("record", "identity", "vehicle_number"),
        ("record", "customer"),
    ]
    if kept.handover is not None and kept.handover.to:
        paths.append(("people", kept.handover.to, "name"))
    text = build.text.decode("utf-8-sig")
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    nodes = [node for path in paths if (node := _node(root, path)) is not None]
    for node in sorted(nodes, key=lambda one: -int(one.start_mark.index)):
        start, end = node.start_mark.index, node.end_mark.index
        # Lines stay where they are, since findings name them.
        text = text[:start] + MASK + "\n" * text[start:end].count("\n") + text[end:]
    file = next(iter(build.places.values())).file
    hidden = read_build_text(text.encode(), build.name, file)
    if build.configuration:
        hidden = with_configuration(hidden, build.configuration)
    rows = recorded(hidden, results.load_cases, results.schedule, results.amplifiers, results.energy_sources)
    return hidden, replace(results, recorded=rows)


def _node(root: Any, path: tuple[str, ...]) -> Any:
    """The scalar at ``path``, or None."""
    for key in path:
        if not isinstance(root, yaml.MappingNode):
            return None
        root = next((value for name, value in root.value if name.value == key), None)
    return root
