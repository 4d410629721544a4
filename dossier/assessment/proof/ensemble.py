"""What readings say of samples played before they were known: the linear ensemble update.

Kalman gain from sample covariances, observations perturbed by the meters' errors (Evensen, J. Geophysical Research 99,
1994; Burgers, van Leeuwen and Evensen, Monthly Weather Review 126, 1998; neither checked against the document). Exact
for linear circuits and normal errors; tests hold it to that closed form.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from dossier.frozen import dataclass

Values = NDArray[np.float64]

SEED: Final = 7
LEAST_SAMPLES: Final = 60
# 99 % points of chi-square with 1, 2, ... degrees of freedom (a table of every statistics handbook; tests: scipy)
CHI2_99: Final = (6.63, 9.21, 11.34, 13.28, 15.09, 16.81, 18.48, 20.09, 21.67, 23.21)
MOST: Final = len(CHI2_99)  # readings at once: ten samples at least for each


@dataclass(frozen=True, slots=True)
class Ensemble:
    """Readings of one installation against their predictions in N samples."""

    predicted: Values  # (N, K) what each sample says that each reading would be [V or A]
    read: Values  # (K,) what was read
    errors: Values  # (K, K) covariance of the meters' errors
    misfit: float  # d2, squared distance of the readings from all samples together, chi-square with K if they belong
    apart: Values  # (K,) each reading against all others, about standard normal

    @property
    def limit(self) -> float:
        """The misfit over which no sample explains the readings together."""
        return CHI2_99[len(self.read) - 1]

    @property
    def explained(self) -> bool:
        """Whether the samples can be told by the readings."""
        return self.misfit <= self.limit

    @property
    def stretch(self) -> float:
        """By how much deviations grow: for K gains fitted on N samples, and for scatter beyond that of the meters."""
        n, k = self.predicted.shape
        return float(np.sqrt((n - 1) / (n - 1 - k) * max(1.0, self.misfit / k)))

    def told(self, values: Values) -> Values:
        """The values (..., N) of any quantity in the same samples, as the readings tell them; NaN stays NaN."""
        known = ~np.isnan(values)
        count = np.maximum(known.sum(-1, keepdims=True), 2)
        mean = np.where(known, values, 0.0).sum(-1, keepdims=True) / count
        moved = values + np.where(known, values - mean, 0.0) @ self._gains() / (count - 1) @ self._misses().T
        centre = np.where(known, moved, 0.0).sum(-1, keepdims=True) / count
        updated: Values = centre + self.stretch * (moved - centre)
        return updated

    def closed(self, values: Values) -> tuple[float, float, float]:
        """Mean, sd before and sd after of values (N,), none missing, by the closed form."""
        n = len(values)
        deviation = values - values.mean()
        gain = deviation @ self._gains() / (n - 1)
        before = float(deviation @ deviation) / (n - 1)
        shared = deviation @ (self.predicted - self.predicted.mean(0)) / (n - 1)
        after = max(before - float(gain @ shared), 0.0)
        mean = float(values.mean() + gain @ (self.read - self.predicted.mean(0)))
        return mean, float(np.sqrt(before)), self.stretch * float(np.sqrt(after))

    def _gains(self) -> Values:
        """(N, K): (R - mean R) (C_RR + S)^-1, so that a target's deviations times it are its gains times N - 1."""
        centred = self.predicted - self.predicted.mean(0)
        made: Values = centred @ _inverse(_covariance(self.predicted) + self.errors)
        return made

    def _misses(self) -> Values:
        """(N, K): the readings, perturbed by the meters' errors, less what each sample says.

        The perturbations have exactly the mean, the covariance and the lack of correlation with the samples that they
        stand for, so that mean and spread of what is told are those of the closed form.
        """
        n, k = self.predicted.shape
        drawn = np.random.Generator(np.random.PCG64(SEED)).standard_normal((n, k))
        others = np.column_stack([np.ones(n), self.predicted / self.predicted.std(0).clip(1e-12)])
        drawn -= others @ np.linalg.lstsq(others, drawn, rcond=None)[0]
        drawn = drawn @ np.linalg.inv(np.linalg.cholesky(_covariance(drawn))).T
        return self.read + drawn @ np.linalg.cholesky(self.errors).T - self.predicted


def ensemble(predicted: Values, read: Values, errors: Values) -> Ensemble:
    """Readings against samples.

    Args:
        predicted: (N, K), K at most ``MOST`` and N at least ``LEAST_SAMPLES``.
        read: (K,).
        errors: (K, K), positive definite.
    """
    n, k = predicted.shape
    inverse = _inverse(_covariance(predicted) * (n - 1) / (n - k - 2) + errors)
    off = inverse @ (read - predicted.mean(0))
    misfit = float((read - predicted.mean(0)) @ off)
    return Ensemble(predicted, read, errors, misfit, off / np.sqrt(np.diag(inverse)))


def left_after(predicted: Values, target: Values, errors: Values) -> float:
    """Spread of a target (N,) that readings of (N, K) would leave, as a share of today's: before any is taken."""
    made = ensemble(predicted, predicted.mean(0), errors)
    _, before, after = made.closed(target)
    return after / before if before > 0.0 else 1.0


def _covariance(values: Values) -> Values:
    """(K, K) of (N, K)."""
    centred = values - values.mean(0)
    made: Values = centred.T @ centred / (len(values) - 1)
    return made


def _inverse(c: Values) -> Values:
    """Of a covariance, scaled by its diagonal first: volts, amperes and millivolts stand in it together."""
    d = np.sqrt(np.diag(c))
    made: Values = np.linalg.inv(c / np.outer(d, d)) / np.outer(d, d)
    return made
