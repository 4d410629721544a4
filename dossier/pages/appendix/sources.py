"""What has to be made dead by itself, how many that is, and what feeds only while the engine turns."""

from __future__ import annotations

from collections.abc import Sequence

from dossier.pages.words import count, name
from dossier.pdf.text import plain
from dossier.reader.wording import say, terms
from dossier.results.overview import EnergySource, Results, Stays


def counted(results: Results) -> str:
    """The number of energy sources with their noun."""
    return count(len(results.energy_sources), "energy source")


def with_place(sources: Sequence[EnergySource], most: int | None = None) -> str:
    """Titles with where they are; what is beyond ``most`` only counted."""
    names = ", ".join(f"{name(one.title, 60)} ({plain(one.location, 60)})" for one in sources[:most])
    left = 0 if most is None else max(len(sources) - most, 0)
    return names + (say("sources.and_more", sources=left) if left else "")


def warning(results: Results) -> str:
    """The same in a sentence; empty where there is no energy source at all."""
    if not results.energy_sources:
        return ""
    left = results.left_live
    if left is Stays.NOTHING:
        return say("sources.only_one")
    return say("sources.rear_stays" if left is Stays.REAR else "sources.others_stay")


def turning(results: Results) -> str:
    """What feeds only for a time, and when; empty where there is nothing of the kind."""
    if not results.further_sources:
        return ""
    when = terms("sources.when")
    listed = "; ".join(f"{with_place([one])} {when[one.kind]}" for one in results.further_sources)
    return say("sources.further", list=listed)
