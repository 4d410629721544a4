"""Photographs with their captions, side by side."""

from __future__ import annotations

from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.section import Stamp
from dossier.pdf.flow import gap, rich, text, together
from dossier.pdf.marks import mark
from dossier.pdf.picture import PhotoBox
from dossier.pdf.tables import columns
from dossier.pdf.text import markup, plain
from dossier.reader.wording import say
from dossier.results.overview import Results
from dossier.results.pictures import Picture

_SOME: Final = 6
_HIGH: Final = {2: 178.0, 3: 112.0}  # pt, of a photo, by how many stand beside each other


def some_photos(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """The first few photos, for an edition that has to stay short; it says how many there are."""
    return photos(build, results, stamp, _SOME, 3)


def photos(build: Build, results: Results, stamp: Stamp, most: int = 1000, beside: int = 2) -> list[Any]:
    """Every photo up to ``most``, and for every one that was refused the reason; nothing without photos."""
    refused = [one for one in results.findings if one.code == "photo-refused"]
    private = sum(one.private for one in build.kept.photos.values()) if stamp.masked else 0
    if not stamp.pictures and not refused and not private:
        return []
    made: list[Any] = ([text(say("photos.photos_are_turned_upright_and_made"), "note")] if stamp.pictures else [])
    if stamp.masked:
        out = f" {say('photos.private', number=private)}" if private else ""
        made.append(text(say("photos.masked") + out, "note"))
    blocks = [_photo(number, one, beside) for number, one in enumerate(stamp.pictures[:most], start=1)]
    if len(stamp.pictures) > most:
        made.append(text(say("photos.more", number=len(stamp.pictures), shown=most), "note"))
    for index in range(0, len(blocks), beside):
        row = blocks[index : index + beside]
        made.append(together(columns([*row, *([[]] * (beside - len(row)))]), gap(10)))
    made += [
        rich(f"{mark(Severity.CAUTION, say('photos.left_out'))}&nbsp; {markup(plain(one.headline, 300))}", "cell")
        for one in refused
    ]
    return made


def one_photo(stamp: Stamp, high: float) -> list[Any]:
    """The first photo without its caption, no higher than ``high`` [pt]; nothing without photos."""
    return [
        PhotoBox(one.data, one.size, (style.LIVE_WIDTH * 0.42, high), plain(one.caption, 200))
        for one in stamp.pictures[:1]
    ]


def _photo(number: int, one: Picture, beside: int) -> list[Any]:
    day = f" {one.date}." if one.date else ""
    caption = plain(one.caption, 200)
    most = ((style.LIVE_WIDTH - (beside - 1) * style.GUTTER) / beside, _HIGH[beside])
    return [
        PhotoBox(one.data, one.size, most, say("photos.photo", number=number, caption=caption)),
        text(f"{number}  {caption}{'' if caption.endswith('.') else '.'}{day}", "caption"),
    ]
