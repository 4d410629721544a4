"""What is a meter's fault, not the vehicle's: a factor of ten, a clamp, a saturated channel; and a wrong clock."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from synthetic import CLOCK_S, HERE, TRUE_EFFICIENCY, one_battery, truth

from dossier.assessment.proof.log_columns import Channel, channels_of
from dossier.assessment.proof.meters import unsaturated
from dossier.assessment.proof.predicted import predict
from dossier.buildfile.logs.log import LogColumn, LogError, VoltageLog
from dossier.buildfile.logs.read import read_log
from dossier.equipment.installed import installed, running
from dossier.fitting.calibrate import Fit, calibrate
from dossier.fitting.judgement import NotExplainedError
from dossier.fitting.parameters import Adjusted, parameters_of

Values = np.ndarray
TRUTH_OF = truth()
SOURCE = tuple(
    Channel(LogColumn(target, kind, ()), target, target, kind)
    for target, kind in (
        ("batteries.starter", "voltage"), ("amplifiers.bass", "voltage"), ("supplies.alternator", "current"),
    )
)  # fmt: skip


def log(**changes: object) -> VoltageLog:
    """The log with a clamp; by kind of column, what a fault makes of time and values."""
    kept = read_log((HERE / "current.csv").read_bytes(), "current.csv")
    t = np.array(kept.t)
    columns = []
    for column in kept.columns:
        change = changes.get(column.kind)
        values = np.array(column.values) if change is None else change(t, np.array(column.values))  # type: ignore[operator]
        columns.append(replace(column, values=tuple(values.tolist())))
    return replace(kept, columns=tuple(columns))


def fit(of: VoltageLog, start: float | None = None) -> Fit:
    """The calibration."""
    build = one_battery()
    return calibrate(build, build.load_cases["tone"], of, channels_of(build, of, {}, "x"), start)


def test_a_probe_factor_of_ten_is_named() -> None:
    """A tenth of the vehicle's volts: refused with what it is."""
    with pytest.raises(LogError) as caught:
        channels_of(one_battery(), log(voltage=lambda t, v: 0.1 * v), {}, "x")
    assert "factor of ten" in caught.value.diagnostics[0].fix


@pytest.mark.parametrize("factor", [0.1, 10.0])
def test_a_clamp_in_the_wrong_range_is_named(factor: float) -> None:
    """Ten times the current, or a tenth: no efficiency is made of it."""
    with pytest.raises(NotExplainedError) as caught:
        fit(log(current=lambda t, a: factor * a))
    assert caught.value.diagnostics[0].code == "log-range"


@pytest.mark.independent
@pytest.mark.long
def test_a_clamp_whose_zero_drifts_is_told_and_changes_no_efficiency() -> None:
    """Six amperes off and six more over the log: told; the efficiency comes out as without."""
    found = fit(log(current=lambda t, a: a + 6.0 + 0.4 * t))
    assert any("zero of the clamp" in remark for remark in found.remarks)
    (efficiency,) = (one for one in found.results if one.parameter.id == "efficiency.bass")
    assert 1.0 + efficiency.theta == pytest.approx(TRUE_EFFICIENCY, rel=0.02)
    assert fit(log()).remarks == ()


def source_log(zero: float, wander: float) -> VoltageLog:
    """Both voltages and a clamp on the alternator, of the vehicle with the truths of ``synthetic``, by our own run."""
    build, t = one_battery(), np.arange(-4.0, 13.0, 0.1)
    case = build.load_cases["tone"]
    parts, run = installed(build), running(build, case.engine)
    parameters = parameters_of(build, parts, run, case, SOURCE)
    theta = [TRUTH_OF.get(p.id, 0.0 if p.shifts else 1.0) - (0.0 if p.shifts else 1.0) for p in parameters]
    made = predict(build, parts, run, case, SOURCE, Adjusted(parameters, np.array([theta]))).logged(t, 0.1)[:, 0, :]
    made += np.random.default_rng(3).normal(0.0, 1.0, made.shape) * (0.01, 0.01, 1.0)
    made[:, 2] += zero + wander * t
    columns = tuple(replace(c.column, values=tuple(v.tolist())) for c, v in zip(SOURCE, made.T, strict=True))
    return VoltageLog(tuple((t + 4.0).tolist()), columns, "")


def test_the_zero_of_a_clamp_on_the_alternator_changes_no_output() -> None:
    """Seven amperes off and 0.4 A/s: the output comes out as true within three times its error, as without."""
    for zero, wander in ((0.0, 0.0), (7.0, 0.4)):
        of = source_log(zero, wander)
        channels = [replace(c, column=column) for c, column in zip(SOURCE, of.columns, strict=True)]
        build = one_battery()
        found = {one.parameter.id: one for one in calibrate(build, build.load_cases["tone"], of, channels, 4.0).results}
        output = found["output.alternator"]
        assert abs(output.theta - (TRUTH_OF["output.alternator"] - 1.0)) < 3.0 * output.sd
        assert output.sd < 0.03


def test_a_saturated_channel_is_told_and_its_rows_left_out() -> None:
    """A channel cut off at 13.2 V stands there while it jitters elsewhere; one that is only steady is left alone."""
    build = one_battery()
    cut = channels_of(build, log(voltage=lambda t, v: np.maximum(v, 13.2)), {}, "x")
    found = [unsaturated(c) for c in cut]
    assert ["saturated" in words for _, words in found] == [True, True, False]
    assert np.isnan(found[0][0].column.values).sum() > 50
    assert all(words == "" for _, words in map(unsaturated, channels_of(build, log(), {}, "x")))


@pytest.mark.long
def test_a_wrong_clock_writes_nothing_and_names_the_right_one() -> None:
    """A start stated three seconds late: refused, with the start that the log itself shows."""
    with pytest.raises(NotExplainedError) as caught:
        fit(log(), CLOCK_S - 2.42 + 3.0)
    assert caught.value.diagnostics[0].code == "fit-not-explained"
    assert f"{CLOCK_S - 2.42:.2f} s into the log" in caught.value.diagnostics[0].headline


@pytest.mark.long
def test_values_that_contradict_the_rest_before_the_sound_are_refused() -> None:
    """Before the sound the battery shows 0.2 V less than the amplifier, at rest: no charging voltage explains both."""
    of, start = log(), CLOCK_S - 2.42
    battery = of.columns[0]
    lower = np.where(np.array(of.t) < start - 0.1, np.array(battery.values) - 0.2, battery.values)
    with pytest.raises(NotExplainedError) as caught:
        fit(replace(of, columns=(replace(battery, values=tuple(lower.tolist())), *of.columns[1:])), start)
    told = caught.value.diagnostics[0]
    assert told.code == "fit-contradicts-rest"
    assert "before the sound starter shows" in told.headline
    assert "charging voltage" in told.headline
