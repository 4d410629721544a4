"""Streams of a foreign PDF: unpacked by ourselves, within one bound on all the work a file may ask for."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import Any, Final

from pikepdf import Array, Dictionary

MOST_STREAM: Final = 64 * 2**20  # bytes of one stream, unpacked
MOST_ATTACHED: Final = 96 * 2**20  # bytes of all attachments together; the pages have what is left of the room


class HostileError(Exception):
    """A PDF that is not read any further; the message says why."""


@dataclass(slots=True)
class Work:
    """What may still be done with one file."""

    room: int = 160 * 2**20  # bytes of all streams together, unpacked
    steps: int = 3_000_000  # objects looked at, things drawn

    def step(self) -> None:
        """Count one step.

        Raises:
            HostileError: there were too many.
        """
        self.steps -= 1
        if self.steps < 0:
            raise HostileError("takes more work than any dossier")

    def unpacked(self, stream: Any) -> bytes:
        """The data of a stream; see `unpacked`."""
        data = unpacked(stream, min(MOST_STREAM, self.room))
        self.room -= len(data)
        return data


def unpacked(stream: Any, most: int = MOST_STREAM) -> bytes:
    """The data of a stream, never more than ``most`` bytes.

    A picture (DCT) is taken as it is. Only plain Flate is unpacked: nothing else is written by us.

    Raises:
        HostileError: it is larger, damaged, or packed otherwise.
    """
    raw: bytes = stream.read_raw_bytes()
    filters = stream.get("/Filter")
    listed = [] if filters is None else list(filters) if isinstance(filters, Array) else [filters]
    names = [str(one) for one in listed[:3]]
    if len(raw) > most:
        raise HostileError("holds streams larger than any dossier has")
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
            raise HostileError("holds streams that unpack to more than any dossier has")
    return raw


def _predicted(stream: Any) -> bool:
    parameters = stream.get("/DecodeParms")
    if parameters is None:
        return False
    every = list(parameters) if isinstance(parameters, Array) else [parameters]
    return any(isinstance(one, Dictionary) and int(one.get("/Predictor", 1)) > 1 for one in every)
