"""Capacitor banks: strings, energy, charging and discharging in closed form."""

from __future__ import annotations

from math import log, sqrt

from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Bank:
    """Cells in series and parallel."""

    capacitance: float  # of the bank [F]
    resistance: float  # of the bank [ohm]
    rated_voltage: float  # of the bank [V]


def bank(
    series: int, parallel: int, capacitance: float, resistance: float, rated_voltage: float, links: float = 0.0
) -> Bank:
    """A bank of equal cells: C p/s, R s/p, V s.

    Args:
        series: cells in a string.
        parallel: strings.
        capacitance: of one cell [F].
        resistance: of one cell [ohm].
        rated_voltage: of one cell [V].
        links: resistance of all links of one string [ohm].
    """
    if series < 1 or parallel < 1:
        raise ValueError("a bank has at least one cell")
    return Bank(capacitance * parallel / series, (resistance * series + links) / parallel, rated_voltage * series)


def stored_energy(capacitance: float, voltage: float) -> float:
    """Energy [J]: C V^2/2, in F and V."""
    return 0.5 * capacitance * voltage**2


def voltage_at_energy(capacitance: float, energy: float) -> float:
    """Voltage at which so much energy is left [V]: sqrt(2 E/C)."""
    return sqrt(2.0 * energy / capacitance)


def charge_time(resistance: float, capacitance: float, start: float, end: float) -> float:
    """Time through a resistor [s]: R C ln(start/end), for the voltage across the resistor.

    For a discharge the voltage of the bank falls from ``start`` to ``end``; for a pre-charge the difference to the
    supply does.

    Raises:
        ValueError: the voltages are not positive and falling.
    """
    if not 0.0 < end <= start:
        raise ValueError("the voltage across the resistor falls and stays above zero")
    return resistance * capacitance * log(start / end)


def resistor_power(resistance: float, voltage: float) -> float:
    """Power in the resistor at the first moment [W]: V^2/R."""
    return voltage**2 / resistance
