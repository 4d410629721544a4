"""The build as data: one frozen class per section of the build file, SI inside.

Units inside: V, A, ohm, F, W, m, m2, kg, s, Hz, coulomb (A s). Three exceptions, because every table of the
trade uses them: temperatures in degrees Celsius, rotational speeds in revolutions per minute, levels in dB.
``None`` means that the build file does not say; nothing is assumed on this floor (see ``dossier.equipment``). How a
field is read follows from its type, see ``dossier.buildfile.construct``; the defaults are those of the schema.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Annotated, Any

from dossier.buildfile.devices import Amplifier as Amplifier
from dossier.buildfile.devices import Battery as Battery
from dossier.buildfile.devices import Belt as Belt
from dossier.buildfile.devices import Cable as Cable
from dossier.buildfile.devices import CapacitorBank as CapacitorBank
from dossier.buildfile.devices import Coupling as Coupling
from dossier.buildfile.devices import Fuse as Fuse
from dossier.buildfile.devices import Management as Management
from dossier.buildfile.devices import RemoteLead as RemoteLead
from dossier.buildfile.devices import Speaker as Speaker
from dossier.buildfile.devices import SpeakerLead as SpeakerLead
from dossier.buildfile.devices import Supply as Supply
from dossier.buildfile.part import Part
from dossier.buildfile.recorded import Configuration, Id, Kept, Title
from dossier.buildfile.stated import Basis as Basis
from dossier.buildfile.stated import Quantity as Quantity
from dossier.diagnostic import Place
from dossier.frozen import dataclass
from dossier.reader.reading import AS_WRITTEN

_TWELVE_VOLTS = Quantity(12.0, "12 V", "vehicle.system")


def _stage(part: Part) -> str:
    """Plan and design are two words for one stage."""
    return "design" if part.data["stage"] == "plan" else str(part.data["stage"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Who, what and when: the identity of the document."""

    number: str
    title: str
    stage: Annotated[str, _stage]  # design | as_built
    date: str  # ISO 8601, as written
    revision: str = "A"
    workshop: str
    customer: str
    units: str = ""  # metric | us; "" = not stated
    paper: str = ""  # a4 | letter; "" = not stated


@dataclass(frozen=True, slots=True)
class StartStop:
    """A start-stop system on a drive of an hour."""

    stops: int = 20
    each: Quantity | None = None  # s


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """The vehicle and its own electrical loads."""

    description: str
    system: Quantity = _TWELVE_VOLTS  # nominal voltage, V
    idle: Quantity | None  # engine r/min
    cruise: Quantity | None
    redline: Quantity | None
    base_load_at: Annotated[str, "base_load.at"]  # location id; "" = where the starter battery is
    base_load: Annotated[Mapping[str, Quantity], lambda p: p.by_state("base_load")]  # engine state -> A at 13.5 V
    cranking_current: Quantity | None  # A, warm
    key_off_current: Quantity | None = None  # A, the vehicle's own, asleep
    payload: Quantity | None = None  # kg it may still take
    starter_at: str = ""  # location id; "" = at the posts of the battery that starts the engine
    start_stop: StartStop | None = None

    @property
    def over_12_v(self) -> float:
        """By how much a voltage of the vehicle itself, assumed for a 12 V system, is larger here."""
        return self.system.si / 12.0


@dataclass(frozen=True, slots=True)
class Location:
    """A place where conductors land; it has a positive and a negative."""

    id: Id
    title: Title
    ambient: Quantity | None  # degC
    coldest: Quantity | None = None  # degC
    zone: str = ""  # engine_bay | cabin | boot | outside; "" = not stated


