"""How exactly a run is computed."""

from __future__ import annotations

from dossier.circuit.ripple import PHASES
from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Settings:
    """How exactly to compute; see ``for_batch`` for many samples.

    Attributes:
        tol_v: local error of a stored voltage in one step [V].
        tol_i: local error of an alternator's current [A].
        max_step: longest step [s]; None: a twentieth of the run, but 20 ms to 1 s; minima of notes move 0.1 mV.
        event_s: to how many seconds switching instants are found.
        collapse_s: to how many seconds a collapse is found.
        ripple: compute the ripple within the cycles if the programme has a tone.
        phases: phases per cycle.
        detail: keep voltages of nodes and currents of resistors too.
    """

    tol_v: float = 3e-4
    tol_i: float = 0.2
    max_step: float | None = None
    event_s: float = 1e-4
    collapse_s: float = 1e-3
    ripple: bool = True
    phases: int = PHASES
    detail: bool = True


def for_batch(ripple: bool = True) -> Settings:
    """Settings for bands from many samples: coarser, still well below what the inputs are known to."""
    return Settings(tol_v=1e-3, event_s=5e-3, collapse_s=5e-3, ripple=ripple, detail=False)
