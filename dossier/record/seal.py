"""The seal: digests of every part and every page, kept inside the PDF, so that a change shows and can be named.

It stands in the page-piece dictionary of the catalog (ISO 32000-1, 14.5). Whoever changes a dossier can make a new
seal; it shows that the parts belong together, not who wrote them.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pikepdf import Array, Dictionary, Name, Object, Pdf, Stream, String

from dossier.record.archive import Attachment

_OWNER: Final = "/InstallDossier"
MOST_STREAM: Final = 64 * 2**20  # bytes of one stream, unpacked
MOST_PAGES: Final = 5000


class HostileError(Exception):
    """A PDF that is not read any further; the message says why."""


@dataclass(frozen=True, slots=True)
class Seal:
    """What the document says about its own parts.

    Attributes:
        program: name and version of the program that made it.
        edition, paper, units, language: which document it is.
        parts: name of each attachment -> SHA-256 in hexadecimal, in the order of the digest.
        pages: SHA-256 of what each page shows.
    """

    program: str
    edition: str
    paper: str
    units: str
    language: str
    parts: Mapping[str, str]
    pages: tuple[str, ...]


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
) -> None:
    """Write the seal of the finished pages and the attachments into the catalog."""
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
        Pages=Array([String(one) for one in page_digests(pdf)]),
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
            pages=tuple(str(one) for one in private.Pages),
        )
    except (AttributeError, KeyError, TypeError, ValueError):
        return None


def page_digests(pdf: Pdf) -> tuple[str, ...]:
    """SHA-256 of what each page shows: its content, the forms and pictures it uses, and its annotations.

    Raises:
        HostileError: a stream is too large, or packed in an unusual way; there are too many pages.
    """
    if len(pdf.pages) > MOST_PAGES:
        raise HostileError(f"has more than {MOST_PAGES} pages")
    return tuple(_page(page.obj) for page in pdf.pages)


def _page(page: Any) -> str:
    total = hashlib.sha256()

    def take(data: bytes) -> None:
        total.update(len(data).to_bytes(8, "big") + data)

    contents = page.get("/Contents")
    streams = list(contents) if isinstance(contents, Array) else [contents]
    take(b"\n".join(unpacked(one) for one in streams if isinstance(one, Stream)))
    box = page.get("/MediaBox")
    take(" ".join(f"{float(side):.2f}" for side in box).encode() if box is not None else b"")
    take(str(page.get("/Rotate", 0)).encode())
    _forms(page.get("/Resources"), take, 0)
    for one in page.get("/Annots", ()):
        edges = [float(side) for side in one.get("/Rect", ())]
        take(f"{one.get('/Subtype')} {edges} {one.get('/Contents', '')}".encode())
    return total.hexdigest()


def _forms(resources: Any, take: Any, depth: int) -> None:
    if resources is None or depth > 4:
        return
    objects = resources.get("/XObject", {})
    for name in sorted(objects.keys()):
        form = objects[name]
        if not isinstance(form, Stream):
            continue
        take(name.encode())
        take(unpacked(form))
        if form.get("/Subtype") == Name.Form:
            _forms(form.get("/Resources"), take, depth + 1)


def unpacked(stream: Any, most: int = MOST_STREAM) -> bytes:
    """The data of a stream, never more than ``most`` bytes.

    A picture (DCT) is taken as it is. Only plain Flate is unpacked: nothing else is written by us.

    Raises:
        HostileError: it is larger, damaged, or packed otherwise.
    """
    raw: bytes = stream.read_raw_bytes()
    filters = stream.get("/Filter")
    listed = [] if filters is None else list(filters) if isinstance(filters, Array) else [filters]
    names = [str(one) for one in listed]
    if len(raw) > most:
        raise HostileError(f"holds a stream of more than {most // 2**20} MiB")
    for one in names:
        if one == "/DCTDecode":
            return raw
        if one != "/FlateDecode" or len(names) > 2 or _predicted(stream):
            raise HostileError(f"holds a stream packed as {one[1:40]}, which no dossier has")
        machine = zlib.decompressobj()
        try:
            raw = machine.decompress(raw, most + 1)
        except zlib.error:
            raise HostileError("holds a damaged stream") from None
        if len(raw) > most:
            raise HostileError(f"holds a stream that unpacks to more than {most // 2**20} MiB")
    return raw


def _predicted(stream: Any) -> bool:
    parameters = stream.get("/DecodeParms")
    if parameters is None:
        return False
    every = list(parameters) if isinstance(parameters, Array) else [parameters]
    return any(isinstance(one, Dictionary) and int(one.get("/Predictor", 1)) > 1 for one in every)
