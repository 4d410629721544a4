"""From a path to its place in the file, also when an option has changed what stands there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dossier.buildfile.names import Path, dotted
from dossier.buildfile.source import Source, error
from dossier.buildfile.tree import Mark
from dossier.diagnostic import Diagnostic, Place
from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Positions:
    """Places of a build, or of a build with options applied."""

    source: Source  # the text
    marks: Mapping[Path, Mark]  # path -> position, of the build file as it stands
    options: tuple[str, ...] = ()  # names of the options applied

    def mark(self, path: Path) -> Mark | None:
        """The position of a path; the options' own values go first."""
        for option in self.options:
            if mark := self.marks.get(("options", option, "changes", *path)):
                return mark
        return self.marks.get(path)

    def value(self, path: Path) -> Place:
        """Where a value stands; of a missing one, where the nearest thing around it does."""
        return self.source.place(*self._nearest(path).value)

    def key(self, path: Path) -> Place:
        """Where the key of a value stands; of a missing one, the key of the nearest thing around it."""
        return self.source.place(*self._nearest(path).key)

    def wrong(self, code: str, path: Path, headline: str, expected: str = "", fix: str = "") -> Diagnostic:
        """A problem with the value at a path."""
        return error(code, headline, self.value(path), path=dotted(path), expected=expected, fix=fix)

    def wrong_key(self, code: str, path: Path, headline: str, expected: str = "", fix: str = "") -> Diagnostic:
        """A problem with what stands under a key, shown at the key."""
        return error(code, headline, self.key(path), path=dotted(path), expected=expected, fix=fix)

    def plain(self, path: Path) -> bool:
        """Whether the value is an unquoted scalar that other readers of YAML may not take for text."""
        mark = self.mark(path)
        return mark is not None and mark.plain

    def key_plain(self, path: Path) -> bool:
        """The same of its key."""
        mark = self.mark(path)
        return mark is not None and mark.key_plain

    def places(self) -> dict[str, Place]:
        """Every dotted path with its place: a scalar's value, the key of a map or list."""
        return {dotted(path): self._place(mark) for path, mark in self._all()}

    def _place(self, mark: Mark) -> Place:
        return self.source.place(*(mark.value if mark.scalar else mark.key))

    def _all(self) -> Iterator[tuple[Path, Mark]]:
        yield from self.marks.items()
        for option in self.options:
            prefix = ("options", option, "changes")
            for path, mark in self.marks.items():
                if path[:3] == prefix and len(path) > 3:
                    yield path[3:], mark

    def _nearest(self, path: Path) -> Mark:
        while path:
            if mark := self.mark(path):
                return mark
            path = path[:-1]
        return self.marks.get((), Mark((1, 1, 1), (1, 1, 1)))
