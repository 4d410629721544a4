"""What the record sections say about themselves and the rest: revisions listed once, measurements of known ones."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from dossier.buildfile.file_names import check_files
from dossier.buildfile.names import Path, called, listed, nearest
from dossier.buildfile.positions import Positions
from dossier.diagnostic import Diagnostic
from dossier.reference.checklist import NAMES

_PERCENT = re.compile(r"\+?([0-9.]+) ?%")


def check_kept(tree: Mapping[str, Any], positions: Positions) -> Iterator[Diagnostic]:
    """Everything that the record sections say wrongly."""
    yield from _workshop(tree, positions)
    yield from _revisions(tree, positions)
    yield from _masks(tree, positions)
    yield from check_files(tree, positions)
    yield from _checklist(tree, positions)


def _masks(tree: Mapping[str, Any], positions: Positions) -> Iterator[Diagnostic]:
    """The regions of a photo cover something."""
    photos = tree.get("photos")
    for name, photo in photos.items() if isinstance(photos, Mapping) else ():
        regions = photo.get("mask") if isinstance(photo, Mapping) else None
        for index, region in enumerate(regions if isinstance(regions, list) else ()):
            for low, high in (("left", "right"), ("top", "bottom")):
                edges = [_percent(region.get(key)) if isinstance(region, Mapping) else None for key in (low, high)]
                if edges[0] is not None and edges[1] is not None and edges[0] >= edges[1]:
                    path: Path = ("photos", name, "mask", index, high)
                    yield positions.wrong(
                        "mask-without-area",
                        path,
                        f"{called(path)} is not beyond `{low}`: the region covers nothing",
                        f"`{high}` above `{low}`, both from the top left corner of the upright photo",
                        "swap or correct the two",
                    )


def _percent(value: Any) -> float | None:
    """A percentage as it is written, or None."""
    found = _PERCENT.fullmatch(value) if isinstance(value, str) else None
    return float(found[1]) if found else None


def _workshop(tree: Mapping[str, Any], positions: Positions) -> Iterator[Diagnostic]:
    """The workshop has one name."""
    record, letterhead = tree.get("record"), tree.get("workshop")
    if isinstance(record, Mapping) and isinstance(letterhead, Mapping):
        short, name = record.get("workshop"), letterhead.get("name")
        if isinstance(short, str) and isinstance(name, str) and short != name:
            path: Path = ("record", "workshop")
            yield positions.wrong(
                "workshop-named-twice",
                path,
                f"`record.workshop` is `{short}`, but `workshop.name` is `{name}`",
                "one name",
                "delete `record.workshop`; the letterhead says it",
            )


def _revisions(tree: Mapping[str, Any], positions: Positions) -> Iterator[Diagnostic]:
    history = tree.get("revisions")
    if not isinstance(history, list):
        return
    seen: set[str] = set()
    for index, entry in enumerate(history):
        name = entry.get("revision") if isinstance(entry, Mapping) else None
        if not isinstance(name, str):
            continue
        if name in seen:
            path: Path = ("revisions", index, "revision")
            headline = f"revision `{name}` is listed twice"
            yield positions.wrong("listed-twice", path, headline, fix="delete one")
        seen.add(name)
    record = tree.get("record")
    own = record.get("revision", "A") if isinstance(record, Mapping) else None
    known = [*seen, own] if isinstance(own, str) else [*seen]
    for path, name in _named_revisions(tree):
        if name not in known:
            yield positions.wrong(
                "unknown-revision",
                path,
                f"{called(path)} names revision `{name}`, which is not in the history",
                f"one of {listed(sorted(set(known)))}",
                "add it under `revisions`, or correct the name",
            )


def _named_revisions(tree: Mapping[str, Any]) -> Iterator[tuple[Path, str]]:
    measured = tree.get("measurements")
    for group, entries in (measured.items() if isinstance(measured, Mapping) else ()):
        for name, entry in (entries.items() if isinstance(entries, Mapping) else ()):
            if isinstance(entry, Mapping) and isinstance(entry.get("revision"), str):
                yield ("measurements", group, name, "revision"), entry["revision"]


def _checklist(tree: Mapping[str, Any], positions: Positions) -> Iterator[Diagnostic]:
    ticks = tree.get("checklist")
    for name, entry in (ticks.items() if isinstance(ticks, Mapping) else ()):
        if isinstance(entry, Mapping) and name not in NAMES and "item" not in entry:
            close = nearest(name, NAMES)
            path: Path = ("checklist", name)
            yield positions.wrong_key(
                "unknown-checklist-item",
                path,
                f"`{name}` is no point of the checklist, and says no `item` of its own",
                "a name printed beside a point of the checklist, or `item` with words of your own",
                f"write `{close}` if that is meant" if close else "add `item: ...`",
            )
