"""Cables, the body return, fuses and couplings with every number they need."""

from __future__ import annotations

from dataclasses import replace

from dossier.buildfile.model import Build, Cable, Coupling, Fuse
from dossier.electrical import conductors
from dossier.electrical.ampacity import ALONE, Factor, bundling_factor, touching_factor
from dossier.electrical.fuses import fuse_resistance
from dossier.equipment.value import Subject, Value
from dossier.frozen import dataclass
from dossier.reference.ampacity import BUNDLING_TOUCHING_SOURCE
from dossier.reference.band import Band
from dossier.reference.defaults import DEFAULTS

MATERIAL_WORDS = {
    "copper": "copper",
    "cca_10": "copper-clad aluminium, 10 %",
    "cca_15": "copper-clad aluminium, 15 %",
    "aluminium": "aluminium",
}


@dataclass(frozen=True, slots=True)
class FuseInCable:
    """One fuse with its resistance and its holder's [ohm]: nominal warm, low end cold, all runs' fuses together."""

    id: str
    fuse: Fuse
    resistance: Value


@dataclass(frozen=True, slots=True)
class Conductor:
    """One cable of the build, all runs together.

    Attributes:
        wire: resistance of the metal at ``temperature`` [ohm]; None where the whole path was stated.
        joints: of both ends [ohm]; None where the whole path was stated.
        path: resistance of the whole path where it was stated or is the body [ohm], else None.
        insulation: rating [degC]; ``ambient`` along the run [degC].
        touching: loaded runs that touch where several lie side by side, as many as stated, else all of them; or None.
    """

    id: str
    cable: Cable
    wire: Value | None
    joints: Value | None
    path: Value | None
    fuses: tuple[FuseInCable, ...]
    insulation: Value | None
    ambient: Value
    touching: Value | None = None

    @property
    def bundle(self) -> Factor:
        """Factor on its allowed current for what lies beside it: runs side by side touch, as many as stated."""
        if self.touching is not None:
            return touching_factor(round(self.touching.nominal))
        return ALONE if self.cable.bundled is None else bundling_factor(max(self.cable.bundled, 1))

    @property
    def resistance(self) -> float:
        """Nominal resistance of everything in series [ohm]."""
        return sum(v.nominal for v in self.parts)

    @property
    def parts(self) -> tuple[Value, ...]:
        """Everything in series."""
        own = (self.path,) if self.path is not None else (self.wire, self.joints)
        return tuple(v for v in own if v is not None) + tuple(f.resistance for f in self.fuses)


@dataclass(frozen=True, slots=True)
class InstalledCoupling:
    """One coupling: what it is worth closed, and when it closes and opens."""

    id: str
    coupling: Coupling
    resistance: Value
    forward_drop: Value | None
    closes: Value | None
    opens: Value | None
    delay: Value | None


def conductors_of(build: Build) -> dict[str, Conductor]:
    """Every cable of the build, by id."""
    return {id_: conductor_of(build, cable) for id_, cable in build.cables.items()}


def installed_couplings(build: Build) -> dict[str, InstalledCoupling]:
    """Every coupling of the build, by id."""
    return {id_: _coupling(coupling, build.vehicle.over_12_v) for id_, coupling in build.couplings.items()}


def ambient_of(build: Build, location: str) -> Value:
    """Air temperature of a location [degC]."""
    place = build.locations[location]
    who = Subject(f"locations.{location}", place.title)
    default = "ambient.engine_bay" if _near_engine(build, location) else "ambient.cabin"
    return who.pick(place.ambient, "ambient", "air temperature", "degC", default, spread=5.0, absolute=True)


def _near_engine(build: Build, location: str) -> bool:
    """Whether an alternator or the starter battery lives there: the warm assumption is the safe one."""
    return any(s.at == location for s in build.supplies.values() if s.kind == "alternator") or any(
        b.at == location and b.starts_engine for b in build.batteries.values()
    )


