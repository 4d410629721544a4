"""Photographs as they go into the record."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo ready for the page: JPEG bytes without metadata, width and height in pixels."""

    id: str
    caption: str
    date: str
    data: bytes
    size: tuple[int, int]

    @property
    def name(self) -> str:
        """Name of its attachment."""
        return f"photo-{self.id}.jpg"
