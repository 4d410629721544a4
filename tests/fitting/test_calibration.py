"""Calibration from a log made by ngspice: what is recovered, what is predicted, what is written."""

from __future__ import annotations

import shutil
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from synthetic import CLOCK_S, HERE, NOISE_V, TRUE_SET_POINT_SHIFT, TRUTH, as_csv, means, one

from dossier.assessment.proof.log_columns import Channel, channels_of
from dossier.assessment.proof.meters import noise_of
from dossier.assessment.proof.predicted import predict
from dossier.buildfile.logs.log import LogError, VoltageLog
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.model import Basis, Build
from dossier.buildfile.reader import read_build, read_build_text
from dossier.circuit.sampler import nominal
from dossier.cli.fit import fit as fit_command
from dossier.equipment.installed import installed, running
from dossier.fitting.calibrate import Fit, calibrate
from dossier.fitting.edit import edited, entries
from dossier.fitting.judgement import NotExplainedError
from dossier.fitting.parameters import Adjusted, parameters_of


@cache
def build() -> Build:
    """The build the log belongs to."""
    return read_build(HERE / "one_battery.yaml")


@cache
def log() -> VoltageLog:
    """The recorded log: ngspice 39, ripple resolved, 10 mV noise; see synthetic.py."""
    return read_log((HERE / "run.csv").read_bytes(), "run.csv")


def channels(of: VoltageLog) -> tuple[Channel, ...]:
    """Battery and amplifier, matched by the names of the columns."""
    return channels_of(build(), of, {}, "run.csv")


@cache
def fit() -> Fit:
    """The calibration."""
    return calibrate(build(), build().load_cases["tone"], log(), channels(log()))


@pytest.mark.independent
def test_true_inputs_predict_the_ngspice_run() -> None:
    """With the true inputs the prediction lies within 3 mV rms of the recorded run, noise taken off."""
    case = build().load_cases["tone"]
    parts, run = installed(build()), running(build(), case.engine)
    parameters = parameters_of(build(), parts, run, case, channels(log()))
    theta = np.array([[TRUE_SET_POINT_SHIFT if p.shifts else TRUTH[p.id] - 1.0 for p in parameters]])
    made = predict(build(), parts, run, case, channels(log()), Adjusted(parameters, theta))
    t = np.array(log().t) + 2.42 - CLOCK_S  # the log's first row is at 2.42 s of its own clock
    model = made.logged(t, 0.05)[:, 0, :]
    for k, column in enumerate(log().columns):
        rest = np.array(column.values) - model[:, k]
        # the mean of 298 rows of 10 mV noise is known to 0.6 mV
        # the deck draws the own load as a constant current, ours rises with voltage: some millivolts
        assert abs(float(rest.mean())) < 0.005
        assert float(np.sqrt(np.mean(rest**2))) < 1.3 * NOISE_V


@pytest.mark.independent
def test_resistances_are_recovered_within_two_percent() -> None:
    """Battery and wiring resistance within 2 % of the truth of the ngspice run, and within the stated uncertainty."""
    found = {one.parameter.id: one for one in fit().results}
    for name in ("battery.starter", "wiring"):
        one = found[name]
        assert (1.0 + one.theta) / TRUTH[name] == pytest.approx(1.0, abs=0.02)
        assert abs(one.theta - (TRUTH[name] - 1.0)) < 3.0 * one.sd
    assert found["surface.starter"].theta == pytest.approx(TRUTH["surface.starter"] - 1.0, abs=0.02)
    assert found["output.alternator"].theta == pytest.approx(TRUTH["output.alternator"] - 1.0, abs=0.01)
    assert found["set_point.alternator"].theta == pytest.approx(TRUE_SET_POINT_SHIFT, abs=0.02)


def test_the_fit_says_how_good_it_is() -> None:
    """The residual falls to the noise, the noise is found, the clock too, and the model form is adequate."""
    assert fit().rms_before > 0.1
    assert fit().rms < 1.3 * NOISE_V
    assert fit().noise == pytest.approx(NOISE_V, rel=0.2)
    assert fit().clock.starts[0] == pytest.approx(CLOCK_S - 2.42, abs=0.02)
    assert fit().adequate


def test_without_a_current_the_efficiency_is_left_alone() -> None:
    """No parameter of the amplifiers is fitted from voltages alone; with a current the efficiency is."""
    assert not any(one.parameter.id.startswith("efficiency") for one in fit().results)
    case = build().load_cases["tone"]
    current = Channel(log().columns[0], "amplifiers.bass", "bass", "current")
    made = parameters_of(build(), installed(build()), running(build(), case.engine), case, [current])
    assert any(p.id == "efficiency.bass" for p in made)


@pytest.mark.independent
def test_one_voltage_alone_leaves_battery_and_wiring_tangled() -> None:
    """With only the amplifier's voltage the fit warns that battery and wiring cannot be told apart."""
    only = channels(log())[1:]
    found = calibrate(build(), build().load_cases["tone"], log(), only)
    assert any("internal resistance" in a + b and "wiring" in a + b for a, b, _ in found.correlated)


