"""Two batteries and two unlike amplifiers from one log of ngspice: 10 Hz, noise, drift, clamps whose zero wanders.

The log is of the network of ``data/two_of_each.yaml`` with the truths below (``synthetic.played``), means of 0.1 s.
Added are 30 mV and 1 A of noise, a drift of 1 mV/s, 5 mV of a voltmeter and 2 A of a clamp (standard deviations).
"""

from __future__ import annotations

import pytest
from synthetic import HERE

from dossier.assessment.proof.log_columns import channels_of
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.reader import read_build
from dossier.fitting.calibrate import calibrate

START_S = 14.095
TRUTH = {
    "battery.starter": 1.2, "battery.rear": 0.85, "wiring": 1.3, "surface.starter": 0.9, "output.alternator": 0.93,
    "set_point.alternator": -0.1, "efficiency.bass": 0.92, "efficiency.mid": 1.08,
}  # fmt: skip


@pytest.mark.independent
@pytest.mark.long
def test_each_is_recovered_within_three_times_its_error() -> None:
    """Both resistances, the wiring, the set-point and each amplifier's own efficiency; the start within 20 ms."""
    build = read_build(HERE / "two_of_each.yaml")
    log = read_log((HERE / "two_of_each.csv").read_bytes(), "x")
    fit = calibrate(build, build.load_cases["tone"], log, channels_of(build, log, {}, "x"))
    assert fit.adequate
    assert fit.clock.starts == pytest.approx([START_S], abs=0.02)
    for one in fit.results:
        truth = TRUTH.get(one.parameter.id, 0.0 if one.parameter.shifts else 1.0)
        assert abs(one.theta - (truth if one.parameter.shifts else truth - 1.0)) < 3.0 * one.sd, one.parameter.id
    found = {one.parameter.id: one.theta for one in fit.results}
    assert found["efficiency.bass"] == pytest.approx(-0.08, abs=0.01)
    assert found["efficiency.mid"] == pytest.approx(0.08, abs=0.02)