def conductor_of(build: Build, cable: Cable) -> Conductor:
    """One cable with every number it needs."""
    who = Subject(f"cables.{cable.id}", cable.title)
    ends = (ambient_of(build, cable.start), ambient_of(build, cable.end))
    ambient = max(ends, key=lambda v: v.nominal)
    if cable.ambient:  # nowhere can all of it be cooler than the cooler of its ends
        along = who.stated(cable.ambient, "air along the run", "degC", spread=5.0, absolute=True)
        ambient = max(along, min(ends, key=lambda v: v.nominal), key=lambda v: v.nominal)
    fuses = tuple(_fuse(cable, fuse) for fuse in cable.fuses.values())
    if cable.resistance is not None:
        path = who.stated(cable.resistance, "resistance of the path", "ohm", spread=0.2)
        return Conductor(cable.id, cable, None, None, path, fuses, _insulation(cable, who), ambient)
    if cable.chassis and cable.size is None:
        path = who.assumed("resistance", "body return with its studs", "ohm", "joint.body_return")
        return Conductor(cable.id, cable, None, None, path, fuses, None, ambient)
    assert cable.size is not None  # the reader asks for it
    assert cable.length is not None
    one = conductors.resistance(cable.size.si, 1.0, cable.material, ambient.nominal + WARM_RISE).scaled(1 / cable.runs)
    run = who.stated(cable.length, "resistance of the metal, warm", "ohm", spread=0.05)
    wire = replace(run, nominal=one.typical * run.nominal, low=one.low * run.low, high=one.high * run.high)
    joints = who.pick(cable.joints, "joints", "joints at both ends", "ohm", "joint.cable_ends", spread=0.3).scaled(
        1.0 / cable.runs
    )
    beside = _touching(build, cable, who)
    return Conductor(cable.id, cable, wire, joints, None, fuses, _insulation(cable, who), ambient, beside)


def _touching(build: Build, cable: Cable, who: Subject) -> Value | None:
    """Loaded runs between the same two places, of one role: side by side and touching, unless stated otherwise."""
    beside = [c for c in build.cables.values() if c.role == cable.role and {c.start, c.end} == {cable.start, cable.end}]
    runs = sum(c.runs for c in beside if c.id != cable.id and c.size is not None) + cable.runs
    if runs < 2:
        return None
    if cable.bundled is not None:
        return replace(who.fixed(cable.bundled, "bundled", "loaded runs that touch", "", ""), basis="estimated")
    source = BUNDLING_TOUCHING_SOURCE.text
    return who.from_band("bundled", "loaded runs that touch", "", Band(1.0, runs, runs), source)


WARM_RISE = 15.0  # K above the air while playing; assumption, replaced where a conductor's heating is computed


def _insulation(cable: Cable, who: Subject) -> Value | None:
    if cable.chassis:
        return None
    return who.pick(cable.insulation, "insulation", "insulation rating", "degC", "cable.insulation", spread=0.0)


def _fuse(cable: Cable, fuse: Fuse) -> FuseInCable:
    who = Subject(f"cables.{cable.id}.fuses.{fuse.id}", f"Fuse {fuse.id} of {cable.title}")
    each = 1 if fuse.shared else cable.runs
    if fuse.resistance is not None:
        return FuseInCable(
            fuse.id,
            fuse,
            who.stated(fuse.resistance, "resistance with its holder", "ohm", spread=0.2).scaled(1.0 / each),
        )
    # warm at its rated current for sag, which is the high side; the low end is the cold fuse of a fault
    warm, cold = (fuse_resistance(fuse.style, fuse.rating.si, hot) for hot in (True, False))
    holder = DEFAULTS["fuse.holder"].band
    whole = who.from_band(
        "resistance",
        "resistance with its holder",
        "ohm",
        Band(cold.low + holder.low, warm.typical + holder.typical, warm.high + holder.high),
        DEFAULTS[f"fuse.{'blade' if fuse.style == 'blade' else 'bolt'}_drop"].source.text,
    )
    return FuseInCable(fuse.id, fuse, whole.scaled(1.0 / each))


def _coupling(c: Coupling, over_12_v: float) -> InstalledCoupling:
    who = Subject(f"couplings.{c.id}", c.title, over_12_v)
    diode = c.kind == "diode_isolator"
    sensing = c.kind == "voltage_sensing_relay"
    contact = "coupling.switch" if c.kind == "switch" else "coupling.relay"
    return InstalledCoupling(
        id=c.id,
        coupling=c,
        resistance=who.pick(c.resistance, "resistance", "resistance when closed", "ohm", contact, spread=0.3),
        forward_drop=who.pick(
            c.forward_drop, "forward_drop", "forward drop", "V", "coupling.diode_drop", spread=0.1, absolute=True
        )
        if diode
        else None,
        closes=who.pick(c.closes, "closes", "closing voltage", "V", "coupling.closes", spread=0.1, absolute=True)
        if sensing
        else None,
        opens=who.pick(c.opens, "opens", "opening voltage", "V", "coupling.opens", spread=0.1, absolute=True)
        if sensing
        else None,
        delay=who.pick(c.delay, "delay", "opening delay", "s", "coupling.delay", spread=0.2) if sensing else None,
    )
