"""A number as the build file states it, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Basis(Enum):
    """What a stated value rests on."""

    MEASURED = "measured"
    DATASHEET = "datasheet"
    ESTIMATED = "estimated"
    FITTED = "fitted"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number the build file states.

    Attributes:
        si: value in the units of ``dossier.buildfile.model``.
        text: as written, for example ``1/0 AWG``.
        path: dotted path in the build file.
        basis: what it rests on; a plain value is a data-sheet value.
        tolerance: half width of its band in the same unit, if stated.
    """

    si: float
    text: str
    path: str
    basis: Basis = Basis.DATASHEET
    tolerance: float | None = None
