"""Files that lie beside a build file: read only where they really lie inside its folder, and only up to a bound."""

from __future__ import annotations

import os
import stat
from pathlib import Path, PurePosixPath
from typing import Final

from dossier.buildfile.file_names import refusal
from dossier.buildfile.model import Build

NOT_THERE: Final = "was not found"


class BesideError(Exception):
    """A file that is not read; the message says why, as the end of a sentence. ``missing``: it is not there."""

    missing = False


class NotThereError(BesideError):
    """There is no such file."""

    missing = True


def folder_of(build: Build) -> Path:
    """The folder the build file lies in."""
    place = next(iter(build.places.values()), None)
    return Path(place.file).parent if place else Path()


def read_beside(folder: Path, name: str, most: int) -> bytes:
    """Bytes of a file in ``folder`` or below it; links are followed only as long as they stay inside.

    Args:
        folder: of the build file.
        name: relative path as written in it.
        most: how many bytes are read at most.

    Raises:
        BesideError: it leads out of the folder, is no file, too large, or cannot be read.
    """
    if why := refusal(name):
        raise BesideError(why)
    root = Path(os.path.realpath(folder))
    path = Path(os.path.realpath(root / Path(*PurePosixPath(name).parts)))
    if root not in path.parents:
        raise BesideError("leads out of the folder of the build file")
    return read_regular(path, most)


def read_regular(path: Path, most: int) -> bytes:
    """Bytes of a regular file; a pipe, a socket or a device is refused without waiting for what it says.

    Raises:
        BesideError: it is no file, too large, or cannot be read.
    """
    try:
        if not stat.S_ISREG(os.stat(path).st_mode):
            raise BesideError("is no file")
        with open(os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)), "rb") as file:
            found = os.fstat(file.fileno())
            if not stat.S_ISREG(found.st_mode):
                raise BesideError("is no file")
            if found.st_size > most:
                raise BesideError(f"is larger than {most // 2**20} MiB")
            return file.read(most + 1)
    except FileNotFoundError:
        raise NotThereError(NOT_THERE) from None
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        raise BesideError(f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
