"""Output files: contents that appear whole or not at all."""

from __future__ import annotations

import atexit
import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from dossier.diagnostic import Diagnostic, Severity

_unfinished: set[str] = set()  # removed if the process is asked to end now


class OutputError(Exception):
    """The output could not be written; what was there before is unharmed."""

    def __init__(self, diagnostic: Diagnostic) -> None:
        super().__init__(diagnostic.headline)
        self.diagnostic = diagnostic


def replace_file(path: Path, data: bytes) -> None:
    """Write ``data`` beside ``path`` and rename it into place; missing folders are made.

    Where the system has files without a name, the data get one only when they are complete: even a run that
    is killed leaves nothing behind.

    Raises:
        OutputError: the folder or the file cannot be written. A file that was there is unharmed, nothing
            half-written is left.
    """
    beside = path.parent / f".{os.urandom(6).hex()}.part"  # short enough whatever the other name is
    try:
        if path.is_dir():
            raise IsADirectoryError(21, "Is a directory")
        if path.exists() and not os.access(path, os.W_OK):
            raise PermissionError(13, "It is write-protected")
        path.parent.mkdir(parents=True, exist_ok=True)
        with unfinished(beside):
            if not _nameless(beside, data):
                with open(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as file:
                    _fill(file.fileno(), data)
            os.replace(beside, path)
    except (OSError, ValueError) as error:
        raise OutputError(_unwritable(path, error)) from error


@contextlib.contextmanager
def unfinished(name: str | Path) -> Iterator[None]:
    """Remove a file if the process ends, or the body fails, before the body is done."""
    _unfinished.add(str(name))
    try:
        yield
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    finally:
        _unfinished.discard(str(name))


@atexit.register
def _remove_unfinished() -> None:
    for name in _unfinished:
        with contextlib.suppress(OSError):
            os.unlink(name)


def _nameless(path: Path, data: bytes) -> bool:
    """Write into a file without a name and then give it one; false where the system has no such files."""
    flag = getattr(os, "O_TMPFILE", 0)  # Linux, most of its file systems
    try:
        handle = os.open(path.parent, flag | os.O_WRONLY, 0o666) if flag else -1
    except OSError:
        handle = -1
    if handle < 0:
        return False
    with os.fdopen(handle, "wb") as file:
        _fill(file.fileno(), data)
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            # The folder is named so that the call follows the link in /proc to the open file.
            os.link(f"/proc/self/fd/{file.fileno()}", path, src_dir_fd=folder, follow_symlinks=True)
        except OSError:
            return False
        finally:
            os.close(folder)
    return True


def _fill(handle: int, data: bytes) -> None:
    """All of ``data``, down to the disk: a full disk is noticed here, not after the old file is gone."""
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]
    os.fsync(handle)


def _unwritable(path: Path, error: Exception) -> Diagnostic:
    reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
    return Diagnostic(
        code="output-not-written",
        severity=Severity.ERROR,
        headline=f"cannot write {path}: {reason}",
        consequence="It was not written; a file of that name that was there before is unchanged.",
        fix="Choose another folder with -o, free some space, close the file if a viewer holds it open, or remove "
        "what stands in the way.",
    )
