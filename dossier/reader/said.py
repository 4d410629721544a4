"""Sentences with measures in them: kept in SI, and readable in either system of units without being taken apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from dossier.frozen import dataclass
from dossier.reader.units import Kind, Units, Way


@dataclass(frozen=True, slots=True)
class Measure:
    """A value inside a sentence: its kind, value [SI; degC], rounding, decimals if other than usual."""

    kind: Kind
    si: float
    way: Way = Way.NEAREST
    places: int | None = None

    def read_by(self, units: Units) -> str:
        """The words in these units."""
        return units.words(self.kind, self.si, self.way, self.places)


class Said(str):
    """A text with a metric and a US reading.

    As a plain text it is what is kept and exchanged; ``read_by`` gives what a reader gets. Whatever joins such
    texts with an f-string gets a plain text and loses the readings: use ``sentence`` and ``joined``.
    """

    metric: str
    us: str

    def __new__(cls, kept: str, *, metric: str = "", us: str = "") -> Said:
        """``kept`` as it is; a reading that is left out is the same."""
        made = super().__new__(cls, kept)
        made.metric, made.us = metric or kept, us or kept
        return made

    def read_by(self, units: Units) -> str:
        """The words in these units."""
        return self.us if units is Units.US else self.metric


def said_in(text: str | Mapping[str, str]) -> str:
    """A text of a data file: one for all, or a map of its ``metric`` and ``us`` reading."""
    return text if isinstance(text, str) else Said(text["metric"], us=text["us"])


def sentence(template: str, **parts: Any) -> Said:
    """``template`` filled with parts: texts, numbers with their format, measures and sentences.

    Args:
        template: as for ``str.format``, with names only; may have readings itself.
        parts: what the names stand for.
    """
    kept = {name: part.read_by(Units.METRIC) if isinstance(part, Measure) else part for name, part in parts.items()}
    readings = [
        str(read(template, units)).format(**{name: read(part, units) for name, part in parts.items()})
        for units in (Units.METRIC, Units.US)
    ]
    return Said(template.format(**kept), metric=readings[0], us=readings[1])


def joined(between: str, parts: Iterable[str]) -> Said:
    """``between.join(parts)`` that keeps the readings of its parts."""
    listed = list(parts)
    metric, us = (between.join(str(read(part, units)) for part in listed) for units in (Units.METRIC, Units.US))
    return Said(between.join(listed), metric=metric, us=us)


def read(part: Any, units: Units) -> Any:
    """What a reader gets of a part of a sentence; what has no readings is itself."""
    return part.read_by(units) if isinstance(part, (Said, Measure)) else part


def to_buy(area: float, stated: str) -> Said:
    """A conductor size that is asked for, in the notation of the build file; ``area`` in m2."""
    metric, us = (units.size_to_buy(area, stated) for units in (Units.METRIC, Units.US))
    return Said(stated, metric=metric, us=us)


def sized(area: float, stated: str) -> Said:
    """A conductor size as stated, that reads in the reader's notation first; ``area`` in m2."""
    return Said(stated, metric=Units.METRIC.size(area, stated), us=Units.US.size(area, stated))
