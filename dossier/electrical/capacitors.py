"""Capacitor banks: strings, energy, charging and discharging in closed form."""

from __future__ import annotations

from math import exp, log, sqrt

from dossier.electrical.refusal import NoOperatingPointError
from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Bank:
    """Cells in series and parallel.

    Attributes:
        capacitance: of the bank [F].
        resistance: of the bank [ohm].
        rated_voltage: of the bank [V].
    """

    capacitance: float
    resistance: float
    rated_voltage: float


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


def cell_voltage(voltage: float, series: int) -> float:
    """Voltage of each of ``series`` equal cells [V]."""
    return voltage / series


def resistance_from_tau(tau: float, capacitance: float) -> float:
    """Resistance of a cell [ohm] from its time constant [s] and capacitance [F]."""
    return tau / capacitance


def stored_energy(capacitance: float, voltage: float) -> float:
    """Energy [J]: C V^2/2, in F and V."""
    return 0.5 * capacitance * voltage**2


def energy_between(capacitance: float, high: float, low: float) -> float:
    """Energy given from one voltage to a lower one [J]: C (V1^2 - V2^2)/2."""
    return 0.5 * capacitance * (high**2 - low**2)


def voltage_at_energy(capacitance: float, energy: float) -> float:
    """Voltage at which so much energy is left [V]: sqrt(2 E/C)."""
    return sqrt(2.0 * energy / capacitance)


def charge_time(resistance: float, capacitance: float, start: float, end: float) -> float:
    """Time through a resistor [s]: R C ln(start/end), for the voltage across the resistor.

    For a discharge the voltage of the bank falls from ``start`` to ``end``; for a pre-charge the difference
    to the
    supply does.

    Raises:
        ValueError: the voltages are not positive and falling.
    """
    if not 0.0 < end <= start:
        raise ValueError("the voltage across the resistor falls and stays above zero")
    return resistance * capacitance * log(start / end)


def resistor_energy(capacitance: float, voltage: float) -> float:
    """Energy that ends in a pre-charge or bleed resistor [J]: C V^2/2, whatever its resistance."""
    return stored_energy(capacitance, voltage)


def resistor_power(resistance: float, voltage: float) -> float:
    """Power in the resistor at the first moment [W]: V^2/R."""
    return voltage**2 / resistance


def residual_voltage(limit: float, loop: float) -> float:
    """Difference at which the main contact may close [V]: I_limit R_loop."""
    return limit * loop


def joule_integral(capacitance: float, voltage: float, resistance: float) -> float:
    """I^2 t of a discharge through a resistance [A2 s]: C V^2/(2 R)."""
    return capacitance * voltage**2 / (2.0 * resistance)


def voltage_after(capacitance: float, resistance: float, start: float, current: float, duration: float) -> float:
    """Terminal voltage under constant current [V]: V0 - I R - I t/C."""
    return start - current * resistance - current * duration / capacitance


def time_constant_current(capacitance: float, resistance: float, start: float, end: float, current: float) -> float:
    """Time under constant current [s]: C (V0 - V1 - I R)/I; zero if the first step already passes ``end``."""
    return max(0.0, capacitance * (start - end - current * resistance) / current)


def time_constant_power(capacitance: float, resistance: float, start: float, end: float, power: float) -> float:
    """Time under constant power until the terminals reach a voltage [s].

    From C d(V + R P/V)/dt = -P/V:  t = C/P [(V1^2 - V2^2)/2 - R P ln(V1/V2)], V1 the terminal voltage just
    after
    switching on, V1 = (V0 + sqrt(V0^2 - 4 R P))/2.

    Args:
        capacitance: [F].
        resistance: [ohm].
        start: open-circuit voltage V0 [V].
        end: terminal voltage [V].
        power: [W].

    Raises:
        NoOperatingPointError: ``power`` cannot be delivered from ``start``, or not down to ``end``.
    """
    root = start**2 - 4.0 * resistance * power
    if root < 0.0:
        raise NoOperatingPointError(power, start**2 / (4.0 * resistance))
    if end**2 < resistance * power:  # below the fold the terminal voltage cannot be held
        raise NoOperatingPointError(power, end**2 / resistance)
    first = 0.5 * (start + sqrt(root))
    if first <= end:
        return 0.0
    return capacitance / power * (0.5 * (first**2 - end**2) - resistance * power * log(first / end))


def discharge_voltage(resistance: float, capacitance: float, start: float, duration: float) -> float:
    """Voltage of a bank after a time through a resistor [V]: V0 exp(-t/RC)."""
    return start * exp(-duration / (resistance * capacitance))


def lamp_charge_time(
    capacitance: float, supply: float, power: float, rated: float, done: float = 0.95, exponent: float = 0.55
) -> float:
    """Time to charge through a filament lamp [s]: current I0 (V/V_rated)^x across the lamp.

    t = C V_rated^x (u0^(1-x) - u1^(1-x))/(I0 (1-x)), u the voltage across the lamp; the
    exponent is an assumption.

    Args:
        capacitance: [F].
        supply: [V].
        power: of the lamp at its rated voltage [W].
        rated: [V].
        done: share of the supply voltage that counts as charged.
        exponent: x.
    """
    current = power / rated
    rest = 1.0 - exponent
    start, end = supply, supply * (1.0 - done)
    return float(capacitance * rated**exponent * (start**rest - end**rest) / (current * rest))
