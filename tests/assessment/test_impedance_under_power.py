"""Impedance of loudspeakers under power: an input like others, assumed on the safe side where nobody states it."""

from __future__ import annotations

import numpy as np
import pytest
from small_builds import build_of

from dossier.assessment.assess import assess_nominal
from dossier.assessment.inputs import inputs_of
from dossier.assessment.options.sensitivity import sensitivity
from dossier.circuit.sampler import Edges
from dossier.electrical.amplifiers import available_power, power_into
from dossier.equipment.installed import installed
from dossier.results.sag import Kept, LimitCheck

RISE = "speakers.sub.impedance_rise"


@pytest.mark.practice
def test_unstated_it_is_assumed_with_a_band_above_one() -> None:
    """Nominal load as the value, up to twice it in the band, and said to have no source."""
    listed = next(i for i in inputs_of(installed(build_of()), {}) if i.path == RISE)
    assert (listed.basis, listed.value, listed.low, listed.high) == ("assumed", "1", "1", "2")
    assert listed.source == "common practice, no source"


@pytest.mark.analytic
def test_output_falls_as_the_load_rises() -> None:
    """At constant voltage P = V²/Z: 500 W at the 2 ohm of the rating are 250 W at twice that; nominal is untouched."""
    amplifier = installed(build_of()).amplifiers["amp"]
    nominal, low, high = amplifier.rated_output(Edges((RISE,)))
    assert (nominal, low, high) == pytest.approx((500.0, 500.0, 250.0))
    assert amplifier.rated_output() == amplifier.output.nominal == 500.0


@pytest.mark.analytic
def test_one_law_for_numbers_and_samples() -> None:
    """Between two ratings it is linear in 1/Z, and an array gives what its numbers give."""
    ratings = ((4.0, 300.0), (2.0, 500.0))
    loads = np.array([2.0, 2.5, 4.0, 8.0])
    assert power_into(ratings, loads) == pytest.approx([available_power(ratings, z) for z in loads])
    assert power_into(ratings, 8.0 / 3.0) == pytest.approx(400.0)  # half way between 1/4 and 1/2 S


def test_conductors_and_fuses_are_judged_at_the_nominal_load() -> None:
    """Silence and a stated 1.0 say the same of every conductor and fuse; a stated rise draws less."""
    silent = assess_nominal(build_of())
    at_one = assess_nominal(build_of({"speakers": {"sub": {"impedance_rise": 1}}}))
    risen = assess_nominal(build_of({"speakers": {"sub": {"impedance_rise": 1.6}}}))
    asked = [[fuse.needed for row in r.schedule for fuse in row.fuses] for r in (silent, at_one, risen)]
    assert asked[0] == asked[1]
    assert asked[2][0] < asked[0][0]


def test_it_moves_the_voltage_and_can_be_measured() -> None:
    """Volts and amperes at the amplifier's output are named among what to measure."""
    build = build_of()
    found = sensitivity(build, installed(build), assess_nominal(build))
    assert found is not None
    effect = next(e for e in found.effects if e.path == RISE)
    assert effect.at_low == 0.0
    assert effect.at_high is not None
    assert effect.at_high > 0.0
    assert "AC volts over AC amperes" in effect.how


@pytest.mark.parametrize(
    ("holds", "share", "kept"),
    [
        (True, 0.2, Kept.NOMINAL),
        (False, 0.95, Kept.SAMPLES),
        (False, 0.94, Kept.NOT),
        (False, None, Kept.NOT),
    ],
)
def test_a_limit_counts_as_kept_by_nominal_values_or_by_the_samples(
    holds: bool, share: float | None, kept: Kept
) -> None:
    """And which of the two is said."""
    assert LimitCheck("mean", 12.0, 12.1 if holds else 11.9, holds, share).kept is kept


@pytest.mark.practice
@pytest.mark.parametrize(("coil", "asked"), [("4 ohm", True), ("2 ohm", False)])
def test_a_rating_that_may_be_of_one_channel_is_asked_about(coil: str, asked: bool) -> None:
    """Four doors of 4 ohm on a data sheet of 4 ohm: each on its own channel suits it, all side by side do not."""
    doors = {"sub": {"coil_impedance": coil, "drivers": 4, "drivers_in": "parallel"}}
    rated = {"amp": {"rated": {"2 ohm": None, "4 ohm": "400 W"}}}
    results = assess_nominal(build_of({"amplifiers": rated, "speakers": doors}))
    found = next(f for f in results.findings if f.path == "amplifiers.amp.rated" and "rated down to 4" in f.headline)
    assert ("if the rating is that of one channel" in found.headline) is asked
