"""Batteries: resistance from a label, rest voltage, run time, fault resistance, self-discharge."""

from __future__ import annotations

from typing import Final

from dossier.electrical.tables import interpolate
from dossier.reference.band import Band
from dossier.reference.batteries import (
    CAPACITY_TEMPERATURE,
    COMPENSATED,
    CRANKING_REST_VOLTAGE,
    CRANKING_TESTS,
    DEFAULT_CELLS,
    LEAD_ACID,
    LEAD_CHARGE,
    LEAD_CHARGE_HIGH,
    LEAD_CHARGE_LOW,
    LEAD_FLOAT_SLOPE,
    LITHIUM_CHARGE,
    RATED_HOURS,
    RESISTANCE_TEMPERATURE,
    REST_VOLTAGE,
    REST_VOLTAGE_SLOPE,
)
from dossier.reference.defaults import DEFAULTS

_HOUR: Final = 3600.0


def cells_of(chemistry: str, cells: int | None = None) -> int:
    """Cells in series: as stated, else what a 12 V block of the chemistry has (6, 6, 4, 6)."""
    return DEFAULT_CELLS[chemistry] if cells is None else cells


def resistance_from_capacity(chemistry: str, capacity: float, cells: int | None = None) -> Band:
    """Internal resistance of one block for a 1 to 10 s pulse, near full, 25 degC [ohm].

    R = k/Q for lead-acid blocks, n k/Q plus interconnects and management for lithium; k from ``DEFAULTS``.

    Args:
        chemistry: flooded | agm | lifepo4 | lto.
        capacity: [A s].
        cells: in series, if stated.

    Raises:
        ValueError: capacity not positive.
        KeyError: unknown chemistry.
    """
    if capacity <= 0.0:
        raise ValueError(f"a capacity is positive, not {capacity}")
    n = cells_of(chemistry, cells)
    per_block = DEFAULTS[f"{chemistry}.resistance"].band.scaled(1.0 / capacity)
    if chemistry in LEAD_ACID:
        return per_block.scaled(n / 6.0)
    extra = DEFAULTS["lifepo4.management" if chemistry == "lifepo4" else "lto.interconnect"].band
    return Band(n * per_block.low + extra.low, n * per_block.typical + extra.typical, n * per_block.high + extra.high)


def resistance_from_cranking(current: float, standard: str = "sae", cells: int = 6) -> Band:
    """Internal resistance of a lead-acid block, 1 to 10 s pulse, near full, 25 degC [ohm].

    R = n k/(6 I) with k of six cells and for an SAE label; an EN or DIN label is scaled by its own voltage drop,
    (12.52 V - U_end).

    Args:
        current: cold-cranking label [A].
        standard: sae | en | din.
        cells: in series.
    """
    if current <= 0.0:
        raise ValueError(f"a cold-cranking current is positive, not {current}")
    drop = CRANKING_REST_VOLTAGE - CRANKING_TESTS[standard].end_voltage
    sae = CRANKING_REST_VOLTAGE - CRANKING_TESTS["sae"].end_voltage
    return DEFAULTS["lead.resistance_cca"].band.scaled(drop / sae / current * cells / 6.0)


def temperature_factor(chemistry: str, temperature: float) -> float:
    """Resistance over its value at 25 degC [1], temperature in degC; held beyond the table's ends."""
    table = RESISTANCE_TEMPERATURE[chemistry]
    return interpolate(temperature, table.at, table.factor)


def capacity_factor(chemistry: str, temperature: float) -> float:
    """Capacity over its value at 25 degC [1], temperature in degC; held beyond the table's ends."""
    table = CAPACITY_TEMPERATURE[chemistry]
    return interpolate(temperature, table.at, table.factor)


def charge_factor(chemistry: str, charge: float) -> Band:
    """Resistance over its value when full [1], with its band.

    Args:
        chemistry: flooded | agm | lifepo4 | lto.
        charge: state of charge, 0..1.
    """
    if chemistry in LEAD_ACID:
        tables = (LEAD_CHARGE_LOW, LEAD_CHARGE, LEAD_CHARGE_HIGH)
    else:
        tables = (LITHIUM_CHARGE, LITHIUM_CHARGE, LITHIUM_CHARGE)
    low, typical, high = (interpolate(charge, t.at, t.factor) for t in tables)
    return Band(low, typical, high)


