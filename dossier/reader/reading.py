"""A build or results as one reader gets them: every text that reads differently in other units, read once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any, Final, TypeVar

from dossier.reader.units import Units

_T = TypeVar("_T")
AS_WRITTEN: Final[Mapping[str, bool]] = MappingProxyType({"as_written": True})
"""Metadata of a field that is left as it is: the text of the file, and where things stand in it."""


def read_by(units: Units, thing: _T) -> _T:
    """``thing`` with everything in it that has a ``read_by`` of its own replaced by what that gives.

    Args:
        units: of the reader.
        thing: frozen dataclasses, tuples and maps of them; anything else is itself.
    """
    made: _T = _read(units, thing)
    return made


def _read(units: Units, thing: Any) -> Any:
    kind = type(thing)
    if kind in _PLAIN:
        return thing
    if hasattr(kind, "read_by"):
        return thing.read_by(units)
    if is_dataclass(kind):
        changed = {}
        for name in _fields(kind):
            old = getattr(thing, name)
            new = _read(units, old)
            if new is not old:
                changed[name] = new
        return replace(thing, **changed) if changed else thing
    if kind is tuple:
        items = tuple([_read(units, one) for one in thing])
        return items if any(new is not old for new, old in zip(items, thing, strict=True)) else thing
    if isinstance(thing, Mapping):
        values = {key: _read(units, one) for key, one in thing.items()}
        return MappingProxyType(values) if any(values[key] is not one for key, one in thing.items()) else thing
    return thing


_PLAIN: Final = frozenset({str, int, float, bool, type(None), bytes})


@cache
def _fields(kind: type[Any]) -> tuple[str, ...]:
    return tuple(one.name for one in fields(kind) if one.init and "as_written" not in one.metadata)
