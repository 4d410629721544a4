"""Conductor sizes, resistivities, standard resistance limits, and constants for a short circuit that keeps its heat."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from types import MappingProxyType
from typing import Final

from dossier.frozen import dataclass
from dossier.reader.gauges import INCH, gauge_diameter
from dossier.reference.source import Source, Status

BETA_SOURCE: Final = Source("IEC 60364-5-54 Annex A", "2011", "Table A.54.1", Status.MEMORY)
# Reciprocal of the temperature coefficient at 0 degC. Copper 234.5 was also read with K; copper-clad
# aluminium lies
# between aluminium and copper, by its share of copper hardly above aluminium.
BETA: Final[Mapping[str, float]] = MappingProxyType(
    {"copper": 234.5, "cca_10": 228.5, "cca_15": 228.5, "aluminium": 228.0}
)
"""[degC]"""

# Final temperatures in a short circuit [degC] by the rating of the insulation. Above 90 degC thermoset
# insulation is
# common, but a cable that only says 105 degC may be thermoplastic: 160 is the safe side.
FINAL_THERMOPLASTIC: Final = 160.0
FINAL_THERMOSET: Final = 250.0
THERMOPLASTIC_UP_TO: Final = 125.0
"""Highest rating of insulation [degC] that may still be thermoplastic; what is rated higher is thermoset or
fluoropolymer (not checked against the document)."""
FINAL_SOURCE: Final = Source("BS 7671", "2018", "Table 43.1", Status.READ_SECOND_HAND)

MELTING: Final[Mapping[str, float]] = MappingProxyType(
    {"copper": 1083.0, "cca_10": 660.0, "cca_15": 660.0, "aluminium": 660.0}
)
"""Melting point [degC], not checked against the document; the aluminium core of a clad wire melts first."""

VALID_UP_TO: Final = 5.0
"""Longest time the adiabatic form is used for [s]; BS 7671 434.5.2, not checked against the document."""

INSULATION_HEAT: Final = 2.0e6
"""Volumetric heat capacity of the insulation [J/(m3 K)]; assumption of the study behind the heating model."""


CIRCULAR_MIL: Final = pi / 4.0 * (INCH / 1000.0) ** 2  # m2, exact

AWG_SOURCE: Final = Source("ASTM B258", "B258-02", "definition of AWG", Status.READ_SECOND_HAND)
AWG_NUMBERS: Final[Mapping[str, int]] = MappingProxyType(
    {str(n): n for n in range(36, 0, -1)} | {"0": 0, "00": -1, "000": -2, "0000": -3}
)
"""AWG designation -> number in the diameter law; n = 1 - m for m noughts."""


def awg_diameter(designation: str) -> float:
    """Diameter of the solid round conductor of a gauge [m].

    d = 0.005 in x 92^((36 - n)/39), ASTM B258.

    Raises:
        KeyError: the designation is not one of ``AWG_NUMBERS`` (``18`` .. ``1``, ``0`` .. ``0000``).
    """
    return gauge_diameter(AWG_NUMBERS[designation])


def awg_area(designation: str) -> float:
    """Cross-section of a gauge [m2]; raises as ``awg_diameter``."""
    return pi / 4.0 * awg_diameter(designation) ** 2


@dataclass(frozen=True, slots=True)
class Metal:
    """What conducts."""

    name: str  # in words
    rho20: float  # resistivity at 20 degC [ohm m]
    alpha20: float  # temperature coefficient of resistance at 20 degC [1/K]
    heat: float  # volumetric heat capacity [J/(m3 K)]
    source: Source  # of the resistivity


_IACS = Source("International Annealed Copper Standard", "IEC 1913", "58 MS/m at 20 degC", Status.READ)
_B566 = Source("ASTM B566", "B566-04a(2021)", "minimum conductivity 62.9 and 64.4 % IACS", Status.READ_SECOND_HAND)
_AL61 = Source("IEC 60889 / ASTM B230", "", "61 % IACS", Status.MEMORY)
ALPHA_SOURCE: Final = Source("Industrial Power Engineering and Applications Handbook", "", "p. 970", Status.READ)
"""0.00393 /K for copper and 0.00403 /K for 61 % IACS aluminium."""

# Copper-clad aluminium: the coefficient lies between copper and aluminium; the higher one is the safe side.
# Its heat
# capacity is mixed by volume, 10 or 15 % copper.
_QC_COPPER, _QC_ALUMINIUM = 3.45e6, 2.5e6
METALS: Final[Mapping[str, Metal]] = MappingProxyType(
    {
        "copper": Metal("copper", 1.0 / 58.0e6, 0.00393, _QC_COPPER, _IACS),
        "cca_10": Metal(
            "copper-clad aluminium, 10 % copper", 2.743e-8, 0.00403, 0.10 * _QC_COPPER + 0.90 * _QC_ALUMINIUM, _B566
        ),
        "cca_15": Metal(
            "copper-clad aluminium, 15 % copper", 2.676e-8, 0.00403, 0.15 * _QC_COPPER + 0.85 * _QC_ALUMINIUM, _B566
        ),
        "aluminium": Metal("aluminium, 61 % IACS", 2.8264e-8, 0.00403, _QC_ALUMINIUM, _AL61),
    }
)
HEAT_SOURCE: Final = Source("IEC 60364-5-54 Annex A", "2011", "Table A.54.1", Status.MEMORY)

FAA_SOURCE: Final = Source("FAA AC 43.13-1B", "change 1, 2001", "Table 11-9", Status.READ_SECOND_HAND)
# ohm per 1000 ft at 20 degC: largest of tinned aircraft wire; the large sizes are rounded to one or two figures
FAA_TABLE_11_9: Final[Mapping[str, float]] = MappingProxyType(
    {
        "18": 6.23, "16": 4.81, "14": 3.06, "12": 2.02, "10": 1.26, "8": 0.70, "6": 0.44, "4": 0.28, "2": 0.18,
        "1": 0.15, "0": 0.12, "00": 0.09, "000": 0.07, "0000": 0.06,
    }
)  # fmt: skip
GAUGE_TYPICAL: Final = 1.05
"""Resistance of a flexible cable of a gauge over the solid bar: ropes of fine wires, 2 to 6 %."""
GAUGE_SOURCE: Final = Source("ASTM B172 and B174", "", "increase for rope and bunch lay", Status.MEMORY)
GAUGE_HIGH: Final = 1.08  # where Table 11-9 asks no more

LAY_FACTOR: Final = 1.02
LAY_SOURCE: Final = Source(
    "note on IEC 60228 stranding factors, class 2", "2004", "1.02 to 1.04", Status.READ_SECOND_HAND
)

IEC60228_SOURCE: Final = Source("IEC 60228", "2004", "Table 3, class 5, plain copper", Status.READ_SECOND_HAND)
# ohm/km at 20 degC by nominal mm2. Class 5 at 50 mm2 (0.386) is lower than class 2 (0.387): as printed.
IEC60228_CLASS5: Final[Mapping[float, float]] = MappingProxyType(
    {
        1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.3, 10: 1.91, 16: 1.21, 25: 0.78, 35: 0.554, 50: 0.386, 70: 0.272,
        95: 0.206, 120: 0.161, 150: 0.129, 185: 0.106, 240: 0.0801,
    }
)  # fmt: skip
IEC60228_CLASS2: Final[Mapping[float, float]] = MappingProxyType(
    {
        1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524, 50: 0.387, 70:
        0.268,
        95: 0.193, 120: 0.153, 150: 0.124, 185: 0.0991, 240: 0.0754,
    }
)  # fmt: skip
IEC60228_CLASS2_ALUMINIUM: Final[Mapping[float, float]] = MappingProxyType(
    {
        10: 3.08, 16: 1.91, 25: 1.2, 35: 0.868, 50: 0.641, 70: 0.443, 95: 0.32, 120: 0.253, 150: 0.206,
        185: 0.164, 240: 0.125,
    }
)  # fmt: skip

# ohm per 1000 ft at 75 degC, stranded, uncoated
