"""A section of the dossier: its key, its title, and the function that sets it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dossier.buildfile.model import Build
from dossier.frozen import dataclass
from dossier.reader.units import Units
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.pictures import Picture


@dataclass(frozen=True, slots=True)
class Stamp:
    """What is known of the document beside build and results.

    Attributes:
        digest: of the attached parts, in groups, as printed.
        program: name and version of the program.
        parts: names of the attached parts the digest is taken over, in order.
        pictures: photos of the record, as prepared.
        masked: plate, vehicle number and customer are left out.
        units: what lengths, sizes, temperatures and the like are printed in. The texts of build and results are in
            them already; a page asks for them where it prints a number.
        logo: of the letterhead, as prepared.
    """

    digest: str
    program: str
    parts: tuple[str, ...]
    pictures: tuple[Picture, ...] = ()
    masked: bool = False
    units: Units = Units.METRIC
    logo: Picture | None = None


Setter = Callable[[Build, Results, Stamp], list[Any]]


@dataclass(frozen=True, slots=True)
class Section:
    """One numbered section."""

    key: str  # unique name; other sections refer to it by this, and its title is the text of that key
    set: Setter  # (build, results, stamp) in, flowables out; none leaves the section out
    fresh: bool = False  # it begins on a new page
    titled: bool = True  # its heading is set before it; else it sets its own, where they float

    @property
    def title(self) -> str:
        """Its heading."""
        return say(f"sections.{self.key}")
