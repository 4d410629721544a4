"""Whether a fuse opens in time, and whether its conductor survives until then: two verdicts, from data sheets only."""

from __future__ import annotations

from math import sqrt
from typing import Final

from dossier.assessment.protection.prospective import FuseFault
from dossier.buildfile.model import Cable, Fuse
from dossier.electrical import transient
from dossier.electrical.fuses import clearing_time, final_temperature, withstand_time
from dossier.electrical.heating import ThermalCable, adiabatic_temperature, steady_temperature
from dossier.equipment.conductors import Conductor
from dossier.reader.promised import fault_ka, least_fault_a
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.reference.conductors import MELTING, VALID_UP_TO, awg_area
from dossier.reference.fuses import BLADE_SMALL_LARGEST
from dossier.results.protection import Answer, Points, Reply
from dossier.results.schedule import ConductorRow

CLEARS_S: Final = 5.0
SURE_AREA: Final = awg_area("12") * 0.998
"""m2: from six times the rating every usual band clears in about a second, which 12 AWG and larger stands rated
as much as the fuse (shell model, 141 degC at most with twice that time); below it only a quick fuse is sure."""


def thin(cable: Cable, fuse: Fuse) -> bool:
    """Whether the conductor may burn in the second that a fuse of this style may take at six times its rating."""
    quick = fuse.style == "blade" and fuse.rating.si <= BLADE_SMALL_LARGEST
    return cable.size is not None and cable.size.si < SURE_AREA and not quick


def clearing(
    conductor: Conductor, fuse: Fuse, fault: FuseFault, row: ConductorRow, thermal: ThermalCable | None, before: float
) -> tuple[Answer, Answer]:
    """Whether it clears within 5 s, and whether the conductor survives until it does: two verdicts."""
    if fault.least is None:
        words = "at the far end no battery feeds a fault through it; alternators and converters limit themselves"
        if fault.most > fuse.rating.si:  # the leads beside it feed back
            words = (
                f"a fault at the far end passes the other end's fuse; close by, up to {fault_ka(fault.most)} kA come "
                "back through the leads beside it"
            )
        nothing = Answer(Reply.NOT_ASKED, words)
        return nothing, nothing
    if not fuse.opens_within:
        words = (
            "the maker's time-current curve is not entered, so the clearing time at the smallest fault "
            f"({least_fault_a(fault.least)} A) is not checked"
        )
        return Answer(Reply.NOT_JUDGED, words), Answer(Reply.NOT_JUDGED, words)
    points = curve(fuse.opens_within)
    slowest = clearing_time(fault.least, 1.0, points)
    if slowest is None:
        words = f"the smallest fault, {least_fault_a(fault.least)} A, lies below the points of the data sheet"
        return Answer(Reply.NO, words), Answer(Reply.NOT_JUDGED, words)
    clears = Answer(
        Reply.YES if slowest <= CLEARS_S else Reply.NO,
        f"{least_fault_a(fault.least)} A clears within {in_seconds(slowest)} by the data sheet",
    )
    if thermal is None or row.column is None:
        return clears, Answer(Reply.NOT_JUDGED, "no model of this conductor")
    hottest, final = 0.0, final_temperature(row.insulation or row.column)
    for current in (fault.least, sqrt(fault.least * fault.most), fault.most):
        time = clearing_time(current, 1.0, points)
        assert time is not None  # falls with the current
        hottest = max(hottest, _hottest(thermal, row, current, time, before))
    words = sentence(
        "its melting point against {limit}"
        if hottest >= MELTING[thermal.material]
        else "{hottest} at most against {limit}",
        hottest=Measure("temperature", hottest, Way.UP),
        limit=Measure("temperature", final, Way.DOWN),
    )
    return clears, Answer(Reply.YES if hottest <= final else Reply.NO, words)


SETTLED_S = 8.0 * 3600.0  # s after which the temperature of any cable stands


def _hottest(thermal: ThermalCable, row: ConductorRow, current: float, time: float, before: float) -> float:
    """Conductor temperature when the fuse has cleared [degC], from the warmest start: adiabatic up to 5 s."""
    time = min(time, SETTLED_S)
    rating, air = row.column or 0.0, row.ambient or 30.0
    start, final = max(rating, air), final_temperature(row.insulation or rating)
    if time <= VALID_UP_TO:
        stands = withstand_time(thermal.area, current, thermal.material, start, final)
        if stands >= time:
            return min(adiabatic_temperature(thermal.area, thermal.material, start, current**2 * time), final)
        reached = adiabatic_temperature(thermal.area, thermal.material, start, current**2 * time)
        return min(reached, MELTING[thermal.material])
    bound = adiabatic_temperature(thermal.area, thermal.material, start, current**2 * time)
    if bound >= MELTING[thermal.material] and steady_temperature(thermal, current, air) > MELTING[thermal.material]:
        return MELTING[thermal.material]
    return max(transient.run(thermal, [(time, current)], air, transient.uniform(start)).peak, start)


def in_seconds(time: float) -> str:
    """Two significant figures, never in powers of ten."""
    return (
        f"{time:.2g} s" if time < 99.5 else f"{time / 60.0:.0f} min" if time >= 599.5 else f"{round(time, -1):.0f} s"
    )


def curve(points: tuple[tuple[object, object], ...]) -> Points:
    """Data-sheet points as (A, s)."""
    return tuple((float(a.si), float(t.si)) for a, t in points)  # type: ignore[attr-defined]