def discharged_factor(chemistry: str, charge: float) -> float:
    """Resistance at a state of charge (0..1) over its stated value [1]; never below it, whatever a table says."""
    return max(1.0, charge_factor(chemistry, charge).typical)


def open_circuit_voltage(chemistry: str, charge: float, cells: int | None = None, temperature: float = 25.0) -> float:
    """Rested open-circuit voltage [V].

    Args:
        chemistry: flooded | agm | lifepo4 | lto.
        charge: state of charge, 0..1.
        cells: in series, if stated.
        temperature: [degC]; lead-acid 0.4 mV/K per cell, lithium taken as none.

    Raises:
        ValueError: charge outside 0..1.
    """
    if not 0.0 <= charge <= 1.0:
        raise ValueError(f"a state of charge lies between 0 and 1, not {charge}")
    table = REST_VOLTAGE[chemistry]
    slope = REST_VOLTAGE_SLOPE if chemistry in LEAD_ACID else 0.0
    cell = interpolate(charge, table.charge, table.volts) + slope * (temperature - 25.0)
    return cells_of(chemistry, cells) * cell


def state_of_charge(chemistry: str, voltage: float, cells: int | None = None) -> float:
    """State of charge from a rested voltage [V] at 25 degC: the inverse of ``open_circuit_voltage``, 0..1."""
    table = REST_VOLTAGE[chemistry]
    return interpolate(voltage / cells_of(chemistry, cells), table.volts, table.charge)


def surface_charge(chemistry: str, capacity: float) -> Band | None:
    """Apparent capacitance of the surface charge of one block [F]; ``None`` for LTO, which shows none."""
    if chemistry == "lto":
        return None
    kind = "lead" if chemistry in LEAD_ACID else "lifepo4"
    return DEFAULTS[f"{kind}.surface_charge"].band.scaled(capacity)


def charging_shift(chemistry: str, temperature: float, cells: int) -> float:
    """By how much a charging window moves with the battery's temperature [V].

    -3.9 mV/K per lead-acid cell from 25 degC (encyclopaedia, itself uncited).

    Followed between 0 and 50 degC only; lithium is not corrected.

    Args:
        chemistry: flooded | agm | lifepo4 | lto.
        temperature: of the battery [degC].
        cells: in series.
    """
    if chemistry not in LEAD_ACID:
        return 0.0
    low, high = COMPENSATED
    return LEAD_FLOAT_SLOPE * cells * (min(max(temperature, low), high) - 25.0)


def peukert_time(capacity: float, current: float, exponent: float, hours: float = RATED_HOURS) -> float:
    """Time to empty a full battery [s]: H (C/(I H))^k.

    Args:
        capacity: rated [A s].
        current: [A], above 0.
        exponent: k.
        hours: the capacity's rate H [h]; labels mean 20.
    """
    if current <= 0.0:
        raise ValueError(f"a discharge current is positive, not {current}")
    return float(hours * _HOUR * (capacity / (current * hours * _HOUR)) ** exponent)


def engine_off_time(
    capacity: float, current: float, exponent: float, charge: float, left: float, hours: float = RATED_HOURS
) -> float:
    """Time [s] from a state of charge until a share of the capacity is left; zero if it already is.

    Args:
        capacity: rated [A s].
        current: [A].
        exponent: Peukert's.
        charge: state of charge now, 0..1.
        left: share to leave, 0..1.
        hours: the capacity's rate [h].
    """
    # Peukert's exponent helps below the rated current; that gain is not counted on.
    full = min(peukert_time(capacity, current, exponent, hours), capacity / current)
    return full * max(0.0, charge - left)


def fault_current(emf: float, resistance: float, path: float = 0.0) -> float:
    """Prospective short-circuit current of one battery [A]: E/(r + R_path), volts and ohms."""
    return emf / (resistance + path)


def self_discharge(per_second: float, duration: float, temperature: float = 25.0) -> float:
    """Share of the capacity lost at rest [1]: rate doubling each 10 K above 25 degC.

    Args:
        per_second: at 25 degC [1/s], for example ``DEFAULTS["agm.self_discharge"].typical``.
        duration: [s].
        temperature: [degC].
    """
    return float(per_second * duration * 2.0 ** ((temperature - 25.0) / 10.0))
