"""Edges of a band from few samples: a quadratic surrogate in the inputs that matter, played many times.

The edge of a band taken from a hundred samples hangs on five of them. A least-squares fit uses all: the surrogate is
then drawn thousands of times, with the fit's own residuals added, and its quantiles are the edges. It pays where no
sample fails; where some do, the samples themselves are taken.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

MOST_INPUTS = 10  # in the surrogate; with squares 20 coefficients from about a hundred samples
PAIRED = 4  # the strongest of them also act together, two by two
CLEAR = 1.5  # a correlation of so many standard errors (1/sqrt(samples)) lets an input in
DRAWS = 4096
LEAST_SAMPLES = 60
SEED = 20240229


def many(values: Values, inputs: Values) -> Values:
    """Thousands of values that the surrogate of some samples gives, sorted.

    Args:
        values: (B,) of the samples, none missing.
        inputs: (B, K) their draws in 0..1.

    Returns:
        (DRAWS,), or the values themselves sorted where there are too few of them or no input matters.
    """
    count = len(values)
    spread = float(np.std(values))
    if count < LEAST_SAMPLES or spread < 1e-6 or inputs.shape[1] == 0:
        return np.sort(values)
    z = 2.0 * inputs - 1.0
    correlation = np.abs(z.T @ (values - values.mean())) / (count * spread * np.sqrt(1.0 / 3.0))
    order = np.argsort(-correlation, kind="stable")[:MOST_INPUTS]
    chosen = order[correlation[order] > CLEAR / np.sqrt(count)]
    if not chosen.size:
        return np.sort(values)
    terms = _terms(z[:, chosen])
    coefficients, *_ = np.linalg.lstsq(terms, values, rcond=None)
    residual = values - terms @ coefficients
    residual *= np.sqrt(count / max(count - terms.shape[1], 1))  # the fit has taken its part of them
    generator = np.random.Generator(np.random.PCG64(SEED))
    drawn = np.empty((DRAWS, chosen.size))
    for k in range(chosen.size):
        drawn[:, k] = (generator.permutation(DRAWS) + 0.5) / DRAWS
    rest = np.quantile(residual, (generator.permutation(DRAWS) + 0.5) / DRAWS)
    return np.sort(_terms(2.0 * drawn - 1.0) @ coefficients + rest)


def _terms(z: Values) -> Values:
    """Constant, linear, square and paired terms (B, .) of inputs in -1..1."""
    pairs = [z[:, i] * z[:, j] for j in range(min(PAIRED, z.shape[1])) for i in range(j)]
    columns = [np.ones((len(z), 1)), z, z * z - 1.0 / 3.0]
    return np.concatenate([*columns, *(pair[:, None] for pair in pairs)], axis=1)
