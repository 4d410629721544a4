"""Cable and fuse schedule: every conductor and every fuse with its numbers."""

from __future__ import annotations

from typing import Annotated

from dossier.frozen import dataclass
from dossier.results.units import Amperes, Celsius, Key, Metres, Ohms, Seconds, Volts, Watts


@dataclass(frozen=True, slots=True)
class Factor:
    """A correction factor on the published ampacity, with where it comes from."""

    name: str
    value: float
    source: str


@dataclass(frozen=True, slots=True)
class FuseRow:
    """One fuse of one conductor.

    Currents in A, distance in m. ``breaking_capacity`` is None when not stated; ``needed`` is the smallest rating
    that carries the load with the usual margin; ``largest`` is the allowed current of the conductor it protects.
    """

    id: str
    near: str
    style: str
    rating: Amperes
    distance: Metres | None
    breaking_capacity: Amperes | None
    shared: bool
    needed: Amperes
    largest: Amperes


@dataclass(frozen=True, slots=True)
class Warmth:
    """How warm one run of a conductor gets in its worst load case; temperatures in degC.

    Attributes:
        case: the load case that heats it most.
        rms: its current in that case [A]; ``seconds`` how long it lasts once, None where it goes on and on.
        before: rms current that has warmed it beforehand [A].
        start: temperature at the beginning; ``peak`` the hottest of the case.
        steady: where it would end if the current stayed for ever; infinite beyond 2000 K.
        continuous: current that would hold ``peak`` for ever [A]: what a programme is worth in heating.
        holds: how long the current may last from ``start`` until the rating of the insulation [s]; None = for ever.
        time_constant: of the whole cable [s].
    """

    case: str
    rms: Amperes
    seconds: Annotated[float | None, Key("lasts_s")]
    before: Amperes
    start: Celsius
    peak: Celsius
    steady: Celsius
    continuous: Amperes
    holds: Seconds | None
    time_constant: Seconds


@dataclass(frozen=True, slots=True)
class ConductorRow:
    """One conductor, all its runs together unless said otherwise.

    Attributes:
        size_mm2: area of one run [mm2]; None for the body.
        length: one way [m]; None for the body.
        resistance: of the whole path at operating temperature [ohm].
        rms: largest rms current of the load cases, one run [A].
        peak: largest current of the load cases, all runs [A].
        mean: mean current in the case of the largest rms, all runs [A].
        base_ampacity: published base, one run [A]; None for the body.
        allowed: after the factors, one run [A].
        drop: at the peak current, with the metal as warm as it gets [V].
        loss: at the rms current [W].
        worst_case: load case of the largest rms.
        insulation_assumed: the rating of the insulation is not stated.
        column: published column that was used [degC].
        allowed_at_best: what the conductor might carry if everything not stated were favourable [A], one run.
        warmth: how warm it gets; None for the body and for a path stated as a whole.
        assumed_temperature: of the metal that load cases start from, 15 K above the air [degC].
        extra_drop: what the metal above that temperature costs at the peak current [V].
        counted_temperature: of the metal that the run of its worst load case counted [degC].
        drop_high: at the peak current, every resistance at its high end [V]: counts against a limit.
        cautious: what the lower of two published tables allows 60 degC insulation, one run [A], or None.
        uncounted_drop: what the metal above that costs at the peak current, not in the load cases [V].
    """

    id: str
    title: str
    role: str
    start: str
    end: str
    chassis: bool
    size: str
    size_mm2: float | None
    runs: int
    material: str
    insulation: Celsius | None
    ambient: Celsius | None
    length: Metres | None
    resistance: Ohms
    rms: Amperes
    peak: Amperes
    mean: Amperes
    base_ampacity: Amperes | None
    factors: tuple[Factor, ...]
    allowed: Amperes | None
    drop: Volts
    loss: Watts
    worst_case: str
    fuses: tuple[FuseRow, ...]
    insulation_assumed: bool = False
    column: Celsius | None = None
    allowed_at_best: Amperes | None = None
    warmth: Warmth | None = None
    assumed_temperature: Celsius | None = None
    extra_drop: Volts = 0.0
    counted_temperature: Celsius | None = None
    uncounted_drop: Volts = 0.0
    drop_high: Volts = 0.0
    cautious: Amperes | None = None
