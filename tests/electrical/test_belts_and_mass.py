"""Belts and restraint against exact geometry and definitions."""

from __future__ import annotations

from math import acos, pi, sqrt

import pytest

from dossier.electrical.mechanics import (
    ACROSS,
    ALONG,
    belt_change,
    belt_change_from_wrap,
    belt_length,
    restraint_force,
    wrap_angle,
)


@pytest.mark.analytic
def test_open_belt_length() -> None:
    """Pulleys 180 and 60 mm at 200 mm: 795.130 mm."""
    assert 1e3 * belt_length(0.180, 0.060, 0.200) == pytest.approx(795.130, abs=5e-4)
    assert belt_length(0.060, 0.180, 0.200) == pytest.approx(belt_length(0.180, 0.060, 0.200), rel=1e-12)


@pytest.mark.analytic
def test_open_belt_length_by_tangents_and_arcs() -> None:
    """The same from tangent points: 2 sqrt(C^2 - (R - r)^2) plus both arcs."""
    big, small, centres = 0.09, 0.03, 0.2
    half = acos((big - small) / centres)
    arcs = 2 * (pi - half) * big + 2 * half * small
    assert belt_length(2 * big, 2 * small, centres) == pytest.approx(
        2 * sqrt(centres**2 - (big - small) ** 2) + arcs, rel=1e-12
    )


@pytest.mark.analytic
@pytest.mark.parametrize(("centres", "change"), [(150, -12.49), (200, -13.31), (250, -13.80), (350, -14.35)])
def test_change_of_a_pulley(centres: float, change: float) -> None:
    """60 to 50 mm on 150 mm: less than half a wrap (15.71 mm), depending on the distance of the shafts."""
    found = 1e3 * belt_change(0.150, 0.060, 0.050, centres * 1e-3)
    assert found == pytest.approx(change, abs=0.006)
    assert abs(found) < pi / 2 * 10


@pytest.mark.analytic
@pytest.mark.parametrize("centres", [0.150, 0.200, 0.250, 0.350])
def test_change_from_the_wrap(centres: float) -> None:
    """For a serpentine belt wrap/2 times the change of diameter is within 2.1 % of the exact difference."""
    wrap = wrap_angle(0.050, 0.150, centres)
    assert belt_change_from_wrap(0.060, 0.050, wrap) == pytest.approx(
        belt_change(0.150, 0.060, 0.050, centres), rel=0.022
    )


@pytest.mark.analytic
def test_wraps_add_to_a_full_turn() -> None:
    """Both wraps of an open belt together are 2 pi; equal pulleys are wrapped by half."""
    assert wrap_angle(0.15, 0.05, 0.2) + wrap_angle(0.05, 0.15, 0.2) == pytest.approx(2 * pi)
    assert wrap_angle(0.1, 0.1, 0.3) == pytest.approx(pi)


def test_impossible_drives_are_refused() -> None:
    """One pulley inside the other, or a size that is not positive."""
    with pytest.raises(ValueError, match="inside"):
        belt_length(0.5, 0.05, 0.2)
    with pytest.raises(ValueError, match="positive"):
        belt_length(0.0, 0.05, 0.2)


@pytest.mark.practice
def test_restraint_of_a_battery() -> None:
    """24 kg at 20 g along and 8 g across is 4.7 and 1.9 kN."""
    assert restraint_force(24, ALONG) == pytest.approx(4.7e3, abs=50)
    assert restraint_force(24, ACROSS) == pytest.approx(1.9e3, abs=50)
