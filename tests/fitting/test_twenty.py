"""The promise of the fit on five logs of the trial of twenty (``twenty.py``, seeds 300 to 304), made by ngspice."""

from __future__ import annotations

import pytest
from synthetic import HERE
from twenty import WITHIN, fitted_to, known_of, misses


@pytest.mark.long
@pytest.mark.independent
def test_nine_of_ten_values_lie_within_twice_their_error_and_all_within_three_times() -> None:
    """Nine values of each log, two batteries and two unlike amplifiers; the start within 20 ms."""
    found = []
    for name, known in known_of(HERE).items():
        fit = fitted_to(HERE / f"{name}.csv")
        assert fit.clock.starts == pytest.approx([known.start], abs=0.02)
        found += [abs(miss) / error for miss, error in misses(fit, known).values()]
    assert len(found) == 45
    assert sum(one <= 2.0 for one in found) >= WITHIN * len(found)
    assert max(found) < 3.0
