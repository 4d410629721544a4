"""Many samples at once: each as if it ran alone, whatever happens to the others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from reference_circuits import Case, load

from dossier.circuit import elements as el
from dossier.circuit.network import Network
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.outcome import Ending
from dossier.circuit.programme import tone
from dossier.circuit.settings import Settings, for_batch
from dossier.circuit.transient import simulate

SAMPLES = 6


def varied(name: str, seed: int = 1, count: int = SAMPLES) -> dict[str, dict[str, el.Values]]:
    """Element id -> fields, uniformly spread as the inputs of a build typically are."""
    rng = np.random.default_rng(seed)

    def spread(value: float, share: float) -> el.Array:
        return value * (1.0 + rng.uniform(-share, share, count))

    changes: dict[str, dict[str, el.Values]] = {}
    for raw in load(name).spec["elements"]:
        if raw["type"] == "battery":
            changes[raw["id"]] = {
                "r0": spread(raw["r0"], 0.3),
                "r1": spread(raw["r1"], 0.3),
                "cs": spread(raw["cs"], 0.5),
            }
        elif raw["type"] == "resistor":
            changes[raw["id"]] = {"ohms": spread(raw["r"], 0.25)}
        elif raw["type"] == "alternator":
            changes[raw["id"]] = {"imax": spread(raw["imax"], 0.15), "vset": spread(raw["vset"], 0.014)}
        elif raw["type"] == "amp" and raw["alpha"] == 0.0:
            changes[raw["id"]] = {"ask_w": spread(raw["p_out"], 0.1), "efficiency": spread(raw["eta"], 0.08)}
    return changes


def single(name: str, changes: dict[str, dict[str, el.Values]], k: int) -> Case:
    """Sample k alone."""
    return load(name, {i: {f: float(np.asarray(v)[k]) for f, v in c.items()} for i, c in changes.items()})


@pytest.mark.long
@pytest.mark.parametrize(
    ("name", "ripple"),
    [
        pytest.param("d_long", False, marks=pytest.mark.long),
        ("d_long", True),
        pytest.param("e_burst", False, marks=pytest.mark.long),
        pytest.param("d_burst", True, marks=pytest.mark.long),
    ],
)
def test_a_sample_is_the_single_run(name: str, ripple: bool) -> None:
    """At its own points, each sample of a batch has the mean and the trough of the run on its own, to 2 mV."""
    changes = varied(name)
    batch = load(name, changes)
    settings = replace(for_batch(ripple), tol_v=3e-4, collapse_s=1e-3)
    many = simulate(batch.network, batch.programme, settings=settings)
    fine = Settings(ripple=ripple, max_step=0.02)
    for k in (0, 5):
        alone = simulate(single(name, changes, k).network, batch.programme, settings=fine)
        assert np.isnan(alone.ended[0]) == np.isnan(many.ended[k])
        end = min(alone.t[-1], np.nanmin([many.ended[k], many.t[-1]]) - 0.01)
        inside = (many.t <= end) & ~near_edges(many.t, batch)
        for port in ("AMP1", "AMP2", "BASE"):
            for of_many, of_one in (
                (many.voltage(port).mean[:, k], alone.voltage(port).mean[:, 0]),
                (many.voltage(port).trough[:, k], alone.voltage(port).trough[:, 0]),
            ):
                there = np.interp(many.t[inside], alone.t, of_one)
                assert np.abs(of_many[inside] - there).max() < 2e-3, (k, port)


def near_edges(t: el.Array, case: Case) -> el.Mask:
    """Times within 2 ms of a vertex of the programme, where straight lines between points differ."""
    near: el.Mask = (np.abs(t[:, None] - case.programme.times) < 2e-3).any(1) & ~np.isin(t, case.programme.times)
    return near


def test_batch_settings_keep_the_minimum() -> None:
    """With the coarser settings for bands the lowest mean and trough of each sample stay within 5 mV."""
    changes = varied("d_long")
    batch = load("d_long", changes)
    many = simulate(batch.network, batch.programme, settings=for_batch())
    fine = simulate(batch.network, batch.programme)
    held = np.isnan(fine.ended)
    assert held.any()
    assert np.array_equal(held, np.isnan(many.ended))
    for pick in ("mean", "trough"):
        a, b = (np.nanmin(getattr(run.voltage("AMP2"), pick), axis=0)[held] for run in (many, fine))
        assert np.abs(a - b).max() < 5e-3


def test_collapse_of_one_sample_leaves_the_others_alone() -> None:
    """Samples that collapse give no value from that instant on; the others go on to the end unchanged."""
    watts = np.array([2240.0, 1500.0, 2400.0, 1200.0])
    case = load("f1", {"AMP": {"ask_w": watts}})
    run = simulate(case.network, case.programme, settings=for_batch(), initial=case.initial)
    assert np.isnan(run.ended).tolist() == [False, True, False, True]
    for k, power in enumerate(watts):
        alone_case = load("f1", {"AMP": {"ask_w": power}})
        alone = simulate(alone_case.network, alone_case.programme, initial=alone_case.initial)
        amp = run.voltage("AMP").mean[:, k]
        if np.isnan(run.ended[k]):
            assert np.isfinite(amp).all()
            assert amp[-1] == pytest.approx(alone.voltage("AMP").mean[-1, 0], abs=2e-3)
            assert run.charge["BAT"][k] == pytest.approx(alone.charge["BAT"][0], rel=1e-4)
        else:
            assert run.ended[k] == pytest.approx(alone.ended[0], abs=0.02)
            assert np.isnan(amp[run.t >= run.ended[k]]).all()
            assert np.isfinite(amp[run.t < run.ended[k] - 0.01]).all()
            assert run.charge["BAT"][k] == pytest.approx(alone.charge["BAT"][0], rel=2e-3)
        assert run.outcomes["AMP"][k].ending is alone.outcomes["AMP"][0].ending


def test_scalars_serve_all_samples() -> None:
    """A network of floats is one sample; one array makes all of its length, and lengths may not differ."""
    assert load("d_long").network.samples == 1
    assert load("d_long", {"BAT_F": {"r0": np.full(7, 0.0045)}}).network.samples == 7
    with pytest.raises(ValueError, match="different lengths"):
        load("d_long", {"BAT_F": {"r0": np.full(7, 0.0045)}, "BAT_R": {"r0": np.full(3, 0.0045)}})


def test_all_samples_may_collapse() -> None:
    """A batch in which nothing survives ends early, with an outcome for each sample."""
    case = load("f1", {"AMP": {"ask_w": np.array([2240.0, 2300.0])}})
    run = simulate(case.network, case.programme, settings=for_batch(), initial=case.initial)
    assert run.t[-1] < 20.0
    assert {o.ending for o in run.outcomes["AMP"]} == {Ending.FALLS_BELOW_LOWEST}


def test_one_sample_of_a_one_element_array() -> None:
    """An array with one value is a single sample, the same as the float."""
    case = load("a1", {"BAT": {"r0": np.array([0.006])}})
    assert isinstance(case.network, Network)
    run = simulate(case.network, case.programme, initial=case.initial)
    assert run.voltage("AMP").mean[-1, 0] == pytest.approx(11.78145, abs=1e-5)


@pytest.mark.analytic
def test_a_converter_settles_on_its_battery_in_every_sample() -> None:
    """Behind a converter every battery of 200 rests at the current that its own resistances allow, to 1 mA."""
    generator = np.random.default_rng(3)

    def between(low: float, high: float) -> np.ndarray:
        return generator.uniform(low, high, 200)

    rear = el.Battery(
        "B", "out", "gnd", between(12.4, 12.8), between(2e-3, 4e-3), between(1e-3, 3e-3), between(5e3, 5e4),
        rs_dis=1e-3, rs_chg=between(0.2, 0.7), cs=between(300.0, 900.0),
    )  # fmt: skip
    front = el.Battery("S", "in", "gnd", between(12.5, 12.7), between(3e-3, 6e-3))
    set_point, slope = between(13.9, 14.5), between(1e-3, 2e-3)
    converter = el.Converter("D", "in", "out", "gnd", set_point, slope, 50.0, 0.88, between(10.8, 11.5))
    run = simulate(Network([front, rear, converter]), tone(0.5, None))
    charging = (set_point - rear.e0) / (slope + rear.r0 + rear.r1 + rear.rs_chg)
    assert np.allclose(run.current("B").mean[0], charging, atol=1e-3)


def test_a_network_that_does_not_settle_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where Newton's method is stopped too early, there is an error and no run that starts from anywhere."""
    monkeypatch.setattr("dossier.circuit.newton.MOST_ITERATIONS", 1)
    with pytest.raises(ConvergenceError):
        simulate(load("d_long").network, tone(0.5, None))
