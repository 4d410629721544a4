"""One map of a checked build file, with its quantities at hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from dossier.buildfile.names import Path
from dossier.buildfile.stated import Quantity
from dossier.frozen import dataclass

STATES = ("stopped", "auto_stop", "idle", "cruise")


@dataclass(frozen=True, slots=True)
class Part:
    """One map of the build file."""

    data: Mapping[str, Any]  # what it says
    path: Path  # where it stands
    quantities: Mapping[Path, Quantity]  # of the whole file, by path

    @property
    def id(self) -> str:
        """The name of the map."""
        return str(self.path[-1])

    @property
    def title(self) -> str:
        """Its title, or its name in words."""
        return str(self.data.get("title", self.id.replace("_", " ")))

    def quantity(self, key: str) -> Quantity | None:
        """A quantity, if stated."""
        return self.quantities.get((*self.path, key))

    def part(self, key: str) -> Part:
        """A map inside; empty where it is left out."""
        return Part(self.data.get(key, {}), (*self.path, key), self.quantities)

    def named(self, key: str) -> Iterator[tuple[str, Part]]:
        """The names and the maps of a map inside."""
        inner = self.part(key)
        return ((name, inner.part(name)) for name in inner.data)

    def listed(self, key: str) -> Iterator[Part]:
        """The maps of a list inside."""
        every = enumerate(self.data.get(key, ()))
        return (Part(one, (*self.path, key, index), self.quantities) for index, one in every)

    def curve(self, key: str) -> tuple[tuple[Quantity, Quantity], ...]:
        """A map with quantities as keys, by rising key."""
        inner, known = (*self.path, key), self.quantities
        points = [(known[*inner, f"={name}"], known[*inner, name]) for name in self.data.get(key, ())]
        return tuple(sorted(points, key=lambda point: point[0].si))

    def by_state(self, key: str) -> Mapping[str, Quantity]:
        """Quantities by engine state; one for all states stands under ``any``."""
        if one := self.quantity(key):
            return MappingProxyType({"any": one})
        found = ((state, self.quantities.get((*self.path, key, state))) for state in STATES)
        return MappingProxyType({state: value for state, value in found if value})
