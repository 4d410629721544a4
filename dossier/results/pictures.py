"""Photographs and the logo as they go into the record."""

from __future__ import annotations

from typing import Final

from dossier.frozen import dataclass

LOGO_FILE: Final = "workshop-logo.png"
LOGO: Final = "workshop logo"
"""Id of the logo; no photo can have it, since names have no spaces."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture ready for the page, width and height in pixels; a photo as JPEG, the logo as PNG, no metadata."""

    id: str
    caption: str
    date: str
    data: bytes
    size: tuple[int, int]

    @property
    def name(self) -> str:
        """Name of its attachment."""
        return LOGO_FILE if self.is_logo else f"photo-{self.id}.jpg"

    @property
    def is_logo(self) -> bool:
        """Whether it is the logo of the workshop."""
        return self.id == LOGO
