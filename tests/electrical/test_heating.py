"""Cable heating: published free-air tables, anchoring, and independent integrations."""

from __future__ import annotations

from math import log, pi

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from dossier.electrical import transient
from dossier.electrical.fuses import clearing_time
from dossier.electrical.heating import (
    INSULATION_CONDUCTIVITY,
    ThermalCable,
    adiabatic_temperature,
    anchored,
    steady_current,
    steady_temperature,
    surface_coefficient,
    thermal_cable,
    time_constant,
)
from dossier.electrical.refusal import OutsideKnownError
from dossier.reference.ampacity import TABLE5
from dossier.reference.conductors import INSULATION_HEAT, awg_area
from dossier.reference.fuses import BRACKETS


@pytest.mark.published
@pytest.mark.parametrize(
    ("size", "amps"), [(25, 146), (35, 181), (50, 219), (70, 281), (95, 341), (150, 456), (240, 615)]
)
def test_model_against_iec_free_air(size: float, amps: float) -> None:
    """IEC 60364-5-52 Table B.52.10 method G, PVC 70 degC: the unfitted model is within 5 %."""
    assert steady_current(thermal_cable(size * 1e-6), 70) == pytest.approx(amps, rel=0.055)


@pytest.mark.published
@pytest.mark.parametrize(("size", "amps"), [(25, 182), (35, 226), (50, 275), (70, 353)])
def test_model_against_bs_free_air(size: float, amps: float) -> None:
    """BS 7671 Table 4E1A method G, 90 degC: the unfitted model is within 6.5 %."""
    assert steady_current(thermal_cable(size * 1e-6), 90) == pytest.approx(amps, rel=0.065)


@pytest.mark.independent
@pytest.mark.parametrize(
    ("gauge", "insulation", "ambient", "amps"),
    [
        ("16", 105, 30, 28.68), ("4", 105, 30, 170.48), ("0", 105, 30, 317.24), ("0000", 105, 30, 507.43),
        ("4", 105, 50, 146.07), ("4", 60, 30, 106.58),
    ],
)  # fmt: skip
def test_model_against_a_separate_implementation(
    gauge: str, insulation: float, ambient: float, amps: float
) -> None:
    """A separately written code with the same equations finds the same current within 0.5 %."""
    assert steady_current(thermal_cable(awg_area(gauge)), insulation, ambient) == pytest.approx(
        amps, rel=5e-3
    )


@pytest.mark.published
@pytest.mark.parametrize("gauge", ["18", "12", "8", "4", "0", "0000"])
def test_anchored_cable_meets_the_published_current(gauge: str) -> None:
    """At the allowable current of 33 CFR 183.425 the anchored cable has exactly its rated temperature."""
    rated = TABLE5[gauge][4]
    cable = anchored(thermal_cable(awg_area(gauge)), 105, rated)
    assert cable.anchor >= 1.0
    assert steady_temperature(cable, rated) == pytest.approx(105.0, abs=0.01)


@pytest.mark.independent
def test_anchored_overload() -> None:
    """0.8, 1.1, 1.34 and 1.45 times the allowable current: 78, 121, 168, 193 degC, all sizes within 2 K."""
    for gauge in ("8", "4", "0", "0000"):
        rated = TABLE5[gauge][4]
        cable = anchored(thermal_cable(awg_area(gauge)), 105, rated)
        found = [steady_temperature(cable, rated * m) for m in (0.8, 1.1, 1.34, 1.45)]
        assert found == pytest.approx([78, 121, 168, 193], abs=2.0)


@pytest.mark.independent
@pytest.mark.parametrize(
    ("gauge", "seconds"),
    [("18", 57.2), ("12", 106.5), ("8", 171.4), ("4", 284.7), ("0", 483.3), ("0000", 727.7)],
)
def test_time_constants(gauge: str, seconds: float) -> None:
    """Time constants of a separate code, (Cc + 0.93 Ci)/G at 105 and 30 degC, within 1 %."""
    assert time_constant(thermal_cable(awg_area(gauge)), 105) == pytest.approx(seconds, rel=0.01)


