"""Output files: names every system accepts, and contents that appear whole or not at all."""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from pathlib import Path

from dossier.diagnostic import Diagnostic, Severity

# Characters and names a Windows file may not have ("Naming Files, Paths, and Namespaces", Microsoft Learn; MEMORY).
_FORBIDDEN = re.compile('[<>:"/\\\\|?*\x00-\x1f]')
_DEVICES = re.compile(r"(?i)^(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\.|$)")


class OutputError(Exception):
    """The output could not be written; what was there before is unharmed."""

    def __init__(self, diagnostic: Diagnostic) -> None:
        super().__init__(diagnostic.headline)
        self.diagnostic = diagnostic


def output_stem(name: str) -> str:
    """A build's name as the stem of its output files: unchanged, but for what a Windows file name may not have."""
    stem = _FORBIDDEN.sub("_", name).rstrip(" .")
    return f"_{stem}" if not stem or _DEVICES.match(stem) else stem


def replace_file(path: Path, data: bytes) -> None:
    """Write ``data`` beside ``path`` and rename it into place; missing folders are made.

    Where the system has files without a name, the data get one only when they are complete: even a run that
    is killed leaves nothing behind.

    Raises:
        OutputError: the folder or the file cannot be written. A file that was there is unharmed, nothing
            half-written is left.
    """
    beside = ""
    try:
        if path.is_dir():
            raise IsADirectoryError(21, "Is a directory")
        if path.exists() and not os.access(path, os.W_OK):
            raise PermissionError(13, "It is write-protected")
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = _nameless(path, data) or _named(path, data)
        os.replace(beside, path)
        beside = ""
    except (OSError, ValueError) as error:
        raise OutputError(_unwritable(path, error)) from error
    finally:
        if beside:
            with contextlib.suppress(OSError):
                os.unlink(beside)


def _beside(path: Path) -> str:
    """A free name in the folder of ``path``, short enough whatever its own is."""
    token = os.urandom(6).hex()
    return str(path.parent / f".{token}.part")


def _nameless(path: Path, data: bytes) -> str:
    """Write into a file without a name and then give it one; empty where the system has no such files."""
    flag = getattr(os, "O_TMPFILE", 0)  # Linux, most of its file systems
    if not flag:
        return ""
    try:
        handle = os.open(path.parent, flag | os.O_WRONLY, 0o666)
    except OSError:
        return ""
    with os.fdopen(handle, "wb") as file:
        _fill(file.fileno(), data)
        name = _beside(path)
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            # The folder is named so that the call follows the link in /proc to the open file.
            os.link(f"/proc/self/fd/{file.fileno()}", name, src_dir_fd=folder, follow_symlinks=True)
        except OSError:
            return ""
        finally:
            os.close(folder)
    return name


def _named(path: Path, data: bytes) -> str:
    """Write into a file of its own name beside ``path``."""
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            _fill(file.fileno(), data)
        os.chmod(name, 0o666 & ~_umask())
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    return name


def _fill(handle: int, data: bytes) -> None:
    """All of ``data``, down to the disk: a full disk is noticed here, not after the old file is gone."""
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]
    os.fsync(handle)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


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
