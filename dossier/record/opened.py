"""A PDF opened with suspicion: its attachments and its seal, nothing executed, nothing unbounded, no path followed."""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import pikepdf
from pikepdf import Array, Dictionary, Pdf, Stream

from dossier.buildfile.attached_files import BesideError, read_regular
from dossier.frozen import dataclass
from dossier.record.confined import confined
from dossier.record.seal import Seal, read_seal
from dossier.record.streams import MOST_ATTACHED, HostileError, Work

MOST_FILE: Final = 64 * 2**20
MOST_PARTS: Final = 600
_DEPTH: Final = 12
_MOST_INNER: Final = 64 * 2**20  # bytes of the object and cross-reference streams together, unpacked
_INNER: Final = re.compile(rb"/Type\s*/(?:ObjStm|XRef)\b.{0,2000}?stream\r?\n", re.DOTALL)


class NotADossierError(Exception):
    """A file that is not a dossier or cannot be read; the message says why, as the end of a sentence."""


@dataclass(frozen=True, slots=True)
class Opened:
    """What was found in a PDF."""

    data: bytes  # the file itself
    parts: Mapping[str, bytes]  # attachments by name, in the order of the file's own list
    seal: Seal | None  # what the document says about itself; None when it says nothing

    @property
    def build_name(self) -> str:
        """Name of the attached build file."""
        return next(name for name in self.parts if name.endswith((".yaml", ".yml")))

    @property
    def configuration_name(self) -> str:
        """Name of the attached configuration file; empty where the letterhead is the build's own."""
        return next((name for name in self.parts if name.endswith(".yaml") and name != self.build_name), "")

    @property
    def results_name(self) -> str:
        """Name of the attached results."""
        return next(name for name in self.parts if name.endswith(".results.json"))


def open_dossier(path: Path) -> Opened:
    """Read a dossier.

    Raises:
        NotADossierError: it cannot be read, is encrypted, damaged or hostile, or has no build file attached.
    """
    try:
        data = read_regular(path, MOST_FILE)
    except BesideError as why:
        raise NotADossierError(str(why)) from None
    return opened(data)


def opened(data: bytes) -> Opened:
    """The same of bytes in memory.

    Raises:
        NotADossierError: see `open_dossier`.
    """
    if len(data) > MOST_FILE:
        raise NotADossierError(f"is larger than {MOST_FILE // 2**20} MiB")
    if not data[:1024].lstrip().startswith(b"%PDF-"):
        raise NotADossierError("is no PDF")
    try:
        parts, seal = confined(lambda: _read(data))
    except HostileError as why:
        raise NotADossierError("is encrypted" if b"/Encrypt" in data else str(why)) from None
    if not any(name.endswith((".yaml", ".yml")) for name in parts):
        raise NotADossierError("has no build file attached")
    if not any(name.endswith(".results.json") for name in parts):
        raise NotADossierError("has no results attached")
    return Opened(data, parts, seal)


def _read(data: bytes) -> tuple[dict[str, bytes], Seal | None]:
    try:
        with foreign(data) as pdf:
            return _attachments(pdf), read_seal(pdf)
    except pikepdf.PasswordError:
        raise HostileError("is encrypted") from None
    except (pikepdf.PdfError, RuntimeError, ValueError, TypeError, AttributeError, KeyError, RecursionError) as error:
        raise HostileError(f"is damaged ({type(error).__name__})") from None


@contextmanager
def foreign(data: bytes) -> Iterator[Pdf]:
    """A PDF of somebody else; only inside `confined`.

    Raises:
        HostileError: it is a trap, or encrypted.
    """
    _bounded(data)
    with pikepdf.open(
        io.BytesIO(data), attempt_recovery=False, suppress_warnings=True, inherit_page_attributes=False
    ) as pdf:
        if pdf.is_encrypted:
            raise HostileError("is encrypted")
        yield pdf


def _bounded(data: bytes) -> None:
    """Refuse a file whose inner streams, which the PDF library unpacks on opening, are a trap."""
    room = _MOST_INNER
    for found in _INNER.finditer(data):
        if b"/FlateDecode" not in found[0] and b"/Filter" in found[0]:
            raise HostileError("holds an object stream packed in an unusual way")
        if b"/Filter" not in found[0]:
            continue
        machine = zlib.decompressobj()
        try:
            room -= len(machine.decompress(data[found.end() :], room + 1))
        except zlib.error:
            raise HostileError("holds a damaged object stream") from None
        if room < 0:
            raise HostileError("holds object streams that unpack to more than they should")


def _attachments(pdf: Pdf) -> dict[str, bytes]:
    names = pdf.Root.get("/Names")
    tree = names.get("/EmbeddedFiles") if isinstance(names, Dictionary) else None
    parts: dict[str, bytes] = {}
    work = Work(room=MOST_ATTACHED)
    for spec in _specs(tree, 0, [0]):
        name = str(spec.get("/UF", spec.get("/F", "")))
        files = spec.get("/EF")
        stream = files.get("/UF", files.get("/F")) if isinstance(files, Dictionary) else None
        if not isinstance(stream, Stream):
            continue
        if name in parts:
            raise HostileError("has two attachments of one name")
        parts[name] = work.unpacked(stream)
    listed = [one for one in _array(pdf.Root.get("/AF")) if isinstance(one, Dictionary)]
    order = {str(one.get("/UF", one.get("/F", ""))): place for place, one in enumerate(listed)}
    return dict(sorted(parts.items(), key=lambda item: (order.get(item[0], len(order)), item[0])))


def _array(value: Any) -> list[Any]:
    if not isinstance(value, Array):
        return []
    if len(value) > 2 * MOST_PARTS:
        raise HostileError(f"has more than {MOST_PARTS} attachments")
    return list(value)


def _specs(node: Any, depth: int, seen: list[int]) -> Iterator[Any]:
    """File specifications of a name tree, however it is nested, but not for ever."""
    if not isinstance(node, Dictionary):
        return
    seen[0] += 1
    if depth > _DEPTH or seen[0] > MOST_PARTS:
        raise HostileError("has a list of attachments that never ends")
    for value in _array(node.get("/Names"))[1::2]:
        seen[0] += 1
        if seen[0] > MOST_PARTS:
            raise HostileError(f"has more than {MOST_PARTS} attachments")
        if isinstance(value, Dictionary):
            yield value
    for kid in _array(node.get("/Kids")):
        yield from _specs(kid, depth + 1, seen)
