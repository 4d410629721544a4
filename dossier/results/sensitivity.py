"""What moves the worst voltage, largest first, and what to measure next."""

from __future__ import annotations

from dossier.frozen import dataclass
from dossier.results.units import Volts


@dataclass(frozen=True, slots=True)
class InputEffect:
    """One input moved across its band while all others stay nominal.

    Attributes:
        path, device, quantity: which input.
        value, low, high: in words with unit, as in the list of inputs.
        basis: measured | datasheet | estimated | fitted | assumed.
        at_low, at_high: change of the worst mean at the two ends of the band [V]; None = it collapses there.
        swing: whole width [V]; a collapse counts as the drop to the amplifier's lowest voltage.
        uncertain: it rests on an estimate or an assumption.
        how: how to measure it, one sentence; empty where no instrument people own would tell.
    """

    path: str
    device: str
    quantity: str
    value: str
    low: str
    high: str
    basis: str
    at_low: Volts | None
    at_high: Volts | None
    swing: Volts
    uncertain: bool
    how: str


@dataclass(frozen=True, slots=True)
class Measurement:
    """One thing to do with a meter that narrows the band.

    Attributes:
        title: what it is called.
        instruments: what it takes, with the ratings that matter.
        narrows: width the band of the worst mean would further lose, once the measurements before it are made, if these
            inputs were known [V].
        covers: the inputs it would tell, in words.
        steps: in order.
    """

    title: str
    instruments: str
    narrows: Volts
    covers: tuple[str, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """All inputs that move the worst mean voltage of one load case.

    Attributes:
        case: title of the load case, the one with the lowest voltage.
        amplifier: title of its worst amplifier.
        statistic: mean.
        nominal: its lowest mean [V]; None if it collapses, then the effects are of a shorter note.
        words: what was moved in words (which load case, up to when).
        effects: largest first.
        measure_next: the few uncertain ones to measure next, largest first.
        measurements: the two or three measurements that would narrow the band most.
    """

    case: str
    amplifier: str
    statistic: str
    nominal: Volts | None
    words: str
    effects: tuple[InputEffect, ...]
    measure_next: tuple[InputEffect, ...]
    measurements: tuple[Measurement, ...]