@pytest.mark.parametrize(("bend", "code"), [(0.05, ""), (0.3, "fit-not-explained")])
@pytest.mark.long
def test_a_wrong_model_is_called_not_adequate_or_refused(bend: float, code: str) -> None:
    """A log whose battery voltage swings as no input could make it: a little is told as such, much is no fit."""
    t = np.array(log().t)
    bent = tuple(v + bend * np.sin(1.5 * x) for v, x in zip(log().columns[0].values, t, strict=True))
    columns = (type(log().columns[0])("starter", "voltage", bent), log().columns[1])
    swinging = VoltageLog(log().t, columns, "")
    if not code:
        assert not calibrate(build(), build().load_cases["tone"], swinging, channels(swinging), CLOCK_S - 2.42).adequate
        return
    with pytest.raises(NotExplainedError) as caught:
        calibrate(build(), build().load_cases["tone"], swinging, channels(swinging), CLOCK_S - 2.42)
    assert caught.value.diagnostics[0].code == code


def test_the_written_build_holds_the_fitted_values_and_nothing_else_changes() -> None:
    """Fitted values carry their basis; comments, order and every other line stay as they are."""
    text = edited(build(), entries(build(), fit().results), "note")
    made = read_build_text(text, "fitted", "fitted.yaml")
    resistance = made.batteries["starter"].internal_resistance
    assert resistance is not None
    assert resistance.basis is Basis.FITTED
    assert resistance.si == pytest.approx(4e-3 * TRUTH["battery.starter"], rel=0.02)
    assert made.cables["feed"].resistance is not None
    assert b"# at the battery" in text
    old, new = build().text.splitlines(), text.splitlines()
    assert sum(line in new for line in old) >= len(old) - 4
    case = made.load_cases["tone"]
    again = predict(made, installed(made), running(made, case.engine), case, channels(log()), nominal)
    rest = np.array(log().columns[1].values) - again.logged(np.array(log().t) + fit().clock.offset, 0.05)[:, 0, 1]
    assert float(np.sqrt(np.mean(rest**2))) < 0.03  # the edges, where the clock counts, included


def test_the_command_never_overwrites(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An output that exists is refused with exit code 3 before anything is computed; the original stays."""
    path = tmp_path / "car.yaml"
    path.write_bytes(build().text)
    taken = tmp_path / "car-fitted.yaml"
    taken.write_text("mine")
    assert fit_command(path, HERE / "run.csv") == 3
    assert taken.read_text() == "mine"
    assert path.read_bytes() == build().text
    assert "output-exists" in capsys.readouterr().err


def test_a_log_that_does_not_move_is_refused() -> None:
    """A flat log says nothing of a resistance: it is refused, nothing is made up from it."""
    flat = replace(log(), columns=tuple(replace(c, values=tuple(12.4 for _ in c.values)) for c in log().columns))
    with pytest.raises(LogError, match=r"move by 0\.00 V") as told:
        calibrate(build(), build().load_cases["tone"], flat, channels(flat))
    assert told.value.diagnostics[0].code == "log-does-not-move"


def test_a_value_swallowed_by_its_error_is_not_told() -> None:
    """A resistance whose error is larger than itself is left as it was."""
    one = next(r for r in fit().results if not r.parameter.shifts)
    assert replace(one, theta=-0.95, sd=0.5 * one.parameter.sd).told is False


def test_noise_is_found_under_a_slope() -> None:
    """Second differences give the noise of a falling voltage within 15 %."""
    values = 13.0 - np.linspace(0.0, 2.0, 2000) + np.random.default_rng(1).normal(0.0, 0.02, 2000)
    column = type(log().columns[0])("u", "voltage", tuple(values))
    assert noise_of(column) == pytest.approx(0.02, rel=0.15)


@pytest.mark.long
@pytest.mark.independent
@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_the_recorded_log_is_what_ngspice_gives() -> None:
    """The log can be made again, within 3 mV."""
    again = read_log(as_csv(means(one())).encode(), "again")
    for old, new in zip(log().columns, again.columns, strict=True):
        assert np.max(np.abs(np.array(old.values) - np.array(new.values))) < 0.003


@pytest.mark.long
def test_what_cannot_be_is_not_written() -> None:
    """A clamp that shows a fifth of the current would need an efficiency above 100 %: refused, with what to check."""
    table = log_with_current()
    wrong = replace(
        table,
        columns=tuple(
            replace(c, values=tuple(0.2 * v for v in c.values)) if c.kind == "current" else c for c in table.columns
        ),
    )
    with pytest.raises(LogError) as caught:
        calibrate(build(), build().load_cases["tone"], wrong, channels(wrong))
    assert caught.value.diagnostics[0].code == "fit-not-possible"


def log_with_current() -> VoltageLog:
    """The log with a clamp on the feed."""
    return read_log((HERE / "current.csv").read_bytes(), "current.csv")
