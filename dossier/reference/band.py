"""A value not known exactly: plausible low end, typical value, plausible high end."""

from __future__ import annotations

from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Band:
    """Low, typical and high value of one quantity, in one unit.

    The band is that of an unknown but healthy device, roughly 10 to 90 %; it is no guarantee.
    """

    low: float
    typical: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.typical <= self.high:
            raise ValueError(f"a band must rise: {self.low}, {self.typical}, {self.high}")

    def scaled(self, factor: float) -> Band:
        """The band times a positive factor."""
        if factor <= 0.0:
            raise ValueError(f"a band is scaled by a positive factor, not {factor}")
        return Band(self.low * factor, self.typical * factor, self.high * factor)

    def plus(self, constant: float) -> Band:
        """The band shifted by a constant."""
        return Band(self.low + constant, self.typical + constant, self.high + constant)
