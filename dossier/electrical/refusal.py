"""What these functions raise when an answer would be a guess."""

from __future__ import annotations


class OutsideKnownError(ValueError):
    """The question lies beyond what published or stated values cover."""


class SizeOutsideTableError(OutsideKnownError):
    """The conductor is thinner than the smallest published size."""


class InsulationOutsideTableError(OutsideKnownError):
    """The insulation rating is below the lowest published column."""


class BelowRatedImpedanceError(OutsideKnownError):
    """The load is lower than any impedance the amplifier is rated for."""

    def __init__(self, impedance: float, lowest: float) -> None:
        super().__init__(f"load of {impedance:.3g} ohm is below the lowest rated impedance, {lowest:.3g} ohm")
        self.impedance = impedance
        self.lowest = lowest