def _radial(cable: ThermalCable, current: float, ambient: float, duration: float, shells: int) -> float:
    """Conductor temperature by scipy's stiff integrator on a finer radial mesh, written independently."""
    edges = np.linspace(cable.diameter / 2, cable.outside / 2, shells + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    heat = np.concatenate([[cable.metal_heat], INSULATION_HEAT * pi * (edges[1:] ** 2 - edges[:-1] ** 2)])
    stations = np.concatenate([[edges[0]], middle])
    link = 2 * pi * INSULATION_CONDUCTIVITY / np.log(stations[1:] / stations[:-1])
    last = 2 * pi * INSULATION_CONDUCTIVITY / log(edges[-1] / middle[-1])

    def rate(_: float, t: np.ndarray) -> np.ndarray:
        surface = t[-1]
        for _i in range(20):
            h = surface_coefficient(cable.outside, float(surface), ambient) * pi * cable.outside
            surface = (last * t[-1] + h * ambient) / (last + h)
        flow = np.concatenate([link * (t[:-1] - t[1:]), [last * (t[-1] - surface)]])
        into = np.concatenate([[current**2 * cable.resistance(float(t[0]))], flow[:-1]])
        return np.asarray((into - flow) / heat)

    start = np.full(shells + 1, ambient, dtype=float)
    return float(solve_ivp(rate, (0, duration), start, method="LSODA", rtol=1e-6, atol=1e-5).y[0, -1])


@pytest.mark.independent
@pytest.mark.parametrize(
    ("gauge", "amps", "seconds", "rel"),
    [("16", 25, 120.0, 0.01), ("4", 640, 1.0, 0.05), ("0", 285, 600.0, 0.01)],
)
def test_transient_against_scipy(gauge: str, amps: float, seconds: float, rel: float) -> None:
    """Four shells and implicit Euler against scipy on 24 shells: the rise within 1 %, a 1 s burst within 5 %."""
    cable = thermal_cable(awg_area(gauge))
    ours = transient.run(cable, [(seconds, amps)], 30.0, transient.uniform(30.0)).end.conductor
    assert ours - 30 == pytest.approx(_radial(cable, amps, 30.0, seconds, 24) - 30, rel=rel)


@pytest.mark.independent
@pytest.mark.parametrize(
    ("gauge", "amps", "rises"),
    [
        ("18", 80, [7.8, 17.2, 30.2, 52.0, 110.6, 219.6]), ("12", 180, [2.8, 6.4, 11.9, 21.7, 47.5, 89.9]),
        ("8", 320, [1.4, 3.4, 6.5, 12.2, 27.4, 51.3]), ("0", 1140, [0.5, 1.1, 2.2, 4.4, 10.4, 19.8]),
    ],
)  # fmt: skip
def test_bursts_against_a_partial_differential_equation(gauge: str, amps: float, rises: list[float]) -> None:
    """Rise at 4 times the allowable current after 0.2 to 10 s, 40-shell solution: within 5 % or 0.1 K, never under."""
    cable = thermal_cable(awg_area(gauge))
    for seconds, rise in zip((0.2, 0.5, 1.0, 2.0, 5.0, 10.0), rises, strict=True):
        found = transient.run(cable, [(seconds, amps)], 30.0, transient.uniform(30.0)).end.conductor - 30.0
        assert found == pytest.approx(rise, rel=0.05, abs=0.1)


@pytest.mark.independent
@pytest.mark.parametrize(
    ("gauge", "amps", "temperatures"),
    [("16", 25, [47.8, 60.2, 74.8, 85.8, 86.7, 86.8]), ("0000", 445, [32.1, 33.9, 37.4, 46.9, 59.4, 81.8])],
)
def test_steps_against_a_partial_differential_equation(
    gauge: str, amps: float, temperatures: list[float]
) -> None:
    """Step to the allowable current, 30 to 1800 s, radial solution by scipy BDF: within 0.5 K."""
    cable = thermal_cable(awg_area(gauge))
    for seconds, expected in zip((30, 60, 120, 300, 600, 1800), temperatures, strict=True):
        found = transient.run(cable, [(seconds, amps)], 30.0, transient.uniform(30.0)).end.conductor
        assert found == pytest.approx(expected, abs=0.5)


@pytest.mark.independent
def test_pulse_train_peak() -> None:
    """4 AWG, 30 s on and 60 s off, rms 160 A, settled: scipy with 16 shells peaks at 104.27 degC."""
    cable = thermal_cable(awg_area("4"))
    cycle = [(30.0, 160.0 * 3.0**0.5), (60.0, 0.0)]
    settled = transient.run(cable, cycle * 25, 30.0, transient.steady(cable, 160.0, 30.0)).end
    assert transient.run(cable, cycle, 30.0, settled).peak == pytest.approx(104.27, abs=0.5)


@pytest.mark.independent
@pytest.mark.parametrize(
    ("emf", "rest", "seconds", "temperature"), [(11.8, 0.021, 35.23, 135.95), (12.6, 0.006, 5.9, 100.0)]
)
def test_fault_through_eight_awg(emf: float, rest: float, seconds: float, temperature: float) -> None:
    """80 A slow fuse, 8 AWG, 6 m out and back, from 75 % load: scipy with events gives these within 1 %."""
    cable = thermal_cable(awg_area("8"))

    def clears(current: float) -> float | None:
        return clearing_time(current, 80.0, BRACKETS["slow"].points)

    result = transient.fault(cable, 12.0, emf, rest, clears, 30.0, transient.steady(cable, 60.0, 30.0))
    assert result.cleared
    assert not result.melted
    assert result.time == pytest.approx(seconds, rel=0.01)
    assert result.temperature == pytest.approx(temperature, rel=0.01)


@pytest.mark.independent
def test_fault_that_does_not_clear() -> None:
    """4/0 on a 400 A slow fuse with a weak battery: 507 to 542 A do not clear, and this is said."""
    cable = thermal_cable(awg_area("0000"))

    def clears(current: float) -> float | None:
        return clearing_time(current, 400.0, BRACKETS["slow"].points)

    result = transient.fault(cable, 12.0, 11.8, 0.021, clears, 30.0, transient.uniform(60.0))
    assert result.first_current == pytest.approx(507, rel=0.02)
    assert not result.cleared


def test_unprotected_thin_branch_melts() -> None:
    """18 AWG on a good battery without a fuse of its own is reported as melting, not as a temperature."""
    cable = thermal_cable(awg_area("18"))
    result = transient.fault(cable, 1.0, 12.6, 0.010, lambda _: None, 30.0, transient.uniform(30.0))
    assert result.melted
    assert not result.cleared


@pytest.mark.analytic
def test_adiabatic_is_the_hot_side_of_a_short_burst() -> None:
    """Without losses the conductor gets hotter than with its insulation, and never cooler."""
    area = awg_area("4")
    cable = thermal_cable(area)
    for seconds in (0.2, 0.8):
        real = transient.run(cable, [(seconds, 640.0)], 30.0, transient.uniform(30.0)).end.conductor
        assert adiabatic_temperature(area, "copper", 30.0, 640.0**2 * seconds * 1.02) > real


@pytest.mark.analytic
def test_steady_profile_is_steady() -> None:
    """From the steady profile nothing changes, anchored or not."""
    for anchor_current in (None, 160.0):
        cable = thermal_cable(awg_area("4"))
        if anchor_current:
            cable = anchored(cable, 105, anchor_current)
        start = transient.steady(cable, 150.0, 30.0)
        end = transient.run(cable, [(600.0, 150.0)], 30.0, start).end
        assert end.conductor == pytest.approx(start.conductor, abs=0.05)


@pytest.mark.analytic
def test_cooling_ends_at_ambient() -> None:
    """Without current a hot cable ends at ambient, and the inverse of the steady current is its temperature."""
    cable = thermal_cable(awg_area("8"))
    end = transient.run(cable, [(3600.0, 0.0)], 40.0, transient.uniform(90.0)).end
    assert end.conductor == pytest.approx(40.0, abs=0.1)
    assert steady_temperature(cable, steady_current(cable, 93.0, 40.0), 40.0) == pytest.approx(93.0, abs=0.01)
    assert steady_temperature(cable, 0.0, 40.0) == 40.0


def test_a_melting_load_has_no_steady_state() -> None:
    """A current that would melt the conductor is refused as a starting state, and infinite as a temperature."""
    cable = thermal_cable(awg_area("18"))
    with pytest.raises(OutsideKnownError, match="melts"):
        transient.steady(cable, 400.0, 30.0)
    assert steady_temperature(cable, 4000.0) == float("inf")


def test_nothing_goes_on_after_melting() -> None:
    """A burst that melts the metal ends there, hotter than copper melts and never colder than it began."""
    cable = thermal_cable(awg_area("18"))
    course = transient.run(cable, [(5.0, 3000.0)], 30.0, transient.uniform(30.0))
    assert course.times[-1] < 0.1
    assert 1083.0 <= course.peak < 1200.0
    assert list(course.conductor) == sorted(course.conductor)


def test_no_current_holds_the_air() -> None:
    """At the air's own temperature, and a rounding error above it, the steady current is zero."""
    cable = anchored(thermal_cable(6e-6), 75.0, 46.0)
    for above in (0.0, 6e-14, 1e-12):
        assert steady_current(cable, 60.0 + above, 60.0) == pytest.approx(0.0, abs=1e-3)
