"""Published noise-exposure criteria and frequency weightings."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from dossier.frozen import dataclass
from dossier.reference.source import Source, Status

HOUR: Final = 3600.0


@dataclass(frozen=True, slots=True)
class Criterion:
    """A daily exposure: ``level`` dB(A) for ``duration`` s, halved for every ``exchange`` dB more, up to its ceilings.

    Attributes:
        name: stable name.
        title: in words.
        level: dB(A) that is permitted for ``duration``.
        duration: [s].
        exchange: [dB].
        source: of the criterion.
        peak: sound pressure peak above which no time is left [dB], weighted by ``peak_weighting``; None = none named.
        ceiling: sound level above which no time is permitted [dB(A)]; None = none named.
        action: an action value: once it is reached something has to be done; it permits nothing.
    """

    name: str
    title: str
    level: float
    duration: float
    exchange: float
    source: Source
    peak: float | None = None
    peak_weighting: str = "Z"
    ceiling: float | None = None
    action: bool = False

    def seconds(self, level: float) -> float:
        """Time at a level, ceilings apart [s]: T0 / 2^((L - L0)/q)."""
        return float(self.duration / 2.0 ** ((level - self.level) / self.exchange))


NIOSH: Final = Criterion(
    "niosh",
    "NIOSH recommended limit",
    85.0,
    8 * HOUR,
    3.0,
    Source("NIOSH 98-126", "1998", "Table 1-1", Status.READ_SECOND_HAND),
    peak=140.0,  # "ceiling limit of 140 dBA", section 1.1; not checked against the document
    peak_weighting="A",
)
OSHA: Final = Criterion(
    "osha",
    "OSHA permissible limit",
    90.0,
    8 * HOUR,
    5.0,
    Source("29 CFR 1910.95 Appendix A", "current", "Table G-16a", Status.READ),
    peak=140.0,  # impulsive or impact noise, 29 CFR 1910.95(b)(2); read as 41 CFR 50-204.10, last paragraph
    ceiling=115.0,  # where Table G-16 ends, at a quarter of an hour; read as 29 CFR 1926.52 Table D-2
)
_EU = Source("Directive 2003/10/EC", "2003", "Article 3(1)", Status.READ_SECOND_HAND)
# 200, 140 and 112 Pa, weighted C: 20 log10(p / 20 µPa)
EU_LIMIT: Final = Criterion("eu_limit", "EU exposure limit value", 87.0, 8 * HOUR, 3.0, _EU, 140.0, "C")
EU_UPPER: Final = Criterion("eu_upper", "EU upper action value", 85.0, 8 * HOUR, 3.0, _EU, 137.0, "C", action=True)
EU_LOWER: Final = Criterion("eu_lower", "EU lower action value", 80.0, 8 * HOUR, 3.0, _EU, 135.0, "C", action=True)
WHO_WEEKLY: Final = Criterion(
    "who_weekly",
    "WHO-ITU weekly sound allowance for adults",
    80.0,
    40 * HOUR,
    3.0,
    Source("WHO-ITU H.870", "2022", "mode 1", Status.READ_SECOND_HAND),
)

WEIGHTING_SOURCE: Final = Source("IEC 61672-1", "2003", "frequency weightings", Status.READ_SECOND_HAND)
THIRD_OCTAVES: Final = (
    10.0, 12.5, 16.0, 20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0,
    630.0, 800.0, 1000.0,
)  # fmt: skip
"""Nominal frequencies [Hz]."""
_A = (
    -70.4, -63.4, -56.7, -50.5, -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8,
    -3.2, -1.9, -0.8, 0.0,
)  # fmt: skip
_C = (
    -14.3, -11.2, -8.5, -6.2, -4.4, -3.0, -2.0, -1.3, -0.8, -0.5, -0.3, -0.2, -0.1, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
    0.0,
)  # fmt: skip
WEIGHTINGS: Final[Mapping[str, tuple[float, ...]]] = MappingProxyType({"A": _A, "C": _C})
"""Weighting -> correction [dB] at ``THIRD_OCTAVES``."""
