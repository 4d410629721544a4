"""Allowable currents of conductors: 33 CFR 183.425 Table 5 and the factors on it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from dossier.reference.source import Source, Status

TABLE5_SOURCE: Final = Source("33 CFR 183.425", "current, as mirrored", "Table 5", Status.READ)
TABLE5_COLUMNS: Final = (60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0)
"""Insulation temperature ratings [degC]; ambient 30 degC."""
TABLE5_AMBIENT: Final = 30.0
TABLE5: Final[Mapping[str, tuple[float, ...]]] = MappingProxyType(
    {
        "18": (10, 10, 15, 20, 20, 25, 25),
        "16": (15, 15, 20, 25, 25, 30, 35),
        "14": (20, 20, 25, 30, 35, 40, 45),
        "12": (25, 25, 35, 40, 45, 50, 55),
        "10": (40, 40, 50, 55, 60, 70, 70),
        "8": (55, 65, 70, 70, 80, 90, 100),
        "6": (80, 95, 100, 100, 120, 125, 135),
        "4": (105, 125, 130, 135, 160, 170, 180),
        "3": (120, 145, 150, 155, 180, 195, 210),
        "2": (140, 170, 175, 180, 210, 225, 240),
        "1": (165, 195, 210, 210, 245, 265, 280),
        "0": (195, 230, 245, 245, 285, 305, 325),
        "00": (225, 265, 285, 285, 330, 355, 370),
        "000": (260, 310, 330, 330, 385, 410, 430),
        "0000": (300, 360, 385, 385, 445, 475, 510),
    }
)
"""AWG -> allowable current [A] of stranded copper, by column."""

NOTE1_SOURCE: Final = Source("33 CFR 183.425", "", "Table 5 note 1 (105 degC second-hand, others not)", Status.MEMORY)
NOTE1_AMBIENT: Final = 50.0
NOTE1_FACTORS: Final[Mapping[float, float]] = MappingProxyType(
    {60.0: 0.58, 75.0: 0.75, 80.0: 0.78, 90.0: 0.82, 105.0: 0.85, 125.0: 0.89, 200.0: 1.0}
)
"""Insulation rating [degC] -> factor inside an engine space (50 degC)."""

AMBIENT_FORMULA_SOURCE: Final = Source(
    "NEC 310.15(B) ambient ladder", "2014", "√((Ti − Ta) / (Ti − 30))", Status.DERIVED
)

BUNDLING_NEC_SOURCE: Final = Source("NEC", "2014", "Table 310.15(B)(3)(a)", Status.READ_SECOND_HAND)
BUNDLING_MARINE_SOURCE: Final = Source("33 CFR 183.425", "", "Table 5 note 2", Status.MEMORY)
# (most conductors, factor); the last entry has no upper bound
BUNDLING_NEC: Final = ((3, 1.0), (6, 0.8), (9, 0.7), (20, 0.5), (30, 0.45), (40, 0.4), (None, 0.35))
BUNDLING_MARINE: Final = ((2, 1.0), (3, 0.7), (6, 0.6), (24, 0.5), (None, 0.4))

BUNDLING_TOUCHING_SOURCE: Final = Source(
    "perimeter of equal cables that touch, over that of as many alone", "", "√(P / (n π d))", Status.DERIVED
)

ISO10133_SOURCE: Final = Source(
    "ISO 10133", "2000", "Table A.1, 60 degC, not checked against the document", Status.MEMORY
)
ISO10133_60: Final[Mapping[float, float]] = MappingProxyType(
    {
        0.75: 6, 1: 8, 1.5: 12, 2.5: 17, 4: 22, 6: 29, 10: 40, 16: 54, 25: 71, 35: 87, 50: 105, 70: 135, 95: 165,
        120: 190, 150: 220,
    }
)  # fmt: skip
"""mm2 -> allowed current [A] of one copper conductor with 60 degC insulation at 30 degC."""

CCA_SOURCE: Final = Source("equal loss in the conductor, resistivity of ASTM B566", "", "sqrt(R_Cu/R)", Status.DERIVED)
