"""The linear ensemble update against its closed form and on made vehicles. Evidence: analytic."""

import numpy as np
import pytest
from scipy import stats

from dossier.assessment.proof.ensemble import CHI2_99, Ensemble, ensemble, left_after

GAINS = np.array([[1.0, 0.5, 0.0, 0.0], [0.0, 1.0, 1.0, 0.0], [0.3, 0.0, 0.0, 1.0]])
ERRORS = np.diag([0.2, 0.3, 0.1]) ** 2
READ = np.array([0.5, -0.4, 0.8])


def _inputs(count: int, seed: int = 3) -> np.ndarray:
    return np.random.default_rng(seed).uniform(-1.0, 1.0, (count, 4))


def _exact(target: np.ndarray) -> tuple[float, float]:
    """Conditional mean and sd of a normal vector, variance 1/3 each."""
    c = GAINS @ GAINS.T / 3.0 + ERRORS
    shared = target @ GAINS.T / 3.0
    gain = shared @ np.linalg.inv(c)
    return float(gain @ READ), float(np.sqrt(target @ target / 3.0 - gain @ shared))


def test_limits_are_the_99_percent_points() -> None:
    """The table is that of the chi-square distribution."""
    assert pytest.approx([stats.chi2.ppf(0.99, k) for k in range(1, 11)], abs=0.006) == CHI2_99


def test_closed_form_of_a_linear_circuit() -> None:
    """Mean and spread are those of the conditional normal; the expected figures by hand."""
    target = np.ones(4)
    mean, sd = _exact(target)
    assert (mean, sd) == pytest.approx((0.801566, 0.316260), abs=1e-6)
    z = _inputs(100_000)
    got = ensemble(z @ GAINS.T, READ, ERRORS).closed(z @ target)
    assert (got[0], got[2]) == pytest.approx((mean, sd), rel=0.01)
    few = _inputs(112)
    near = ensemble(few @ GAINS.T, READ, ERRORS).closed(few @ target)
    assert near[0] == pytest.approx(mean, abs=0.35 * sd)
    assert near[2] == pytest.approx(sd, rel=0.2)


def test_samples_keep_to_the_closed_form() -> None:
    """Updated samples have the mean and the spread of the closed form."""
    z = _inputs(112)
    made = ensemble(z @ GAINS.T, READ, ERRORS)
    target = z @ GAINS[0]  # a target that the readings span
    told = made.told(target)
    mean, _, sd = made.closed(target)
    assert told.mean() == pytest.approx(mean, abs=1e-9)
    assert told.std(ddof=1) == pytest.approx(sd, rel=1e-9)


def test_units_order_and_an_unread_input_change_nothing() -> None:
    """Millivolts for volts, another order: the same; what no reading sees keeps its spread."""
    z = _inputs(112)
    made = ensemble(z @ GAINS.T, READ, ERRORS)
    scale = np.array([1e3, 1.0, 1e-2])
    other = ensemble(z @ GAINS.T * scale, READ * scale, ERRORS * np.outer(scale, scale))
    back = ensemble((z @ GAINS.T)[:, ::-1], READ[::-1], ERRORS[::-1, ::-1])
    target = z.sum(1)
    assert other.closed(target) == pytest.approx(made.closed(target), rel=1e-9)
    assert back.closed(target) == pytest.approx(made.closed(target), rel=1e-9)
    assert other.misfit == pytest.approx(made.misfit, rel=1e-9)
    unread = np.random.default_rng(8).uniform(-1.0, 1.0, 112)
    _, before, after = made.closed(unread)
    assert 0.93 < after / before < 1.07


def test_a_perfect_meter_is_believed_and_a_useless_one_is_not() -> None:
    """No error: every sample says what was read. No end of error: nothing moves."""
    z = _inputs(112)
    seen = z[:, :1]
    sure = ensemble(seen, np.array([0.3]), np.array([[1e-12]]))
    assert sure.told(z[:, 0]) == pytest.approx(0.3, abs=1e-4)
    deaf = ensemble(seen, np.array([0.3]), np.array([[1e12]]))
    got = deaf.told(z[:, 1])
    assert got == pytest.approx(z[:, 1].mean() + deaf.stretch * (z[:, 1] - z[:, 1].mean()), abs=1e-4)


def test_a_common_gain_error_is_not_averaged_away() -> None:
    """Four readings of one meter are no better than its gain."""
    z = _inputs(4000)
    twice = np.column_stack([z[:, 0]] * 4) + 12.0
    noise = np.eye(4) * 0.01**2
    common = noise + 0.05**2
    apart = ensemble(twice, np.full(4, 12.1), noise + 0.05**2 * np.eye(4)).closed(z[:, 0])[2]
    together = ensemble(twice, np.full(4, 12.1), common).closed(z[:, 0])[2]
    assert apart < 0.03 < 0.048 < together


def test_missing_values_stay_missing_and_change_no_other() -> None:
    """A sample that failed says nothing."""
    z = _inputs(112)
    made = ensemble(z @ GAINS.T, READ, ERRORS)
    target = np.stack([z[:, 0], z[:, 1]])
    target[0, 5] = np.nan
    told = made.told(target)
    assert np.isnan(told[0, 5])
    assert np.isnan(told).sum() == 1
    assert told[1] == pytest.approx(made.told(z[:, 1]))


@pytest.mark.parametrize("seed", range(3))
def test_bands_hold_the_truth_as_often_as_they_say(seed: int) -> None:
    """Of 300 made vehicles 84 to 97 in 100 lie within; false alarms at most 2 in 100."""
    rng = np.random.default_rng(100 + seed)
    z = _inputs(112, seed)
    target = np.array([1.0, 1.0, 0.5, 0.2])
    held, alarms, narrow = 0, 0, []
    for _ in range(300):
        truth = rng.uniform(-1.0, 1.0, 4)
        read = GAINS @ truth + rng.multivariate_normal(np.zeros(3), ERRORS)
        made = ensemble(z @ GAINS.T, read, ERRORS)
        mean, before, after = made.closed(z @ target)
        held += abs(truth @ target - mean) <= 1.645 * after
        alarms += not made.explained
        narrow.append(after / before)
    assert 0.84 * 300 <= held <= 0.97 * 300
    assert alarms <= 0.02 * 300
    assert np.mean(narrow) < 0.6


def test_a_wrong_reading_is_told_and_named() -> None:
    """Half a volt off is told, and by name."""
    rng = np.random.default_rng(5)
    z = _inputs(112)
    gains = np.array([[1.0, 0.0, 0.0, 0.0], [1.0, 0.1, 0.0, 0.0], [1.0, 0.0, 0.1, 0.0]])
    small = np.eye(3) * 0.02**2
    found = named = 0
    for _ in range(50):
        read = gains @ rng.uniform(-0.9, 0.9, 4) + rng.normal(0.0, 0.02, 3)
        read[1] += 0.5
        made: Ensemble = ensemble(z @ gains.T, read, small)
        found += not made.explained
        named += int(np.argmax(np.abs(made.apart))) == 1
    assert found >= 48
    assert named >= 48


def test_what_a_reading_would_leave_does_not_hang_on_what_it_reads() -> None:
    """The gain of a reading can be said before it is taken."""
    z = _inputs(112)
    seen, target, error = z[:, :1], z[:, 0] + z[:, 1], np.array([[1e-6]])
    left = left_after(seen, target, error)
    assert left == pytest.approx(ensemble(seen, seen.mean(0), error).closed(target)[2] / target.std(ddof=1))
    assert left == pytest.approx(np.sqrt(0.5), rel=0.15)
