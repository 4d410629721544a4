"""What a conductor carries in a load case: from the simulation to whatever is judged by it."""

from __future__ import annotations

from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class ConductorCurrent:
    """Current of one cable in one load case, all runs together [A]: mean and rms while it sounds, and the peak.

    Attributes:
        seconds: how long it sounds.
        goes_on: whether it stands for play without end (music, bursts) and not for one note.
        metal: temperature of the metal that the run counted [degC]; None = 15 K above the air.
        burst, every: of bursts, how long each lasts and from one to the next [s]; 0 where there are none.
    """

    case: str
    mean: float
    rms: float
    peak: float
    seconds: float = 60.0
    goes_on: bool = True
    metal: float | None = None
    burst: float = 0.0
    every: float = 0.0
