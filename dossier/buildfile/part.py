"""One map of a checked build file, with its quantities at hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, TypeVar

from dossier.buildfile.model import Quantity
from dossier.buildfile.names import Path

_T = TypeVar("_T")
STATES = ("stopped", "auto_stop", "idle", "cruise")


class Part:
    """One map of the build file, with its quantities at hand."""

    def __init__(self, data: Mapping[str, Any], path: Path, quantities: Mapping[Path, Quantity]) -> None:
        self.data = data
        self.path = path
        self.quantities = quantities

    @property
    def id(self) -> str:
        """The name of the map."""
        return str(self.path[-1])

    @property
    def title(self) -> str:
        """Its title, or its name in words."""
        return self.text("title", self.id.replace("_", " "))

    def text(self, key: str, default: str = "") -> str:
        """A text, or ``default``."""
        return str(self.data.get(key, default))

    def flag(self, key: str, default: bool = False) -> bool:
        """A yes or no, or ``default``."""
        return bool(self.data.get(key, default))

    def whole(self, key: str, default: int = 1) -> int:
        """A whole number, or ``default``."""
        return int(self.data.get(key, default))

    def count(self, key: str) -> int | None:
        """A whole number, if stated."""
        return int(self.data[key]) if key in self.data else None

    def maybe(self, key: str) -> Quantity | None:
        """A quantity, if stated."""
        return self.quantities.get((*self.path, key))

    def sure(self, key: str) -> Quantity:
        """A quantity that the schema requires."""
        return self.quantities[(*self.path, key)]

    def part(self, key: str) -> Part:
        """A map inside; empty where it is left out."""
        return Part(self.data.get(key, {}), (*self.path, key), self.quantities)

    def every(self, key: str) -> tuple[Part, ...]:
        """The maps of a list inside; none where it is left out."""
        listed = self.data.get(key, ())
        return tuple(Part(one, (*self.path, key, index), self.quantities) for index, one in enumerate(listed))

    def curve(self, key: str) -> tuple[tuple[Quantity, Quantity], ...]:
        """A map with quantities as keys, by rising key."""
        inner = self.part(key)
        points = [(inner.sure(f"={name}"), inner.sure(name)) for name in inner.data]
        return tuple(sorted(points, key=lambda point: point[0].si))

    def states(self, names: tuple[str, ...] = STATES) -> Mapping[str, Quantity]:
        """Quantities by engine state."""
        found = {name: self.maybe(name) for name in names}
        return MappingProxyType({name: value for name, value in found.items() if value is not None})

    def all(self, key: str, make: Callable[[Part], _T]) -> Mapping[str, _T]:
        """Every entry of a map inside, made by ``make``."""
        inner = self.part(key)
        return MappingProxyType({name: make(inner.part(name)) for name in inner.data})
