"""Names of files: one rule for what a build may name, what a dossier holds and what comes back from it.

A name is taken where every system can have it, so that a dossier written on one gives its files back on any other.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from pathlib import PurePosixPath
from typing import Any, Final

from dossier.buildfile.names import Path, called
from dossier.buildfile.positions import Positions
from dossier.diagnostic import Diagnostic

LETTERHEAD: Final = "letterhead"  # folder of an attached configuration file and its logo
# Characters and names a Windows file may not have ("Naming Files, Paths, and Namespaces", Microsoft Learn; not checked
# against the document).
_FORBIDDEN: Final = re.compile('[<>:"/\\\\|?*]')
_DEVICES: Final = re.compile(r"(?i)(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\.|$)")
_LONGEST: Final = 215  # bytes of one name; most file systems take 255
_LONGEST_STEM: Final = 200
_DEEPEST: Final = 12  # folders
_OURS: Final = (".yaml", ".yml", ".json")  # what the dossier itself attaches


def file_stem(name: str) -> str:
    """A build's name as the stem of its files: unchanged, but for what no file may have on some system."""
    stem = "".join(sign if sign.isprintable() else "_" for sign in _FORBIDDEN.sub("_", name))
    stem = stem.encode()[:_LONGEST_STEM].decode(errors="ignore").rstrip(" .")
    return f"_{stem}" if not stem or stem[0] in " ." or _DEVICES.match(stem) else stem


def settled(name: str) -> str:
    """A relative path without detours: ``./a//b.jpg`` is ``a/b.jpg``."""
    return str(PurePosixPath(name))


def refusal(name: str) -> str:
    """Why a path that a build names is not taken, as the end of a sentence; empty where it is."""
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or "\\" in name or not path.parts:
        return "is not a plain path inside the folder of the build file"
    if len(path.parts) > _DEEPEST:
        return f"lies more than {_DEEPEST} folders deep"
    for part in path.parts:
        if len(part.encode(errors="replace")) > _LONGEST:
            return f"is longer than {_LONGEST} bytes"
        if part[0] in " ." or part[-1] in " .":
            return "begins or ends with a dot or a space"
        if _DEVICES.match(part):
            return f"holds `{part}`, which names a device on some systems"
        if _FORBIDDEN.search(part) or not part.isprintable():
            return "holds a character that files may not have on some systems"
    return ""


def check_files(tree: Any, positions: Positions) -> Iterator[Diagnostic]:
    """Names of photos, logs and logo that a dossier could not give back, each at its place."""
    known: dict[str, tuple[str, Path, Any]] = {}
    for path, name, mask in _named(tree):
        why = refusal(name)
        if not why and settled(name).casefold().endswith(_OURS):
            why = "ends like a build file or its results"
        if not why and settled(name).casefold().startswith(f"{LETTERHEAD}/"):
            why = f"lies in `{LETTERHEAD}`, the folder a configuration file is given back in"
        if why:
            yield _unusable(path, f"the file name `{name}` {why}", positions)
            continue
        key = unicodedata.normalize("NFC", settled(name)).casefold()
        other, where, masked = known.setdefault(key, (settled(name), path, mask))
        if other != settled(name):
            yield _unusable(path, f"`{name}` and `{other}` of {called(where)} are one name on some systems", positions)
        elif masked != mask:
            yield _unusable(path, f"`{name}` is also {called(where)}, with other regions masked", positions)


def _unusable(path: Path, headline: str, positions: Positions) -> Diagnostic:
    return positions.wrong(
        "file-name",
        path,
        headline,
        "a name every system takes, the same for one file and different for two",
        "rename or copy the file and write its new name here",
    )  # fmt: skip


def _named(tree: Any) -> Iterator[tuple[Path, str, Any]]:
    """Path in the build, file name and masked regions of everything that names a file."""
    if not isinstance(tree, Mapping):
        return
    measured = tree.get("measurements")
    logs = measured.get("logs") if isinstance(measured, Mapping) else None
    for start, entries in ((("photos",), tree.get("photos")), (("measurements", "logs"), logs)):
        for key, entry in entries.items() if isinstance(entries, Mapping) else ():
            if isinstance(entry, Mapping) and isinstance(entry.get("file"), str):
                yield (*start, str(key), "file"), entry["file"], entry.get("mask")
    workshop = tree.get("workshop")
    if isinstance(workshop, Mapping) and isinstance(workshop.get("logo"), str):
        yield ("workshop", "logo"), workshop["logo"], None
