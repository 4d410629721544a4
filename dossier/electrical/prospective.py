"""Prospective short-circuit current at a place, and what each source adds to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from dossier.electrical.refusal import OutsideKnownError
from dossier.frozen import dataclass

REFERENCE: Final = -1
"""Node number of the reference, which has no row in the matrix."""


class SeparatedNodesError(OutsideKnownError):
    """The network has parts that nothing joins, so that the current is not defined."""


@dataclass(frozen=True, slots=True)
class VoltageSource:
    """A source behind a resistance, from ``minus`` to ``plus``.

    Attributes:
        name: for the result.
        plus, minus: node numbers, ``REFERENCE`` for the reference.
        emf: [V].
        resistance: [ohm], above 0.
    """

    name: str
    plus: int
    minus: int
    emf: float
    resistance: float


@dataclass(frozen=True, slots=True)
class CurrentSource:
    """A source of fixed current out of ``plus``; an alternator at its limit.

    Attributes:
        name: for the result.
        plus, minus: node numbers.
        current: [A].
    """

    name: str
    plus: int
    minus: int
    current: float


def _stamp(matrix: NDArray[np.float64], plus: int, minus: int, conductance: float) -> None:
    for a, b in ((plus, minus), (minus, plus)):
        if a != REFERENCE:
            matrix[a, a] += conductance
            if b != REFERENCE:
                matrix[a, b] -= conductance


def faulted(
    passive: NDArray[np.float64],
    sources: Sequence[VoltageSource | CurrentSource],
    plus: int,
    minus: int = REFERENCE,
    fault_resistance: float = 1e-6,
) -> NDArray[np.float64]:
    """Node voltages under a fault, one column for each source alone [V]; their sum is the whole.

    The current of any branch, the fault's own included, follows by Ohm's law. Parts that nothing joins need a leak in
    ``passive``.

    Args:
        passive: conductance matrix of cables, joints and loads [S], shape (n, n), without the sources.
        sources: every source.
        plus: node of the fault.
        minus: its other node.
        fault_resistance: [ohm], above 0.

    Returns:
        (n, sources).

    Raises:
        SeparatedNodesError: a part of the network has no connection at all.
        ValueError: a resistance is not positive.
    """
    if fault_resistance <= 0.0:
        raise ValueError("a fault between two nodes has a positive resistance")
    matrix = np.array(passive, dtype=np.float64)
    _stamp(matrix, plus, minus, 1.0 / fault_resistance)
    right = np.zeros((matrix.shape[0], len(sources)))
    for column, source in enumerate(sources):
        if isinstance(source, VoltageSource):
            if source.resistance <= 0.0:
                raise ValueError(f"source {source.name} has no resistance")
            _stamp(matrix, source.plus, source.minus, 1.0 / source.resistance)
            amps = source.emf / source.resistance
        else:
            amps = source.current
        if source.plus != REFERENCE:
            right[source.plus, column] += amps
        if source.minus != REFERENCE:
            right[source.minus, column] -= amps
    try:
        solved = np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
    except np.linalg.LinAlgError as error:
        raise SeparatedNodesError("parts of the network are not joined to each other") from error
    return solved
