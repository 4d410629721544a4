"""How near to its source a fuse must sit, and how large it may be: the rules and their sources."""

from __future__ import annotations

from typing import Final

from dossier.frozen import dataclass
from dossier.reader.gauges import INCH
from dossier.reference.source import PRACTICE, Source, Status


@dataclass(frozen=True, slots=True)
class DistanceRule:
    """Longest unprotected length along the conductor."""

    name: str  # stable name
    length: float  # [m]
    applies: str  # to what, in words
    source: Source  # of the rule


_CFR455 = Source("33 CFR 183.455", "current, as mirrored", "paras (a) to (c)", Status.READ)
_CFR460 = Source("33 CFR 183.460", "", "para (a)", Status.MEMORY)
_ISO10133 = Source("ISO 10133", "2000", "8.1", Status.READ_SECOND_HAND)
_ISO13590 = Source("ISO 13590", "2018", "", Status.READ_SECOND_HAND)
_ISO13297 = Source("ISO 13297", "2021", "12.3", Status.READ_SECOND_HAND)

GENERAL: Final = DistanceRule("general", 7 * INCH, "any conductor, from the source of power", _CFR455)
SHEATHED: Final = DistanceRule("sheathed", 40 * INCH, "conductor in a sheath or enclosure the whole way", _CFR455)
BATTERY: Final = DistanceRule("battery", 72 * INCH, "conductor from a battery, cranking excepted", _CFR460)
TRADE: Final = DistanceRule("trade", 18 * INCH, "vehicle audio feeds, as usually asked for", PRACTICE)
ISO10133_GENERAL: Final = DistanceRule("iso_10133", 0.200, "extra-low-voltage d.c., small craft", _ISO10133)
ISO13590_GENERAL: Final = DistanceRule("iso_13590", 0.180, "any conductor, personal watercraft", _ISO13590)
ISO13590_SHEATHED: Final = DistanceRule("iso_13590_sheathed", 0.500, "sheathed conductor", _ISO13590)
ISO13590_BATTERY: Final = DistanceRule("iso_13590_battery", 0.900, "conductor from a battery", _ISO13590)
CHARGING_SOURCE: Final = DistanceRule("charging_source", 1.8, "charging source to its device", _ISO13297)


RATING_LIMIT_FRACTION: Final = 1.5
RATING_LIMIT_SOURCE: Final = Source("33 CFR 183.455", "current, as mirrored", "para (c), below 50 V", Status.READ)
"""A device may be rated up to 150 % of the conductor's allowable current: short-circuit protection only."""
COORDINATION_SOURCE: Final = Source(
    "BS 7671", "2018", "433.1.1: load <= rating <= allowable current", Status.READ_SECOND_HAND
)
INTERRUPTING_SOURCE: Final = Source(
    "BS 7671", "2018", "434.5.1: breaking capacity >= prospective current", Status.READ_SECOND_HAND
)
ALTERNATOR_LIMIT_FRACTION: Final = 1.2
ALTERNATOR_LIMIT_SOURCE: Final = Source("33 CFR 183.460", "", "para (b)", Status.MEMORY)
SMALLER_CONDUCTOR_SOURCE: Final = Source("46 CFR 111.50-5", "", "para (a)(3)", Status.READ_SECOND_HAND)
PARALLEL_SOURCE: Final = Source("IEC 60364-4-43", "2008", "434.4", Status.MEMORY)
