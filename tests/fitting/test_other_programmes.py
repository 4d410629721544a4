"""A calibration from one log made by ngspice, tried on what it has not seen, and one with a current clamp."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from synthetic import HERE, REST_S, SAMPLE_S, TRUE_EFFICIENCY, TRUTH

from dossier.assessment.proof.log_columns import channels_of
from dossier.assessment.proof.predicted import predict
from dossier.buildfile.logs.log import VoltageLog
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.model import Basis, Build
from dossier.buildfile.reader import read_build, read_build_text
from dossier.circuit.sampler import nominal
from dossier.equipment.installed import installed, running
from dossier.fitting.calibrate import Fit, calibrate
from dossier.fitting.edit import edited, entries

BURSTS = "signal: {tone: 40 Hz, burst: 0.4 s, every: 0.8 s, for: 10 s}"
FIRST_S = SAMPLE_S - REST_S  # of the run of bursts; a log begins at nought


def log(name: str) -> VoltageLog:
    """A run of ngspice 39, see synthetic.py."""
    return read_log((HERE / f"{name}.csv").read_bytes(), name)


def build() -> Build:
    """What the workshop wrote down."""
    return read_build(HERE / "one_battery.yaml")


@cache
def calibrated(name: str) -> tuple[Fit, Build]:
    """The calibration from a log, and the build file it writes."""
    known = build()
    of = log(name)
    fit = calibrate(known, known.load_cases["tone"], of, channels_of(known, of, {}, name))
    return fit, read_build_text(edited(known, entries(known, fit.results), "fitted"), "fitted", "fitted.yaml")


def misses(of: Build) -> tuple[float, ...]:
    """Rms by which battery and amplifier miss the bursts of ngspice [V]."""
    text = of.text.replace(b"signal: {tone: 40 Hz, for: 10 s}", BURSTS.encode())
    assert BURSTS.encode() in text
    playing = read_build_text(text, "bursts", "bursts.yaml")
    case, true = playing.load_cases["tone"], log("bursts")
    channels = channels_of(playing, true, {}, "bursts")
    made = predict(playing, installed(playing), running(playing, case.engine), case, channels, nominal)
    t = np.array(true.t) + FIRST_S
    inside = (t > 0.0) & (t < 9.5)  # twelve bursts; whether a thirteenth fits exactly is a matter of rounding
    rest = np.array([c.values for c in true.columns]).T - made.logged(t, SAMPLE_S)[:, 0, :]
    return tuple(float(r) for r in np.sqrt(np.mean(rest[inside] ** 2, axis=0)))


@pytest.mark.independent
@pytest.mark.long
def test_a_fit_on_a_tone_predicts_bursts() -> None:
    """Calibrated on ten seconds of tone, means of 0.4 s bursts are met within 20 mV rms; before by more than 50 mV."""
    assert max(misses(build())) > 0.05
    assert max(misses(calibrated("run")[1])) < 0.02


@pytest.mark.independent
@pytest.mark.long
def test_with_a_current_the_efficiency_is_found() -> None:
    """An amplifier of 0.92 times the stated efficiency: found within 2 %, and the resistances beside it."""
    fit, made = calibrated("current")
    found = {one.parameter.id: one for one in fit.results}
    assert 1.0 + found["efficiency.bass"].theta == pytest.approx(TRUE_EFFICIENCY, rel=0.02)
    assert 1.0 + found["battery.starter"].theta == pytest.approx(TRUTH["battery.starter"], rel=0.02)
    assert 1.0 + found["wiring"].theta == pytest.approx(TRUTH["wiring"], rel=0.02)
    assert fit.adequate
    efficiency = made.amplifiers["bass"].efficiency
    assert efficiency is not None
    assert efficiency.basis is Basis.FITTED
