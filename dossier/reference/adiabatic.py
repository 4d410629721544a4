"""Constants for conductors that heat up without losing heat: short circuits and melting."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

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
