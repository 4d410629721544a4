"""The starter: its current through every cable and fuse on the way, and what the way costs it."""

from __future__ import annotations

from typing import Final

import numpy as np

from dossier.assessment.protection.clearing import curve, in_seconds
from dossier.assessment.protection.prospective import FaultNets
from dossier.buildfile.model import Build, Cable, Fuse
from dossier.electrical.fuses import clearing_time
from dossier.electrical.heating import adiabatic_temperature
from dossier.equipment.conductors import Conductor
from dossier.equipment.installed import Installed, home
from dossier.equipment.storage import NO_LIMIT, StorageBattery
from dossier.reference.defaults import DEFAULTS
from dossier.results.protection import Answer, CrankedCable, CrankedFuse, Cranking, Reply

CRANK_S: Final = 10.0  # s, the longest try that starters are made for; common practice, no source
COLD: Final = 2.0  # times the warm current, see the default
HOLDS: Final = 1.1  # times its rating every fuse carries; ISO 8820-3 and -5, not checked
LEAST_SHARE: Final = 0.02  # of the starter's current, that is worth following


def cranking(build: Build, fit: Installed, nets: FaultNets) -> Cranking | None:
    """Where the starter's current flows; None where no battery starts the engine.

    Batteries share it by their pulse resistances and the ways to the starter, couplings closed; banks, empty within a
    second, and alternators, which stand, do not count.
    """
    starters = {id_: b for id_, b in fit.batteries.items() if b.starts_engine}
    if not starters:
        return None
    place = build.vehicle.starter_at or home(build)
    stated = build.vehicle.cranking_current
    warm = DEFAULTS["vehicle.cranking"]
    nominal = stated.si if stated else warm.typical
    most = COLD * stated.si if stated else DEFAULTS["vehicle.cranking_cold"].typical
    net = nets.likely
    matrix = net.matrix.copy()
    for b in fit.batteries.values():
        plus, siemens = net.nodes[b.at], 1.0 / resistance(b)
        matrix[plus : plus + 2, plus : plus + 2] += siemens * np.array([[1.0, -1.0], [-1.0, 1.0]])
    drawn = np.zeros(len(matrix))
    drawn[net.nodes[place]], drawn[net.returns[place]] = -1.0, 1.0
    volts = np.linalg.solve(matrix, drawn)  # per ampere of the starter

    def across(plus: int, minus: int) -> float:
        return float(volts[plus] - volts[minus])

    drops = {b.id: -across(net.nodes[b.at], net.nodes[b.at] + 1) for b in fit.batteries.values()}  # ohm
    posts = max(drops[id_] for id_ in starters)
    ohms = -across(net.nodes[place], net.returns[place])
    shares = {path: abs(across(a, b)) / r for path, a, b, r in net.edges.values()}
    carry = {id_: share for id_ in fit.conductors if (share := shares[f"cables.{id_}"]) > LEAST_SHARE}
    limits = [
        b.trip.peak.nominal * resistance(b) / drops[id_] for id_, b in starters.items() if b.trip and drops[id_] > 0.0
    ]
    rest = max(b.open_circuit.nominal for b in starters.values())
    return Cranking(
        place=place,
        title=build.locations[place].title,
        warm=nominal,
        cold=most,
        way=max(ohms - posts, 0.0),
        at_starter=max(rest - nominal * ohms, 0.0),
        limited=min((limit for limit in limits if limit < NO_LIMIT), default=None),
        cables=tuple(_cable(fit.conductors[id_], share * most) for id_, share in carry.items()),
        fuses=tuple(
            _fuse(build.cables[id_], fuse, share * (stated.si if stated else warm.low), share * most)
            for id_, share in carry.items()
            for fuse in build.cables[id_].fuses.values()
        ),
    )


def resistance(b: StorageBattery) -> float:
    """To the seconds of a start, with its posts, as it stands [ohm]."""
    return b.in_place.pulse.nominal + b.terminals.nominal


def _cable(conductor: Conductor, amperes: float) -> CrankedCable:
    cable, hottest = conductor.cable, None
    if cable.size is not None:
        joule = (amperes / cable.runs) ** 2 * CRANK_S
        hottest = adiabatic_temperature(cable.size.si, cable.material, conductor.ambient.nominal, joule)
    rating = conductor.insulation.nominal if conductor.insulation else None
    return CrankedCable(cable.id, cable.title, amperes, amperes * conductor.resistance, hottest, rating)


def _fuse(cable: Cable, fuse: Fuse, known: float, most: float) -> CrankedFuse:
    """Whether a fuse carries its part of the current: it surely opens, it is not known, it carries it."""
    each = 1 if fuse.shared else cable.runs
    known, most, rating = known / each, most / each, fuse.rating.si
    longest, shortest = curve(fuse.opens_within), curve(fuse.holds_for)
    opens = clearing_time(known, 1.0, longest) if longest else None
    holds = clearing_time(most, 1.0, shortest) if shortest else None
    if opens is not None and opens <= CRANK_S:
        words = f"{known:.0f} A of the starter open it within {in_seconds(opens)} by the data sheet"
        answer = Answer(Reply.NO, words)
    elif most <= HOLDS * rating or (shortest and (holds is None or holds >= CRANK_S)):
        answer = Answer(Reply.YES, f"{most:.0f} A at most")
    else:
        words = (
            f"{known:.0f} A of the starter, up to {most:.0f} A in the cold, for {CRANK_S:.0f} s; "
            f"it surely carries {HOLDS * rating:.0f} A"
        )
        answer = Answer(Reply.MAYBE, words)
    return CrankedFuse(f"Fuse {fuse.id} of {cable.title}", f"cables.{cable.id}.fuses.{fuse.id}", most, rating, answer)
