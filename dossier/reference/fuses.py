"""Vehicle fuses: ratings that can be bought, breaking capacity, and time-current brackets."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from dossier.frozen import dataclass
from dossier.reference.source import Source, Status

STYLES: Final = ("blade", "strip", "bolt_in", "cartridge", "breaker")

RATINGS_SOURCE: Final = Source("ISO 8820-3 and -5 rated currents", "2015", "", Status.MEMORY)
_STRIP = (30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 425, 450, 500)  # fmt: skip
RATINGS: Final[Mapping[str, tuple[float, ...]]] = MappingProxyType(
    {
        "blade": (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100),
        "strip": _STRIP,
        "bolt_in": _STRIP,
        "cartridge": (
            6, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400,
            450, 500, 600,
        ),
        "breaker": (30, 40, 50, 60, 70, 80, 100, 120, 150, 175, 200, 250, 300),
    }
)  # fmt: skip
"""Style -> ratings commonly made [A]; cartridge and breaker are common practice, no source."""


@dataclass(frozen=True, slots=True)
class BreakingCapacity:
    """What a fuse of a style interrupts when its own data sheet is not at hand.

    ``current`` is ``None`` where no published value covers the style: the build file must say it.
    """

    current: float | None  # A
    source: Source


_ISO3 = Source("ISO 8820-3", "2015", "clause 1 Scope", Status.READ)
_ISO5 = Source("ISO 8820-5", "2015", "clause 1 Scope", Status.READ_SECOND_HAND)
_UNKNOWN = Source("no published value for this style", "", "", Status.ASSUMPTION)
BREAKING_CAPACITY: Final[Mapping[str, BreakingCapacity]] = MappingProxyType(
    {
        "blade": BreakingCapacity(1000.0, _ISO3),
        "strip": BreakingCapacity(2000.0, _ISO5),
        "bolt_in": BreakingCapacity(2000.0, _ISO5),
        "cartridge": BreakingCapacity(None, _UNKNOWN),
        "breaker": BreakingCapacity(None, _UNKNOWN),
    }
)
RATED_VOLTAGE: Final[Mapping[str, float]] = MappingProxyType({"blade": 32.0, "strip": 32.0, "bolt_in": 32.0})
"""[V]; ISO 8820-3 and -5 scope."""
BLADE_LARGEST: Final = 100.0  # A, ISO 8820-3 scope
STRIP_LARGEST: Final = 500.0  # A, ISO 8820-5 scope

MOST_BREAKING: Final[Mapping[str, float]] = MappingProxyType(
    {"blade": 2e3, "strip": 6e3, "bolt_in": 25e3, "cartridge": 100e3, "breaker": 50e3}
)
"""Style -> largest direct-current breaking capacity it is made with [A]; common practice, no source."""


@dataclass(frozen=True, slots=True)
class BreakingClass:
    """A kind of fuse that can be bought: what it breaks at direct current [A], in which style and ratings [A]."""

    current: float
    style: str
    smallest: float
    largest: float
    name: str
    source: Source


CLASSES: Final = (
    BreakingClass(1000.0, "blade", 1.0, 100.0, "blade fuse to ISO 8820-3", _ISO3),
    BreakingClass(2000.0, "strip", 30.0, 500.0, "strip fuse to ISO 8820-5", _ISO5),
    BreakingClass(
        10e3, "bolt_in", 30.0, 300.0, "bolt-in fuse on the battery terminal",
        Source("common practice, no source", "", "", Status.PRACTICE),
    ),
    BreakingClass(
        20e3, "cartridge", 6.0, 600.0, "cartridge fuse of class T, by its direct-current rating",
        Source("UL 248-15", "", "class T, 20 kA at direct current", Status.MEMORY),
    ),
    BreakingClass(
        25e3, "cartridge", 6.0, 600.0, "gG fuse to IEC 60269-2, least direct-current rating",
        Source("IEC 60269-2", "", "25 kA at direct current", Status.MEMORY),
    ),
    BreakingClass(
        50e3, "cartridge", 6.0, 600.0, "cartridge fuse of class J whose data sheet says so for direct current",
        Source("UL 248-8", "", "class J, some 20, some 100 kA at direct current", Status.MEMORY),
    ),
)  # fmt: skip
"""Standard classes, rising; above the last one no general-purpose fuse can be counted on. Not checked against the
documents but for ISO 8820."""

ABYC_SOURCE: Final = Source("ABYC E-11", "E-11.16 numbering", "Table V-A", Status.READ_SECOND_HAND)
# (most connected cold cranking amperes, main, branch) [A]; the last row is open-ended
ABYC_BREAKING: Final = ((650.0, 1500.0, 750.0), (1100.0, 3000.0, 1500.0), (None, 5000.0, 2500.0))

COLD_SHARE: Final = 0.7
"""Cold over hot resistance of a fuse, 0.6 to 0.75, not checked against the document."""

CONTINUOUS_FRACTION: Final = 0.75
CONTINUOUS_SOURCE: Final = Source(
    "general fuse application guide", "", "continuous load at most 75 % of rating at 25 degC", Status.READ_SECOND_HAND
)
TEMPERATURE_SLOPE: Final = 0.005  # 1/K
TEMPERATURE_REFERENCE: Final = 25.0  # degC
TEMPERATURE_SOURCE: Final = Source("general fuse derating guide", "", "0.5 %/K above 25 degC", Status.READ_SECOND_HAND)

SELECTIVITY_RATIO: Final = 2.0
SELECTIVITY_SOURCE: Final = Source(
    "full band-to-band ratios of usual time-current limits, 1.5 to 5", "", "", Status.MEMORY
)


@dataclass(frozen=True, slots=True)
class TimeBracket:
    """Longest clearing time by multiple of the rating: an upper bracket, never a data sheet.

    Attributes:
        points: (current / rating, longest time [s]), rising; log-log between, never clears below the first.
        source: where the bracket comes from.
        note: what it is worth.
    """

    points: tuple[tuple[float, float], ...]
    source: Source
    note: str


_BRACKET_SOURCE = Source("bracket at or above every usual time-current limit", "", "", Status.ASSUMPTION)
_SLOW = TimeBracket(
    ((1.35, 1800.0), (2.0, 100.0), (3.5, 15.0), (6.0, 1.0)),
    _BRACKET_SOURCE,
    "equal to the usual limit of large blade fuses at six times the rating; not the limit of any standard",
)
BRACKETS: Final[Mapping[str, TimeBracket]] = MappingProxyType(
    {
        "blade": TimeBracket(
            ((1.35, 600.0), (2.0, 5.0), (3.5, 0.5), (6.0, 0.1)),
            Source("ISO 8820-3 types C and F", "2015", "operating time limits", Status.MEMORY),
            "could not be read again",
        ),
        "blade_large": TimeBracket(
            ((1.35, 1800.0), (2.0, 60.0), (3.5, 7.0), (6.0, 1.0)),
            Source("ISO 8820-3 type E", "2015", "operating time limits", Status.MEMORY),
            "low confidence",
        ),
        "strip": TimeBracket(
            ((2.0, 15.0), (3.0, 3.0), (5.0, 1.0)),
            Source("ISO 8820-5", "2015", "operating time limits", Status.MEMORY),
            "low confidence",
        ),
        "bolt_in": _SLOW,
        "cartridge": _SLOW,
        "breaker": _SLOW,
        "slow": _SLOW,
    }
)
"""Style -> upper clearing-time bracket; ``slow`` is the safe side for any style."""
SHORTEST_SOURCE: Final = Source("ISO 8820-3 and -5", "2015", "operating time limits", Status.MEMORY)
SHORTEST: Final[Mapping[str, tuple[tuple[float, float], ...]]] = MappingProxyType(
    {
        "blade": ((1.35, 0.75), (1.6, 0.25), (2.0, 0.15), (3.5, 0.04), (6.0, 0.02)),
        "blade_large": ((1.35, 60.0), (2.0, 2.0), (3.5, 0.2), (6.0, 0.04)),
        "strip": ((2.0, 1.0), (3.0, 0.3), (5.0, 0.1)),
    }
)
"""Style -> (current / rating, shortest time [s]), not checked against the document: for selectivity only."""
BRACKET_FLOOR: Final = 0.005  # s, shortest time that is claimed
BLADE_SMALL_LARGEST: Final = 40.0  # A, above it a blade fuse is taken as the large, slower type
