"""The current of a fault by Thevenin's theorem: the independent reference for ``dossier.electrical.prospective``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from dossier.electrical.prospective import REFERENCE, CurrentSource, SeparatedNodesError, VoltageSource
from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """Current through a fault.

    Attributes:
        total: [A].
        shares: source name -> its part of ``total`` [A], by superposition.
        resistance: of the network seen from the fault [ohm].
        voltage: between the two nodes before the fault [V].
    """

    total: float
    shares: Mapping[str, float]
    resistance: float
    voltage: float


def _stamp(matrix: NDArray[np.float64], plus: int, minus: int, conductance: float) -> None:
    for a, b in ((plus, minus), (minus, plus)):
        if a != REFERENCE:
            matrix[a, a] += conductance
            if b != REFERENCE:
                matrix[a, b] -= conductance


def conductance_matrix(nodes: int, resistors: Sequence[tuple[int, int, float]]) -> NDArray[np.float64]:
    """Nodal conductance matrix of resistors [S], shape (nodes, nodes).

    Args:
        nodes: how many, without the reference.
        resistors: (node, node, ohm); ``REFERENCE`` for the reference.

    Raises:
        ValueError: a resistance is not positive.
    """
    matrix = np.zeros((nodes, nodes))
    for a, b, ohms in resistors:
        if ohms <= 0.0:
            raise ValueError("a resistor between two nodes has a positive resistance; join the nodes instead")
        _stamp(matrix, a, b, 1.0 / ohms)
    return matrix


def fault_current(
    passive: NDArray[np.float64],
    sources: Sequence[VoltageSource | CurrentSource],
    plus: int,
    minus: int = REFERENCE,
    fault_resistance: float = 0.0,
) -> Fault:
    """Current through a fault between two nodes, by superposition and Thevenin's theorem.

    Each source alone, the others replaced by their resistance: V_k = e^T G^-1 i_k; shares V_k/(R_th + R_f)
    with
    R_th = e^T G^-1 e. They add up to the total exactly.

    Args:
        passive: conductance matrix of cables, joints and loads [S], shape (n, n), without the sources.
        sources: every source.
        plus: node of the fault.
        minus: its other node.
        fault_resistance: [ohm]; 0 is a bolted fault.

    Raises:
        SeparatedNodesError: parts of the network are not joined.
        ValueError: a source has no resistance, or two have one name.
    """
    if len({s.name for s in sources}) != len(sources):
        raise ValueError("every source has its own name")
    matrix = np.array(passive, dtype=np.float64)
    for source in sources:
        if isinstance(source, VoltageSource):
            if source.resistance <= 0.0:
                raise ValueError(f"source {source.name} has no resistance")
            _stamp(matrix, source.plus, source.minus, 1.0 / source.resistance)
    n = matrix.shape[0]
    right = np.zeros((n, len(sources) + 1))
    for column, source in enumerate(sources):
        amps = source.current if isinstance(source, CurrentSource) else source.emf / source.resistance
        if source.plus != REFERENCE:
            right[source.plus, column] += amps
        if source.minus != REFERENCE:
            right[source.minus, column] -= amps
    across = np.zeros(n)
    if plus != REFERENCE:
        across[plus] += 1.0
    if minus != REFERENCE:
        across[minus] -= 1.0
    right[:, -1] = across
    try:
        solved = np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError as error:
        raise SeparatedNodesError("parts of the network are not joined to each other") from error
    if not np.all(np.isfinite(solved)) or np.linalg.cond(matrix) > 1e13:
        raise SeparatedNodesError("parts of the network are not joined to each other")
    seen = across @ solved
    loop = float(seen[-1]) + fault_resistance
    if loop <= 0.0:
        raise ValueError("a fault across a place without resistance has no finite current")
    shares = {source.name: float(v) / loop for source, v in zip(sources, seen[:-1], strict=True)}
    return Fault(sum(shares.values()), shares, float(seen[-1]), float(sum(seen[:-1])))
