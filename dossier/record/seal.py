"""The seal: digests of every part and what drew the document, kept inside the PDF, so that a change can be named.

It stands in the page-piece dictionary of the catalog (ISO 32000-1, 14.5). Whoever changes a dossier can make a new
seal; it shows that the parts belong together, not who wrote them, and it never vouches for what the pages show.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any, Final

from pikepdf import Array, Dictionary, Object, Pdf, String

from dossier.frozen import dataclass
from dossier.record.archive import Attachment

_OWNER: Final = "/InstallDossier"
_MOST_MADE: Final = 40  # names of libraries


@dataclass(frozen=True, slots=True)
class Seal:
    """What the document says about its own parts.

    Attributes:
        program: name and version of the program that made it.
        edition, paper, units, language: which document it is.
        parts: name of each attachment -> SHA-256 in hexadecimal, in the order of the digest.
        made: name and version of all it was drawn with; see ``drawn_with``. Empty in older documents.
    """

    program: str
    edition: str
    paper: str
    units: str
    language: str
    parts: Mapping[str, str]
    made: Mapping[str, str]


def part_digest(data: bytes) -> str:
    """SHA-256 of one attachment, hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def put_seal(
    pdf: Pdf,
    *,
    program: str,
    edition: str,
    paper: str,
    units: str,
    language: str,
    attachments: Sequence[Attachment],
    day: str,
    made: Mapping[str, str],
) -> None:
    """Write the seal of the attachments, and what the document is drawn with, into the catalog."""
    parts: list[Object] = []
    for one in attachments:
        parts += [String(one.name), String(part_digest(one.data))]
    private = Dictionary(
        Program=String(program),
        Edition=String(edition),
        Paper=String(paper),
        Units=String(units),
        Language=String(language),
        Parts=Array(parts),
        Made=Array([String(one) for item in made.items() for one in item]),
    )
    moment = String(f"D:{day.replace('-', '')}000000Z")
    pdf.Root["/PieceInfo"] = Dictionary({_OWNER: Dictionary(LastModified=moment, Private=private)})


def read_seal(pdf: Pdf) -> Seal | None:
    """The seal of a document, or None when it has none that can be read."""
    try:
        private: Any = pdf.Root.PieceInfo[_OWNER].Private
        names = [str(one) for one in private.Parts]
        return Seal(
            program=str(private.Program)[:200],
            edition=str(private.Edition)[:40],
            paper=str(private.Paper)[:40],
            units=str(private.get("/Units", "metric"))[:40],
            language=str(private.get("/Language", "en"))[:40],
            parts=dict(zip(names[::2], names[1::2], strict=True)),
            made=_made(private.get("/Made")),
        )
    except (AttributeError, KeyError, TypeError, ValueError):
        return None


def _made(value: Any) -> dict[str, str]:
    words = [str(one)[:100] for one in list(value)[: 2 * _MOST_MADE]] if isinstance(value, Array) else []
    return dict(zip(words[::2], words[1::2], strict=False))
