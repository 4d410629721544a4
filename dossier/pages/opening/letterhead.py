"""The letterhead above the cover of every edition: logo, name, address and how to reach the workshop."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pdf.flow import Rule, text
from dossier.pdf.picture import PhotoBox
from dossier.pdf.tables import columns
from dossier.pdf.text import plain
from dossier.reader.wording import say

_MOST: Final = (150.0, 30.0)  # pt, of the logo
_LOGO_SHARE: Final = 0.34


def letterhead(build: Build, stamp: Stamp) -> list[Any]:
    """One band across the page; nothing where no workshop has a letterhead."""
    workshop = build.kept.workshop
    if workshop is None:
        return []
    name = plain(workshop.name, 80)
    address = ", ".join(plain(line, 60) for line in workshop.address)
    reach = (workshop.phone, workshop.email, workshop.web, workshop.registration)
    contact = "  ·  ".join(plain(one, 80) for one in reach if one)
    side = "left" if stamp.logo is None else "right"
    words = [
        text(name, "cell_strong", side), *(text(line, "cell_small_muted", side) for line in (address, contact) if line)
    ]
    if stamp.logo is None:
        return [*words, Rule(before=3, after=4)]
    picture = PhotoBox(stamp.logo.data, stamp.logo.size, _MOST, say("letterhead.logo_of", name=name))
    return [columns([[picture], words], shares=(_LOGO_SHARE, 1 - _LOGO_SHARE)), Rule(before=3, after=4)]
