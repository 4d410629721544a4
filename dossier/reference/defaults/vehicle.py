"""Defaults of the vehicle: its own loads by engine state, and the starter."""

from __future__ import annotations

from typing import Final

from dossier.reference.defaults.entry import default
from dossier.reference.source import Source, Status

_NREL = Source("NREL ADVISOR 14 V load library, about 15 vehicles", "c.2002", "", Status.READ)
_NREL_SUM = Source("NREL ADVISOR 14 V load library, sums", "c.2002", "", Status.DERIVED)
_EU = Source("Commission Implementing Decision (EU) 2017/785", "2017", "annex, 750 W at 14.3 V", Status.READ)
_CRANK = Source("starter-draw references", "", "", Status.READ_SECOND_HAND)

VEHICLE: Final = (
    default(
        "vehicle.base.stopped",
        "vehicle's own load, engine stopped, ignition on",
        (2.1, 4.5, 6.5),
        "A",
        _NREL,
        "instruments and body electronics at 13.5 V; lamps off",
        per_system=-1,
    ),
    default(
        "vehicle.base.auto_stop",
        "vehicle's own load, engine stopped by start-stop",
        (20, 42, 65),
        "A",
        Source("running load less ignition and injection", "", "", Status.DERIVED),
        "lamps, blower and the rest go on, 10 A of the engine do not",
        per_system=-1,
    ),
    default(
        "vehicle.base.idle", "vehicle's own load at idle", (30, 52, 75), "A", _EU, "real-world average", per_system=-1
    ),
    default(
        "vehicle.base.cruise",
        "vehicle's own load while driving",
        (30, 52, 75),
        "A",
        _EU,
        "real-world average",
        per_system=-1,
    ),
    default(
        "vehicle.base.worst",
        "vehicle's own load, winter night or hot day at idle",
        (60, 85, 120),
        "A",
        _NREL_SUM,
        "electric steering adds bursts of 30 to 80 A",
    ),
    default("vehicle.base.day", "least load to idle or drive by day", (12, 20, 35), "A", _NREL_SUM),
    default(
        "vehicle.cranking", "starter current, warm and steady", (80, 150, 250), "A", _CRANK, "about twice in the cold"
    ),
    default("vehicle.cranking_cold", "starter current at -18 °C", (150, 300, 600), "A", _CRANK),
    default(
        "vehicle.cranking_voltage",
        "battery voltage while cranking, healthy",
        (9.0, 10.2, 11.2),
        "V",
        Source("service load-test limits", "", "9.6 V at 21 degC", Status.DERIVED),
    ),
)
