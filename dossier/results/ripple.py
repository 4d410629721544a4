"""Ripple fractions worked out from a multimeter's alternating volts at the amplifier terminals."""

from __future__ import annotations

from dossier.frozen import dataclass
from dossier.results.units import Hertz, Volts


@dataclass(frozen=True, slots=True)
class RippleReading:
    """What one reading of alternating volts says about an amplifier.

    Attributes:
        reading: id of the reading.
        amplifier: id of the amplifier; ``title`` its title.
        case: title of the load case that was played.
        tone: tone of that load case [Hz]; the ripple is at twice it.
        ac: alternating volts, rms [V]; ``dc`` mean volts at the same terminals [V], None where not read.
        fraction: swing of the amplifier's input current over its mean; None where the reading could not be used.
        lowest, highest: its band, from the reading's error and the resistances it is worked out with.
        words: how it was worked out, or why it was not.
    """

    reading: str
    amplifier: str
    title: str
    case: str
    tone: Hertz
    ac: Volts
    dc: Volts | None
    fraction: float | None
    lowest: float | None
    highest: float | None
    words: str
