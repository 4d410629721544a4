"""Cable and fuse schedule: every conductor and every fuse with its numbers."""

from __future__ import annotations

from dataclasses import dataclass


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
    rating: float
    distance: float | None
    breaking_capacity: float | None
    shared: bool
    needed: float
    largest: float


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
        drop: at the peak current [V].
        loss: at the rms current [W].
        worst_case: load case of the largest rms.
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
    insulation: float | None
    ambient: float | None
    length: float | None
    resistance: float
    rms: float
    peak: float
    mean: float
    base_ampacity: float | None
    factors: tuple[Factor, ...]
    allowed: float | None
    drop: float
    loss: float
    worst_case: str
    fuses: tuple[FuseRow, ...]
