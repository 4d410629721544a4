"""Defaults of double-layer capacitor banks."""

from __future__ import annotations

from typing import Final

from dossier.reference.defaults.entry import default
from dossier.reference.source import MEMORY, Source, Status

_CELL = Source("2.7 V 2000 F cell data and an NREL cell test", "2001", "", Status.READ_SECOND_HAND)

CAPACITORS: Final = (
    default(
        "capacitor.tau",
        "capacitor: direct-current resistance times capacitance, new large cell",
        (0.3, 0.7, 1.0),
        "s",
        _CELL,
        "a series string keeps it; add the joints",
    ),
    default(
        "capacitor.tau_worn",
        "capacitor: the same for worn or anonymous cells",
        (1.0, 1.5, 3.0),
        "s",
        Source("end of life at twice the resistance", "", "", Status.DERIVED),
    ),
    default(
        "capacitor.capacitance",
        "capacitor: capacitance over its label",
        (1.0, 1.08, 1.2),
        "",
        _CELL,
        "-0/+20 % for large cells, +-20 % for small ones; take 1.0 where less is the safe side",
    ),
    default("capacitor.rated_voltage", "capacitor: rated voltage of a cell", (2.5, 2.7, 3.0), "V", _CELL),
    default("capacitor.leakage", "capacitor: leakage after 72 h at 25 °C", (0.5, 1.5, 2.5), "µA/F", _CELL),
    default("capacitor.current", "capacitor: continuous current per farad, 15 K rise", (0.06, 0.06, 0.1), "A/F", _CELL),
    default("capacitor.joint", "capacitor: link between two cells", (0.005, 0.02, 0.1), "mΩ", MEMORY),
)
