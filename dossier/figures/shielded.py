"""The drawing library imported so that the user's settings of it neither stop us nor make it talk."""

from __future__ import annotations

import errno
import logging
import os
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from dossier.scratch import folder


def import_matplotlib() -> None:
    """Import matplotlib and its list of faces.

    On import it reads a ``matplotlibrc`` from the current folder or the user's, and complains of what it does not
    understand. Every setting that is drawn with is set in code, see ``sheet.settings``: none of theirs has a say.

    Raises:
        OSError: a ``matplotlibrc`` cannot be read as text, or there is no place for temporary files.
    """
    try:
        with _quietly(), _own_folder_for_temporary_files():
            import matplotlib.font_manager  # noqa: F401
    except UnicodeDecodeError:
        reason = "is not a text in UTF-8; matplotlib reads it from this folder or from that of its settings"
        raise OSError(errno.EILSEQ, reason, "matplotlibrc") from None


@contextmanager
def _quietly() -> Iterator[None]:
    """No word about settings that are not used, and no back end but ours asked for by the environment."""
    log = logging.getLogger("matplotlib")
    level, backend = log.level, os.environ.pop("MPLBACKEND", None)
    log.setLevel(logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        log.setLevel(level)
        if backend is not None:
            os.environ["MPLBACKEND"] = backend


@contextmanager
def _own_folder_for_temporary_files() -> Iterator[None]:
    """Where it finds no home for its cache, it makes a temporary one; ours is removed whatever happens to us."""
    before = tempfile.tempdir
    tempfile.tempdir = str(folder())
    try:
        yield
    finally:
        tempfile.tempdir = before
