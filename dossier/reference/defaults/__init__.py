"""Every default the tool may assume, by id."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from dossier.reference.defaults import amplifiers, batteries, capacitors, charging, joints, vehicle
from dossier.reference.defaults.entry import UNITS, Default

__all__ = ["DEFAULTS", "UNITS", "Default"]

ALL: Final = (
    *batteries.BATTERIES, *capacitors.CAPACITORS, *charging.CHARGING, *joints.JOINTS, *amplifiers.AMPLIFIERS,
    *vehicle.VEHICLE,
)
DEFAULTS: Final[Mapping[str, Default]] = MappingProxyType({entry.id: entry for entry in ALL})
"""id -> default; ids are unique (tested)."""
