"""The door of this floor: play a programme through a network."""

from __future__ import annotations

from dossier.circuit.network import Network
from dossier.circuit.programme import Programme
from dossier.circuit.run import Run
from dossier.circuit.settings import Settings
from dossier.circuit.settle import Initial
from dossier.circuit.simulations import current
from dossier.circuit.trace import Transient


def simulate(
    network: Network, programme: Programme, *, settings: Settings | None = None, initial: Initial | None = None
) -> Transient:
    """Play ``programme`` through ``network``.

    Args:
        network: elements and nodes, B samples.
        programme: level over time; the run is as long as the programme.
        settings: exactness; None: ``Settings()``.
        initial: initial states (see ``settle.given``); None: the network settled at rest.

    Returns:
        Voltages and currents over time, and the outcome of every amplifier in every sample.

    Raises:
        NetworkError: the network is singular.
        ConvergenceError: an operating point could not be computed.
    """
    if initial is not None:
        return Run(network, programme, settings or Settings(), initial).go()
    return current().result(network, programme, settings or Settings())
