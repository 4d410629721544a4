"""Prospective short-circuit current against an independent circuit simulator and Kirchhoff."""

from __future__ import annotations

import numpy as np
import pytest
from superposition import conductance_matrix, fault_current

from dossier.electrical.prospective import REFERENCE, CurrentSource, SeparatedNodesError, VoltageSource

FRONT = VoltageSource("bat1", 0, REFERENCE, 12.7, 5e-3)
REAR = VoltageSource("bat2", 1, REFERENCE, 12.9, 4.3e-3)
BANK = VoltageSource("cap", 1, REFERENCE, 14.0, 2.6e-3)
ALTERNATOR = CurrentSource("alternator", 0, REFERENCE, 200.0)
TIE = conductance_matrix(2, [(0, 1, 2e-3)])


@pytest.mark.independent
def test_three_sources_and_an_alternator() -> None:
    """Ngspice 39 operating point 7493.955 A; contributions by superposition worked separately."""
    fault = fault_current(TIE, [FRONT, REAR, BANK, ALTERNATOR], 1, fault_resistance=0.5e-3)
    assert fault.total == pytest.approx(7493.955, abs=0.05)
    assert fault.total == pytest.approx(7493.94, abs=0.01)
    expected = {"bat1": 1314.69, "bat2": 2173.89, "cap": 3901.85, "alternator": 103.52}
    assert dict(fault.shares) == pytest.approx(expected, abs=0.01)


@pytest.mark.independent
def test_without_the_bank() -> None:
    """The same without the capacitor bank: 4174 A."""
    assert fault_current(TIE, [FRONT, REAR, ALTERNATOR], 1, fault_resistance=0.5e-3).total == pytest.approx(
        4174, abs=1
    )


@pytest.mark.analytic
def test_bolted_fault_adds_the_sources_separately() -> None:
    """At zero ohms each source gives E/(r + path) as if alone: 10341.75 A, and 38 % more than with 0.5 mohm."""
    fault = fault_current(TIE, [FRONT, REAR, BANK, ALTERNATOR], 1)
    alone = 12.7 / 7e-3 + 12.9 / 4.3e-3 + 14.0 / 2.6e-3 + 200 * 5 / 7
    assert fault.total == pytest.approx(alone, rel=1e-9)
    assert fault.total == pytest.approx(10341.75, abs=0.01)


@pytest.mark.analytic
def test_shares_add_up_and_kirchhoff_holds() -> None:
    """Shares sum to the total, and the fault current solved directly as a resistor is the same."""
    sources: list[VoltageSource | CurrentSource] = [FRONT, REAR, BANK, ALTERNATOR]
    fault = fault_current(TIE, sources, 1, fault_resistance=0.5e-3)
    assert sum(fault.shares.values()) == pytest.approx(fault.total, rel=1e-12)
    matrix = TIE + np.diag([1 / 5e-3, 1 / 4.3e-3 + 1 / 2.6e-3 + 1 / 0.5e-3])
    right = np.array([12.7 / 5e-3 + 200.0, 12.9 / 4.3e-3 + 14.0 / 2.6e-3])
    assert np.linalg.solve(matrix, right)[1] / 0.5e-3 == pytest.approx(fault.total, rel=1e-9)


@pytest.mark.independent
def test_body_return_lowers_the_current() -> None:
    """Both poles modelled, 1.2 mohm of cable: 7626 A without, 7494 A with 0.8, 7244 A with 3 mohm of body."""

    def both_poles(body: float) -> float:
        # nodes: 0 front plus, 1 rear plus, 2 rear minus; front minus is the reference
        passive = conductance_matrix(3, [(0, 1, 1.2e-3), (2, REFERENCE, body)])
        sources: list[VoltageSource | CurrentSource] = [
            FRONT,
            ALTERNATOR,
            VoltageSource("bat2", 1, 2, 12.9, 4.3e-3),
            VoltageSource("cap", 1, 2, 14.0, 2.6e-3),
        ]
        return fault_current(passive, sources, 1, 2, 0.5e-3).total

    assert both_poles(1e-9) == pytest.approx(7626, abs=0.5)
    assert both_poles(0.8e-3) == pytest.approx(7493.94, abs=0.01)
    assert both_poles(3e-3) == pytest.approx(7244, abs=0.5)


def test_separated_parts_are_named_not_guessed() -> None:
    """A rear part without any return has no defined current: refused, never a huge number."""
    passive = conductance_matrix(3, [(0, 1, 1e-3)])
    sources = [FRONT, VoltageSource("bat2", 1, 2, 12.9, 4.3e-3)]
    assert fault_current(passive, sources, 1, 2, 1e-3).total > 0  # node 2 hangs on bat2 alone, still defined
    with pytest.raises(SeparatedNodesError, match="not joined"):
        fault_current(conductance_matrix(3, [(0, 1, 1e-3)]), [FRONT], 1, 2, 1e-3)


def test_impossible_sources_are_refused() -> None:
    """A source without resistance, two of one name, and a resistor of zero ohms are refused."""
    with pytest.raises(ValueError, match="no resistance"):
        fault_current(TIE, [VoltageSource("ideal", 0, REFERENCE, 12.0, 0.0)], 1)
    with pytest.raises(ValueError, match="its own name"):
        fault_current(TIE, [FRONT, FRONT], 1)
    with pytest.raises(ValueError, match="positive resistance"):
        conductance_matrix(2, [(0, 1, 0.0)])
