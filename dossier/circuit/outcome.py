"""How a run ends for each amplifier and each sample."""

from __future__ import annotations

from enum import Enum

from dossier.frozen import dataclass


class Ending(Enum):
    """What became of an amplifier in a run; worse ones stand later."""

    HOLDS = "holds"  # plays to the end
    SHUTDOWN_CYCLES = "shutdown_cycles"  # its protection switched it off at least once
    BATTERY_TRIPPED = "battery_tripped"  # a battery's management opened; the run went on without that battery
    FALLS_BELOW_LOWEST = "falls_below_lowest"  # an amplifier fell below its lowest working voltage; the run ended
    NO_OPERATING_POINT = "no_operating_point"  # more asked than the sources can deliver; the run ended


@dataclass(frozen=True, slots=True)
class Switching:
    """A change of state of an element at ``t`` s: ``on`` True = on or closed."""

    id: str
    t: float
    on: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """Outcome of one amplifier in one sample.

    Attributes:
        ending: the worst that happened.
        t: when that happened first [s]; None if it holds.
        by: id of what caused it: the amplifier that fell, or the battery that tripped; "" if it holds.
        switchings: every off and on of this amplifier by its own protection, in time order.
        trips: batteries whose management opened, in time order.
        demand_w: input power all amplifiers asked at the end of the run [W], if it ended early, or when a
            protection first switched off because no operating point was left.
        deliverable_w: the most the source side could have delivered then, its states frozen [W]; only with
            ``NO_OPERATING_POINT`` and such a shut-down.
        starved_t: when that shut-down happened [s]; None without one.
    """

    ending: Ending
    t: float | None = None
    by: str = ""
    switchings: tuple[Switching, ...] = ()
    trips: tuple[Switching, ...] = ()
    demand_w: float | None = None
    deliverable_w: float | None = None
    starved_t: float | None = None

    @property
    def collapsed(self) -> bool:
        """The run of this sample ended before its time."""
        return self.ending in (Ending.FALLS_BELOW_LOWEST, Ending.NO_OPERATING_POINT)
