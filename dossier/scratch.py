"""A folder for this process alone: gone when it ends; left by one that was killed, gone when the next one begins."""

from __future__ import annotations

import atexit
import contextlib
import os
import shutil
import tempfile
from pathlib import Path
from typing import Final

_PREFIX: Final = "dossier-"
# The mark of our folders. It is locked as long as a process uses the folder; the system unlocks it, however that ends.
_MARK: Final = ".dossier-scratch"
_mine: list[tuple[Path, int]] = []  # the folder, and which process made it


def folder() -> Path:
    """The folder, made at the first call; processes that divide off later share it.

    Raises:
        OSError: there is no place for it.
    """
    if not _mine:
        made = Path(tempfile.mkdtemp(prefix=_PREFIX))
        _mine.append((made, os.getpid()))
        atexit.register(remove)
        _mark(made)
        _sweep(made)
    return _mine[0][0]


def remove() -> None:
    """Remove the folder if this process made it; to be called where a process ends without its exit handlers."""
    if _mine and _mine[0][1] == os.getpid():
        shutil.rmtree(_mine.pop()[0], ignore_errors=True)


def _mark(made: Path) -> None:
    """Lock the mark before it has its name, so that nobody ever sees it unlocked."""
    with contextlib.suppress(ImportError):  # no such locks on Windows, and then no sweeping either
        import fcntl

        handle = os.open(made / f"{_MARK}.new", os.O_CREAT | os.O_WRONLY, 0o600)  # open until the process ends
        fcntl.flock(handle, fcntl.LOCK_EX)
        os.rename(made / f"{_MARK}.new", made / _MARK)


def _sweep(own: Path) -> None:
    """Remove what killed processes left: folders with our mark and without a lock on it."""
    with contextlib.suppress(ImportError, OSError):
        import fcntl

        for other in own.parent.glob(f"{_PREFIX}*/{_MARK}"):
            with contextlib.suppress(OSError):
                handle = os.open(other, os.O_WRONLY | os.O_NOFOLLOW)
                try:
                    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                    shutil.rmtree(other.parent)
                finally:
                    os.close(handle)
