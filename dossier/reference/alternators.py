"""Alternators: output against shaft speed, efficiency, test points."""

from __future__ import annotations

from typing import Final

from dossier.reference.source import Source, Status

FRACTION_SOURCE: Final = Source(
    "three published alternator measurements (180 A car, 28 V truck, 50 A marine)", "2000-2015", "", Status.DERIVED
)
FRACTION_SPEED: Final = (1300.0, 1500.0, 1800.0, 2000.0, 2500.0, 3000.0, 4000.0, 5000.0, 6000.0, 8000.0)
"""Shaft speed [r/min]."""
FRACTION_LOW: Final = (0.05, 0.15, 0.30, 0.45, 0.70, 0.82, 0.92, 0.97, 1.0, 1.02)
FRACTION_TYPICAL: Final = (0.20, 0.35, 0.55, 0.66, 0.82, 0.90, 0.95, 0.98, 1.0, 1.01)
FRACTION_HIGH: Final = (0.45, 0.55, 0.75, 0.82, 0.91, 0.95, 0.98, 0.99, 1.0, 1.01)
"""Output over the rated current at 6000 r/min, cold."""

CUT_IN: Final = 1050.0
"""Shaft speed below which nothing is delivered [r/min]; 13.5 V reached by it in one service manual, read."""

HOT_SOURCE: Final = Source("marine 50 A service manual, hot and cold output", "", "", Status.READ_SECOND_HAND)
HOT_SPEED: Final = (1300.0, 2500.0, 5000.0)
HOT_FACTOR: Final = (0.67, 0.82, 0.96)
"""Hot over cold output at the same shaft speed, full thermal soak."""

EFFICIENCY_SOURCE: Final = Source("NREL ADVISOR alternator map, SAE 2000-01-1020", "2000", "", Status.READ)
EFFICIENCY_SPEED: Final = (2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 7000.0, 8000.0)
EFFICIENCY_FULL_LOAD: Final = (0.60, 0.60, 0.60, 0.58, 0.57, 0.53, 0.52)
EFFICIENCY_HALF_LOAD: Final = (0.70, 0.69, 0.69, 0.65, 0.65, 0.60, 0.59)

EU_SOURCE: Final = Source("Commission Implementing Decision (EU) 2017/785", "2017", "annex 3, Table 1", Status.READ)
EU_SPEED: Final = (1800.0, 3000.0, 6000.0, 10000.0)
EU_WEIGHT: Final = (0.25, 0.40, 0.25, 0.10)
EU_BASELINE_EFFICIENCY: Final = 0.67
"""At half rated current and 14.3 V, weighted over the four speeds."""
