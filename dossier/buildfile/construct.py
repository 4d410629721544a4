"""A checked tree to the frozen classes of ``model``, by the types of their fields; nothing can be wrong any more.

A field is read from the key of its own name. What its type says is how: ``Quantity`` is the quantity there, a class
is the map there, a ``Mapping`` of classes every entry of it. A second name beside the type is the key where it differs,
``Annotated[str, "from"]``, dotted where it lies deeper, empty for the same map; a function there reads the field
from the map. What is left out is the field's default, or else ``None``, an empty text, no, an empty list or map.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass, replace
from functools import cache
from types import MappingProxyType, UnionType
from typing import Annotated, Any, TypeVar, get_args, get_origin, get_type_hints

from dossier.buildfile.model import Build
from dossier.buildfile.part import Part
from dossier.buildfile.positions import Positions
from dossier.buildfile.stated import Curve, Quantity
from dossier.buildfile.validate import Checked

_T = TypeVar("_T")
_Read = Callable[[Part, str], Any]


def construct(tree: Mapping[str, Any], checked: Checked, positions: Positions, name: str, text: bytes) -> Build:
    """The build of a tree that has passed every check."""
    places = MappingProxyType(positions.places())
    build = made(Build, Part(tree, (), checked.quantities), name=name, tree=tree, places=places, text=text)
    if build.record.workshop or not build.kept.workshop:
        return build
    return replace(build, record=replace(build.record, workshop=build.kept.workshop.name))


def made(kind: type[_T], part: Part, **given: Any) -> _T:
    """One frozen class from a checked map; ``given`` are the fields that are not read from it."""
    readers = _readers(kind, frozenset(given))  # type: ignore[arg-type]  # a class can be hashed
    return kind(**given, **{name: read(part) for name, read in readers.items()})


@cache
def _readers(kind: Any, given: frozenset[str]) -> Mapping[str, Callable[[Part], Any]]:
    """Field -> how a map gives it."""
    hints = get_type_hints(kind, include_extras=True)
    return {one.name: _reader(one.name, hints[one.name], one.default) for one in fields(kind) if one.name not in given}


def _reader(name: str, hint: Any, default: Any) -> Callable[[Part], Any]:
    hint, named = get_args(hint)[:2] if get_origin(hint) is Annotated else (hint, name)
    if callable(named):
        return named  # type: ignore[no-any-return]  # metadata of Annotated has no type
    if not named:
        return lambda part: made(hint, part)
    *outer, key = named.split(".")
    read, nothing = _by_type(hint)
    nothing = nothing if default is MISSING else default

    def value(part: Part) -> Any:
        for one in outer:
            part = part.part(one)
        return read(part, key) if key in part.data or nothing is MISSING else nothing

    return value


def _by_type(hint: Any) -> tuple[_Read, Any]:
    """How a field of a type is read, and what it is where nothing is stated; ``MISSING`` is read all the same."""
    if get_origin(hint) is UnionType:  # or None
        inner = get_args(hint)[0]
        return Part.quantity if inner is Quantity else _by_type(inner)[0], None
    if hint is Quantity:
        return lambda part, key: part.quantities[*part.path, key], MISSING
    if hint is float:
        return lambda part, key: part.quantities[*part.path, key].si, MISSING
    if hint in (str, int, bool):
        return lambda part, key: hint(part.data[key]), hint()
    if hint == Curve:
        return Part.curve, ()
    if isinstance(hint, type) and is_dataclass(hint):
        return lambda part, key: made(hint, part.part(key)), MISSING
    kind, inner = get_origin(hint), get_args(hint)
    if kind is tuple and is_dataclass(inner[0]):
        return lambda part, key: tuple(made(inner[0], one) for one in part.listed(key)), ()
    if kind is tuple:
        return lambda part, key: _texts(part.data[key]), ()
    if is_dataclass(inner[1]):
        return lambda part, key: MappingProxyType({n: made(inner[1], one) for n, one in part.named(key)}), _EMPTY
    return lambda part, key: MappingProxyType(part.data[key]), _EMPTY


_EMPTY: Mapping[str, Any] = MappingProxyType({})


def _texts(value: str | list[str]) -> tuple[str, ...]:
    """A list of texts; one alone may stand for itself."""
    return (value,) if isinstance(value, str) else tuple(value)
