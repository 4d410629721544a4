"""Batteries: rest voltages, temperature and charge factors, test definitions, charging windows."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from dossier.frozen import dataclass
from dossier.reference.source import PRACTICE, Source, Status

LEAD_ACID: Final = ("flooded", "agm")
LITHIUM: Final = ("lifepo4", "lto")
CHEMISTRIES: Final = (*LEAD_ACID, *LITHIUM)
DEFAULT_CELLS: Final[Mapping[str, int]] = MappingProxyType({"flooded": 6, "agm": 6, "lifepo4": 4, "lto": 6})


@dataclass(frozen=True, slots=True)
class RestVoltage:
    """Rested open-circuit voltage of one cell against state of charge, at 25 degC."""

    charge: tuple[float, ...]  # state of charge, rising from 0 to 1
    volts: tuple[float, ...]  # [V] of one cell, rising
    source: Source  # of the table


_NREL_PB = "NREL ADVISOR 12 V lead-acid modules"
_OCV_FLOODED = Source("12 V flooded rest-voltage table, two collections", "", "", Status.READ_SECOND_HAND)
_OCV_AGM = Source(_NREL_PB, "2003", "25 Ah valve-regulated block", Status.READ)
_OCV_LFP = Source("open-source battery-management table, confirmed by a second", "", "", Status.READ_SECOND_HAND)

REST_VOLTAGE: Final[Mapping[str, RestVoltage]] = MappingProxyType(
    {
        "flooded": RestVoltage(
            (0.0, 0.25, 0.5, 0.75, 1.0), (11.6 / 6, 12.0 / 6, 12.2 / 6, 12.4 / 6, 12.6 / 6), _OCV_FLOODED
        ),
        "agm": RestVoltage(
            (0.0, 0.2, 0.4, 0.5, 0.6, 0.8, 1.0),
            (11.7 / 6, 11.96 / 6, 12.26 / 6, 12.37 / 6, 12.48 / 6, 12.67 / 6, 12.89 / 6),
            _OCV_AGM,
        ),
        "lifepo4": RestVoltage(
            (0.0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0),
            (2.833, 3.132, 3.177, 3.213, 3.240, 3.262, 3.265, 3.271, 3.283, 3.304, 3.309, 3.314, 3.392),
            _OCV_LFP,
        ),
        "lto": RestVoltage(
            (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0),
            (1.9, 2.12, 2.20, 2.27, 2.35, 2.47, 2.65),
            Source("lithium titanate rest voltage, usual shape", "", "", Status.MEMORY),
        ),
    }
)
REST_VOLTAGE_SLOPE: Final = 0.0004
"""Rest voltage of a lead-acid cell against temperature [V/K], band 0.2 to 0.6 mV/K."""


@dataclass(frozen=True, slots=True)
class FactorTable:
    """A factor against one variable; linear between the points, held beyond the ends."""

    at: tuple[float, ...]
    factor: tuple[float, ...]
    source: Source


# Lead-acid: the fit k(F) = 0.61 + 0.0082 F - 0.0000417 F^2 holds from -30 to +30 degC; above 25 degC -0.6
# %/K, not checked against the document.
LEAD_TEMPERATURE: Final = FactorTable(
    (-29.0, -18.0, -7.0, 0.0, 10.0, 25.0, 50.0),
    (2.33, 1.64, 1.32, 1.20, 1.09, 1.00, 0.85),
    Source("cold-cranking current temperature adjuster", "", "0.61 + 0.0082 F - 0.0000417 F^2", Status.READ),
)
LFP_TEMPERATURE: Final = FactorTable(
    (-20.0, -10.0, 0.0, 10.0, 25.0, 45.0),
    (5.0, 3.0, 1.9, 1.4, 1.0, 0.8),
    Source("activation energies of a published LFP parameter set", "2013", "35 to 40 kJ/mol", Status.DERIVED),
)
RESISTANCE_TEMPERATURE: Final[Mapping[str, FactorTable]] = MappingProxyType(
    {
        "flooded": LEAD_TEMPERATURE,
        "agm": LEAD_TEMPERATURE,
        "lifepo4": LFP_TEMPERATURE,
        # Titanate is better in the cold than LFP; taking the LFP table is the safe side for sag.
        "lto": LFP_TEMPERATURE,
    }
)
"""Chemistry -> resistance over its value at 25 degC, against temperature [degC]."""

# Lead-acid: 0.8 %/K below 25 degC, held at 0.3; IEC 60896 corrects by 0.6 %/K at slow and 1 %/K at quick rates.
LEAD_CAPACITY: Final = FactorTable(
    (-62.5, 25.0),
    (0.3, 1.0),
    Source("IEC 60896-21, 0.6 to 1.0 %/K; not checked against the document", "", "", Status.MEMORY),
)
CAPACITY_TEMPERATURE: Final[Mapping[str, FactorTable]] = MappingProxyType(
    {
        "flooded": LEAD_CAPACITY,
        "agm": LEAD_CAPACITY,
        "lifepo4": FactorTable((-20.0, -10.0, 0.0, 25.0), (0.6, 0.75, 0.85, 1.0), PRACTICE),
        "lto": FactorTable((-30.0, -10.0, 0.0, 25.0), (0.7, 0.85, 0.9, 1.0), PRACTICE),
    }
)
"""Chemistry -> capacity over its value at 25 degC, against temperature [degC]; in the warm nothing is added."""

OPERATING: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {"flooded": (-40.0, 75.0), "agm": (-40.0, 75.0), "lifepo4": (-20.0, 60.0), "lto": (-40.0, 60.0)}
)
"""Chemistry -> lowest and highest temperature at which a battery may give current [degC].

