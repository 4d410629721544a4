"""Objects of a PDF as plain values, so that those of two documents can be compared."""

from __future__ import annotations

import hashlib
from decimal import Decimal
from typing import Any, Final

from pikepdf import Array, Dictionary, Name, Object, Operator, Stream, String

from dossier.record.streams import HostileError, Work

_DEEPEST: Final = 24
PACKING: Final = frozenset({"/Length", "/Length1", "/Filter", "/DecodeParms"})  # how a stream is kept, not what it is


def number(value: Any) -> float | None:
    """A number, or None of anything else."""
    if isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        return float(value)
    return None


def numbers(value: Any, count: int) -> tuple[float, ...] | None:
    """An array of exactly so many numbers, or None."""
    found = [number(one) for one in value] if isinstance(value, Array) and len(value) == count else [None]
    return None if None in found else tuple(found)  # type: ignore[arg-type]


def plain(value: Any, work: Work, without: frozenset[str] = frozenset(), depth: int = 0) -> Any:
    """An object as nested tuples; streams by the digest of their data, numbers to a ten-thousandth.

    Raises:
        HostileError: it is nested without end, or too large.
    """
    work.step()
    if depth > _DEEPEST:
        raise HostileError("holds objects nested deeper than any dossier has")
    if (found := number(value)) is not None:
        return round(found, 4)
    if isinstance(value, (Name, Operator)):
        return str(value)
    if isinstance(value, String):
        return bytes(value)
    if isinstance(value, (Array, list)):
        return tuple(plain(one, work, depth=depth + 1) for one in value)
    if isinstance(value, (Dictionary, Stream)):
        left_out = without | (PACKING if isinstance(value, Stream) else frozenset())
        items = tuple(
            (key, plain(value[key], work, depth=depth + 1)) for key in sorted(value.keys()) if key not in left_out
        )
        return (items, hashlib.sha256(work.unpacked(value)).digest()) if isinstance(value, Stream) else items
    return repr(value) if isinstance(value, Object) else value
