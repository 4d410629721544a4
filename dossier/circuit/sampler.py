"""Numbers for the network: the nominal value of every input, or one value per sample."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from dossier.circuit.elements import Array, Values
from dossier.equipment.value import Value

InputSampler = Callable[[Value], Values]


def nominal(value: Value) -> Values:
    """The value to use when one run is wanted."""
    return value.nominal


class Samples:
    """Stratified samples, the same for the same input in every network (common random numbers).

    Sample 0 is the nominal run; samples 1 to ``count`` are drawn. Each input gets its own permutation of
    ``count`` equal strata (Latin hypercube: McKay, Beckman and Conover, Technometrics 21, 1979), keyed by its
    path, so an option that changes one device leaves the draws of all others as they are. Below its nominal an
    input is uniform down to its low edge, above it uniform up to its high edge, half of the samples each.
    """

    def __init__(self, count: int, seed: int = 1) -> None:
        self.count = count
        self.seed = seed
        self._known: dict[str, Array] = {}

    def __call__(self, value: Value) -> Values:
        """Nominal value and samples of one input, shape (1 + count,); a float where its band has no width."""
        if value.high <= value.low:
            return value.nominal
        return np.concatenate([[value.nominal], across(value, self.strata(value.path))])

    def strata(self, path: str) -> Array:
        """The draw of one input in 0..1, shape (count,): one value in each of ``count`` strata."""
        if path not in self._known:
            import hashlib  # nothing but samples asks for it, and it takes its time to load

            digest = hashlib.sha256(f"{self.seed}:{path}".encode()).digest()
            # PCG64 and its permutation are seeded by bytes of our own, not by Python's salted hash
            generator = np.random.Generator(np.random.PCG64(int.from_bytes(digest[:16], "little")))
            order = np.argsort(generator.random(self.count), kind="stable")
            self._known[path] = (order + generator.random(self.count)) / self.count
        return self._known[path]


class Edges:
    """One input at a time at the edges of its band: sample 0 nominal, then low and high of every path in turn."""

    def __init__(self, paths: Sequence[str]) -> None:
        self.paths = tuple(paths)
        self._at = {path: 1 + 2 * k for k, path in enumerate(self.paths)}

    def __call__(self, value: Value) -> Values:
        """Shape (1 + 2 paths,); a float where the input is not one of them."""
        at = self._at.get(value.path)
        if at is None or value.high <= value.low:
            return value.nominal
        column = np.full(1 + 2 * len(self.paths), value.nominal)
        column[at], column[at + 1] = value.low, value.high
        return column


class Placed:
    """Chosen places in the bands of some inputs, for calibration: path -> (B,) places, -1 low, 0 nominal, 1 high.

    A place beyond ±1 goes on in a straight line, never below a twentieth of a positive nominal value.
    """

    def __init__(self, places: Mapping[str, Array]) -> None:
        self.places = places

    def __call__(self, value: Value) -> Values:
        """Shape (B,); a float where the input is not one of them."""
        place = self.places.get(value.path)
        if place is None or value.high <= value.low:
            return value.nominal
        # a band that starts at the nominal value still has to move both ways
        half = 0.5 * (value.high - value.low)
        below, above = value.nominal - value.low or half, value.high - value.nominal or half
        made = value.nominal + np.where(place < 0.0, place * below, place * above)
        return np.maximum(made, 0.05 * value.nominal) if value.nominal > 0.0 else made


def across(value: Value, u: Array) -> Array:
    """Values at quantiles ``u`` (0..1) of an input's distribution, same shape."""
    below = value.low + 2.0 * u * (value.nominal - value.low)
    above = value.nominal + (2.0 * u - 1.0) * (value.high - value.nominal)
    return np.where(u < 0.5, below, above)
