"""Breaking capacity by the size of the battery bank: what a published table asks for beside the computed current."""

from __future__ import annotations

from math import inf

from dossier.buildfile.model import Battery, Build
from dossier.electrical.fuses import table_breaking
from dossier.equipment.feeding import joined
from dossier.reference.batteries import LEAD_ACID
from dossier.reference.defaults import DEFAULTS


def connected_cranking(build: Build, location: str) -> float | None:
    """Cold-cranking current of every battery on the bus of a location [A].

    From capacity at the high end where it is not stated; infinite with lithium, which has no such rating and gives
    more; None without a battery.
    """
    bus = joined(build, location)
    found = [_cranking(b) for b in build.batteries.values() if b.at in bus]
    return sum(found) if found else None


def _cranking(battery: Battery) -> float:
    if battery.chemistry not in LEAD_ACID:
        return inf
    if battery.cold_cranking is not None:
        return battery.cold_cranking.si * battery.parallel
    assert battery.capacity is not None  # the reader asks for one of the two
    return DEFAULTS["lead.cca_per_capacity"].high * battery.capacity.si * battery.parallel


def table_for(build: Build, location: str) -> float | None:
    """What ABYC E-11 Table V-A asks of a fuse near a location [A]: main where a battery stands, else branch."""
    cranking = connected_cranking(build, location)
    if cranking is None:
        return None
    main, branch = table_breaking(cranking)
    return main if any(b.at == location for b in build.batteries.values()) else branch