@dataclass(frozen=True, slots=True)
class Engine:
    """What the engine does in a load case."""

    state: str  # stopped | auto_stop | idle | cruise
    speed: Quantity | None  # r/min, when a speed is given instead of a state

    @classmethod
    def of(cls, part: Part) -> Engine:
        """A state, or a speed: then the engine drives."""
        speed = part.quantity("engine")
        return cls("cruise" if speed else part.data["engine"], speed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """What is played."""

    tone: Quantity | None = None  # Hz
    burst: Quantity | None = None  # s of each burst
    every: Quantity | None = None  # s from burst to burst
    crest_factor: Annotated[Quantity | None, "music.crest_factor"] = None  # dB, of music
    duration: Annotated[Quantity, "for"]  # s

    @property
    def kind(self) -> str:
        """The kind of signal: tone, bursts or music."""
        return "music" if self.crest_factor else "bursts" if self.burst else "tone"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCase:
    """One situation to compute."""

    id: Id
    title: Title
    engine: Annotated[Engine, Engine.of]
    signal: Signal
    drive: str = "clean"  # clean | clipped
    level: Quantity | None  # 0..1 of rated output; the key `level` takes dB or %
    amplifiers: tuple[str, ...]  # () = all


@dataclass(frozen=True, slots=True)
class Limit:
    """The lowest voltage that is accepted, by the statistic it is judged on."""

    mean: Quantity | None
    minimum_100ms: Quantity | None
    trough: Quantity | None


@dataclass(frozen=True, slots=True)
class Option:
    """A change worth comparing: a JSON Merge Patch (RFC 7396) over the build."""

    id: Id
    title: Title
    cost: Quantity | None  # money, in the currency written
    mass: Quantity | None  # kg added
    changes: Mapping[str, Any]
    needs: tuple[str, ...] = ()  # options it is not bought without
    excludes: tuple[str, ...] = ()  # options it is not bought with

    @property
    def currency(self) -> str:
        """The three letters behind the cost, or an empty text."""
        return self.cost.text[-3:] if self.cost else ""


@dataclass(frozen=True, slots=True)
class Build:
    """Everything the build file says, checked and in SI.

    ``places`` maps every dotted path to its position in the file; ``text`` is the file as read.
    """

    name: str  # file stem, for output names
    record: Record
    vehicle: Vehicle
    locations: Mapping[str, Location]
    supplies: Mapping[str, Supply]
    batteries: Mapping[str, Battery]
    capacitor_banks: Mapping[str, CapacitorBank]
    amplifiers: Mapping[str, Amplifier]
    speakers: Mapping[str, Speaker]
    cables: Mapping[str, Cable]
    couplings: Mapping[str, Coupling]
    load_cases: Mapping[str, LoadCase]
    amplifier_limit: Annotated[Limit, "limits.amplifier"]
    vehicle_limit: Annotated[Limit, "limits.vehicle"]
    options: Mapping[str, Option]
    notes: tuple[str, ...]
    tree: Mapping[str, Any] = field(repr=False, metadata=AS_WRITTEN)  # the plain data, as validated
    places: Mapping[str, Place] = field(repr=False, metadata=AS_WRITTEN)
    text: bytes = field(repr=False, metadata=AS_WRITTEN)
    fuse_distance: Annotated[str, "limits.fuse_distance"] = ""  # rule for places; "" = the published default
    kept: Annotated[Kept, ""] = field(default_factory=Kept)  # identity, people, measurements, photos, history
    voltage_drop: Annotated[Quantity | None, "limits.voltage_drop"] = None  # V, from the highest store to an amplifier
    budget: Quantity | None = None  # money for options, in the currency written
    configuration: Configuration | None = None  # the file the letterhead came from, where the build has none

    @property
    def voltage_limits(self) -> tuple[float, ...]:
        """Every lowest voltage that is stated [V]."""
        stated = (self.amplifier_limit, self.vehicle_limit)
        every = (one for limit in stated for one in (limit.mean, limit.minimum_100ms, limit.trough))
        return tuple(one.si for one in every if one is not None)

    @property
    def serials(self) -> Mapping[tuple[str, str], str]:
        """Section and name of every device whose serial number is stated -> the number."""
        devices = ("supplies", "batteries", "capacitor_banks", "amplifiers", "speakers")
        every = ((section, name, one.serial) for section in devices for name, one in getattr(self, section).items())
        return {(section, name): serial for section, name, serial in every if serial}
