"""A photograph fills the room there is for it, and never more."""

from __future__ import annotations

from dossier.pdf.picture import PhotoBox


def test_no_size_of_picture_outgrows_its_room() -> None:
    """Pictures of every width from 180 to 4096 pixels, wide and tall, fit to the last bit of a number."""
    for wide in range(180, 4097):
        for tall in (2 * wide // 3, wide, 3 * wide // 2):
            box = PhotoBox(b"", (wide, tall), (241.3, 187.1), "")
            assert box.width <= 241.3
            assert box.height <= 187.1