Lead-acid: life tests of starter batteries run at up to 75 degC (SAE J2801, not checked against the document), a charged
one freezes below -40 degC; lithium: common practice, no source.
"""

_LEAD_CHARGE_SOURCE = Source(_NREL_PB, "2003", "resistance against state of charge", Status.DERIVED)
LEAD_CHARGE_LOW: Final = FactorTable(
    (0.0, 0.1, 0.2, 0.4, 0.5, 0.6, 0.8, 1.0), (1.3, 1.0, 0.83, 0.64, 0.82, 0.62, 0.64, 1.0), _LEAD_CHARGE_SOURCE
)
LEAD_CHARGE: Final = FactorTable(
    (0.0, 0.1, 0.2, 0.4, 0.5, 0.6, 0.8, 1.0), (2.7, 1.9, 1.4, 1.1, 1.05, 1.0, 0.97, 1.0), _LEAD_CHARGE_SOURCE
)
LEAD_CHARGE_HIGH: Final = FactorTable(
    (0.0, 0.1, 0.2, 0.4, 0.5, 0.6, 0.8, 1.0), (6.0, 3.0, 2.8, 1.6, 1.25, 1.07, 1.0, 1.0), _LEAD_CHARGE_SOURCE
)
# Not checked against the document: lithium cells are flat in the middle and rise towards empty.
LITHIUM_CHARGE: Final = FactorTable(
    (0.0, 0.1, 0.2, 1.0),
    (2.0, 1.3, 1.0, 1.0),
    Source("resistance of lithium cells against state of charge", "", "", Status.MEMORY),
)


@dataclass(frozen=True, slots=True)
class CrankingTest:
    """A cold-cranking rating: the voltage a 12 V battery still has under it, at -18 degC."""

    end_voltage: float  # [V]
    after: float  # [s]
    source: Source  # of the definition


CRANKING_TESTS: Final[Mapping[str, CrankingTest]] = MappingProxyType(
    {
        "sae": CrankingTest(7.2, 30.0, Source("SAE J537 / BCI", "", "cold cranking amps", Status.READ)),
        "en": CrankingTest(7.5, 10.0, Source("EN 60095-1", "", "cold cranking", Status.READ_SECOND_HAND)),
        "din": CrankingTest(9.0, 30.0, Source("DIN 43539", "", "cold cranking", Status.READ_SECOND_HAND)),
    }
)
CRANKING_TEMPERATURE: Final = -18.0  # degC
CRANKING_REST_VOLTAGE: Final = 12.52
"""Full rest voltage at -18 degC [V]; magazine battery-tester article, Nov 2011, read."""

RESERVE_CURRENT: Final = 25.0  # A
RESERVE_END_VOLTAGE: Final = 10.5  # V
RESERVE_SOURCE: Final = Source(
    "SAE J537 / BCI", "", "reserve capacity, minutes at 25 A to 10.5 V", Status.READ_SECOND_HAND
)

RATED_HOURS: Final = 20.0  # a capacity label without hours is taken as the 20 h one

PEUKERT_SOURCE: Final = Source("Peukert 1897, two reference pages", "", "", Status.READ_SECOND_HAND)


@dataclass(frozen=True, slots=True)
class ChargingWindow:
    """Charging voltages of one cell at 25 degC [V] and the lowest temperature that may be charged [degC].

    Attributes:
        float_low, float_high: held indefinitely.
        charge_low, charge_high: while charging.
        maximum: never above.
        lowest_temperature: no charging below it; ``None`` if it may freeze-charge slowly.
    """

    float_low: float
    float_high: float
    charge_low: float
    charge_high: float
    maximum: float
    lowest_temperature: float | None
    source: Source


_LEAD_WINDOW = Source("general lead-acid practice", "", "", Status.MEMORY)
CHARGING: Final[Mapping[str, ChargingWindow]] = MappingProxyType(
    {
        "flooded": ChargingWindow(2.2, 2.3, 2.3, 2.467, 2.5, None, _LEAD_WINDOW),
        "agm": ChargingWindow(2.25, 2.3, 2.3, 2.45, 2.467, None, _LEAD_WINDOW),
        "lifepo4": ChargingWindow(
            3.4, 3.525, 3.55, 3.65, 3.65, 0.0, Source("two 12.8 V pack specifications", "", "", Status.READ_SECOND_HAND)
        ),
        "lto": ChargingWindow(
            2.2, 2.5, 2.4, 2.7, 2.8, -20.0, Source("lithium titanate cell window", "", "", Status.MEMORY)
        ),
    }
)
LEAD_FLOAT_SLOPE: Final = -0.0039
"""Charging voltage of a lead-acid cell against its temperature, from 25 degC [V/K]; lithium is not corrected."""
LEAD_SLOPE_SOURCE: Final = Source(
    "encyclopaedia on float voltage, itself uncited", "", "-3.9 mV/K per cell", Status.READ_SECOND_HAND
)
COMPENSATED: Final = (0.0, 50.0)
"""Temperatures between which charging voltages follow the battery [degC]: common practice, no source."""

HYDROGEN_PER_COULOMB: Final = 2.5e-3 / 3600.0
"""Hydrogen of a vented 12 V block in overcharge [m3/(A s)]: 2.5 L/Ah, from Faraday's law for six cells."""
