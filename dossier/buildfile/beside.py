"""Files that lie beside a build file: read only where they really lie inside its folder, and only up to a bound."""

from __future__ import annotations

import os
import stat
from pathlib import Path, PurePosixPath

from dossier.buildfile.model import Build


class BesideError(Exception):
    """A file that is not read; the message says why, as the end of a sentence."""


def folder_of(build: Build) -> Path:
    """The folder the build file lies in."""
    place = next(iter(build.places.values()), None)
    return Path(place.file).parent if place else Path()


def is_plain(name: str) -> bool:
    """Whether a name is a relative path with forward slashes that stays where it begins."""
    path = PurePosixPath(name)
    odd = any(sign in name for sign in "\\\0:") or not all(char.isprintable() for char in name)
    return bool(path.parts) and not path.is_absolute() and ".." not in path.parts and not odd


def read_beside(folder: Path, name: str, most: int) -> bytes:
    """Bytes of a file in ``folder`` or below it; links are followed only as long as they stay inside.

    Args:
        folder: of the build file.
        name: relative path as written in it.
        most: how many bytes are read at most.

    Raises:
        BesideError: it leads out of the folder, is no file, too large, or cannot be read.
    """
    if not is_plain(name):
        raise BesideError("is not a plain path inside the folder of the build file")
    root = Path(os.path.realpath(folder))
    path = Path(os.path.realpath(root / Path(*PurePosixPath(name).parts)))
    if root not in path.parents:
        raise BesideError("leads out of the folder of the build file")
    try:
        with open(os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0)), "rb") as file:
            found = os.fstat(file.fileno())
            if not stat.S_ISREG(found.st_mode):
                raise BesideError("is no file")
            if found.st_size > most:
                raise BesideError(f"is larger than {most // 2**20} MiB")
            return file.read(most + 1)
    except FileNotFoundError:
        raise BesideError("was not found") from None
    except OSError as error:
        raise BesideError(f"cannot be read: {error.strerror}") from None
