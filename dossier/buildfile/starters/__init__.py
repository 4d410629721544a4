"""The starting points of ``dossier new``: plain build files, to which the schema's explanations are added."""

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Final

from dossier.buildfile.starters.commented import commented

_FOLDER: Final = FilePath(__file__).resolve().parent
STARTERS: Final = ("smallest", "measured", "daily", "competition", "options")


def plain_starter(kind: str) -> str:
    """The text of a starting point without explanations.

    Raises:
        KeyError: there is no such starting point.
    """
    if kind not in STARTERS:
        raise KeyError(kind)
    return (_FOLDER / f"{kind}.yaml").read_text(encoding="utf-8")


def summary(kind: str) -> str:
    """What a starting point is, in one sentence: the first line of its file."""
    return plain_starter(kind).partition("\n")[0].removeprefix("# ")


def starter(kind: str) -> str:
    """The text of a starting point, every field explained where it first appears."""
    return commented(plain_starter(kind))
