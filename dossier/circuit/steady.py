"""What flows when everything has settled, at one level of the programme: for hours, not for seconds."""

from __future__ import annotations

from collections.abc import Mapping

from dossier.circuit import direct, storage
from dossier.circuit.companion import cut
from dossier.circuit.elements import Battery, Capacitor
from dossier.circuit.network import Network, fold, reference_conductance
from dossier.circuit.settle import first_instant, settle
from dossier.circuit.time_step import TimeStep
from dossier.frozen import dataclass

LEAP = 5  # of the settling steps one in so many: nothing here has a history worth following


@dataclass(frozen=True, slots=True)
class Steady:
    """Of the first sample, by port: volts, and amperes p to n inside the element (a source's are negative)."""

    volts: Mapping[str, float]
    amps: Mapping[str, float]


def steady(network: Network, level: float = 1.0) -> Steady:
    """The operating point in which batteries keep their state of charge and all else is settled.

    Switches and amplifiers stay as they start; nothing trips.

    Raises:
        NetworkError, ConvergenceError: as ``transient.simulate``.
    """
    g0 = reference_conductance(network)
    folded = fold(network, g0)
    stored = storage.gather(network)
    m = len(network.of(Battery)) + len(network.of(Capacitor)) + int(stored.vset.shape[1])
    time_step = TimeStep(stored, direct.gather(network), cut(folded.z, g0, m), lambda _: level)
    point = first_instant(network, time_step, 0.0, settle(network, time_step, level, LEAP)).point
    ids = [port.id for port in network.ports]
    return Steady(
        dict(zip(ids, point.v[0, 0].tolist(), strict=True)), dict(zip(ids, point.i[0, 0].tolist(), strict=True))
    )
