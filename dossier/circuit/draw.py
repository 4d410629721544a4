"""Numbers for the network: the nominal value of every input, or one value per sample."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

import numpy as np

from dossier.circuit.elements import Array, Values
from dossier.equipment.value import Value

Draw = Callable[[Value], Values]


def nominal(value: Value) -> Values:
    """The value to use when one run is wanted."""
    return value.nominal


class Samples:
    """Stratified samples, the same for the same input in every network (common random numbers).

    Each input gets its own permutation of ``count`` equal strata (Latin hypercube: McKay, Beckman and Conover,
    Technometrics 21, 1979), keyed by its path, so an option that changes one device leaves the draws of all
    others as they are. Below its nominal an input is uniform down to its low edge, above it uniform up to its
    high edge, half of the samples each.
    """

    def __init__(self, count: int, seed: int = 1) -> None:
        self.count = count
        self.seed = seed
        self._known: dict[str, Array] = {}

    def __call__(self, value: Value) -> Values:
        """Samples of one input, shape (count,); a float where its band has no width."""
        if value.high <= value.low:
            return value.nominal
        u = self.strata(value.path)
        below = value.low + 2.0 * u * (value.nominal - value.low)
        above = value.nominal + (2.0 * u - 1.0) * (value.high - value.nominal)
        return np.where(u < 0.5, below, above)

    def strata(self, path: str) -> Array:
        """The draw of one input in 0..1, shape (count,): one value in each of ``count`` strata."""
        if path not in self._known:
            digest = hashlib.sha256(f"{self.seed}:{path}".encode()).digest()
            # PCG64 and its permutation are seeded by bytes of our own, not by Python's salted hash
            generator = np.random.Generator(np.random.PCG64(int.from_bytes(digest[:16], "little")))
            order = np.argsort(generator.random(self.count), kind="stable")
            self._known[path] = (order + generator.random(self.count)) / self.count
        return self._known[path]
