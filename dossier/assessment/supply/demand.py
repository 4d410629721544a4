"""What the amplifiers ask at the programme levels of the trade, and at which voltage."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from dossier.equipment.storage import StorageBattery

# The trade's words for mean output over full sine output; crest factor of the signal = 3.01 dB - 10 lg(fraction).
LEVELS: Final = (
    ("music, 1/8 power", 12.0, 1.0 / 8.0),
    ("heavy bass, 1/3 power", 7.8, 1.0 / 3.0),
    ("full sine tone", 3.0, 1.0),
)


def resting_volts(fitted_batteries: Iterable[StorageBattery], system: float) -> float:
    """Rested voltage of the batteries, the mean of them; the nominal system voltage where there is none [V]."""
    rests = [b.open_circuit.nominal for b in fitted_batteries]
    return sum(rests) / len(rests) if rests else system
