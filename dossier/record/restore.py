"""A dossier back to files: the build with its logs and photos where the build file expects them, never elsewhere."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import Final

from dossier.buildfile.configuration import read_configuration_text
from dossier.buildfile.file_names import LETTERHEAD, refusal, settled
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.record.files import replace_file, unfinished
from dossier.record.opened import Opened
from dossier.results.pictures import LOGO_FILE

CONFIGURATION: Final = f"{LETTERHEAD}/config.yaml"  # where an attached configuration file goes


class RestoreError(Exception):
    """Nothing was written; the message says why."""


def files_of(found: Opened) -> dict[str, bytes]:
    """Relative path -> bytes for every attachment, logs and pictures under the path the build file gives them.

    Raises:
        RestoreError: an attachment has a name that could lead out of a folder.
    """
    wanted = _expected(found)
    files: dict[str, bytes] = {}
    taken: set[str] = set()
    for name, data in found.parts.items():
        path = wanted.get(name, name)
        if refusal(path) or path != settled(path) or (name == path and "/" in path):
            raise RestoreError(f"the attachment name {name[:80]!r} is not a plain file name")
        if path.casefold() in taken:
            if files.get(path) == data:
                continue  # one picture under two captions
            raise RestoreError(f"two attachments would be written to {path}")
        taken.add(path.casefold())
        files[path] = data
    return files


def _expected(found: Opened) -> Mapping[str, str]:
    """Where the build file expects its logs and photos; nothing when it cannot be read."""
    name = found.build_name
    try:
        build = read_build_text(found.parts[name], PurePosixPath(name).stem, name)
    except (BuildFileError, RecursionError):
        return {}
    wanted = {f"log-{one.id}.csv": one.file for one in build.kept.measurements.logs.values()}
    wanted |= {f"photo-{one.id}.jpg": one.file for one in build.kept.photos.values()}
    if build.kept.workshop is not None:
        wanted[LOGO_FILE] = build.kept.workshop.logo
    elif letterhead := found.configuration_name:
        # In a folder of their own: the paths of two files may be the same.
        logo = _logo(found)
        wanted |= {letterhead: CONFIGURATION, LOGO_FILE: f"{LETTERHEAD}/{logo}" if logo else ""}
    return {key: settled(path) for key, path in wanted.items() if path}


def _logo(found: Opened) -> str:
    """Where the attached configuration file expects the logo; empty where it has none or cannot be read."""
    name = found.configuration_name
    try:
        workshop = read_configuration_text(found.parts[name], name).workshop
    except BuildFileError:
        return ""
    return workshop.logo if workshop else ""


def write_files(files: Mapping[str, bytes], folder: Path, *, overwrite: bool = False) -> tuple[Path, ...]:
    """Write ``files`` into ``folder``: all, or none.

    Raises:
        RestoreError: something is there already, or a link leads out of the folder.
        OSError, OutputError: a file cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    root = Path(os.path.realpath(folder))
    paths = {root / Path(*PurePosixPath(name).parts): data for name, data in files.items()}
    for path in paths:
        real = Path(os.path.realpath(path.parent))
        if real != root and root not in real.parents:
            raise RestoreError(f"{path.parent} leads out of {folder}")
        if path.is_symlink() or (path.exists() and (not overwrite or not path.is_file())):
            raise RestoreError(f"{path} is there already; nothing was written")
    with contextlib.ExitStack() as whole:
        for path, data in paths.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            if overwrite:
                replace_file(path, data)
                continue
            flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0)
            with open(os.open(path, flags, 0o666), "wb") as file:
                whole.enter_context(unfinished(path))
                file.write(data)
    return tuple(paths)
