"""Where a number comes from: document, edition, place in it, and how it was seen."""

from __future__ import annotations

from enum import Enum

from dossier.frozen import dataclass
from dossier.reader.wording import UNCHECKED


class Status(Enum):
    """How a value came to us; ``value`` is the wording that is printed."""

    READ = "read"
    READ_SECOND_HAND = "read second-hand"
    MEMORY = UNCHECKED
    DERIVED = "derived from read values"
    PRACTICE = "common practice, no source"
    ASSUMPTION = "assumption"


@dataclass(frozen=True, slots=True)
class Source:
    """One source."""

    document: str  # what it is, for example ``33 CFR 183.425``
    edition: str  # edition or year; empty when none applies
    locator: str  # table, clause or page; may be empty
    status: Status  # how the value was seen

    @property
    def short(self) -> str:
        """For printing beside a number: ``33 CFR 183.425, Table 5``."""
        return f"{self.document}, {self.locator}" if self.locator else self.document

    @property
    def text(self) -> str:
        """For printing in a list of sources: with edition and status."""
        if self.document == self.status.value:
            return self.document
        edition = f" ({self.edition})" if self.edition else ""
        return f"{self.short}{edition}, {self.status.value}"


PRACTICE = Source("common practice, no source", "", "", Status.PRACTICE)
MEMORY = Source("usual value", "", "", Status.MEMORY)
