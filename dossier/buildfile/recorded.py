"""What a record keeps beside the installation: identity, people, measurements, checklist, photos, history, handover.

The same rules as in ``dossier.buildfile.model``: SI inside, ``None`` or an empty text where the build file does
not say, nothing assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Annotated, Final

from dossier.buildfile.stated import Quantity
from dossier.frozen import dataclass

Id = Annotated[str, lambda p: p.id]  # the name of the entry
Title = Annotated[str, lambda p: p.title]  # its title, or its name in words


@dataclass(frozen=True, slots=True)
class Identity:
    """Which vehicle this is; ``masked`` keeps it out of the inspector's edition."""

    plate: str = ""
    vehicle_number: str = ""
    odometer: Quantity | None = None  # m
    masked: bool = False


@dataclass(frozen=True, slots=True)
class Workshop:
    """The letterhead: who answers for the work; empty texts where nothing is said."""

    name: str
    address: tuple[str, ...] = ()
    phone: str = ""
    email: str = ""
    web: str = ""
    registration: str = ""
    logo: str = ""  # a picture, relative to the folder of the file that names it


@dataclass(frozen=True, slots=True)
class Configuration:
    """What the user's configuration file says once for all builds; empty texts where it says nothing."""

    file: str = ""  # path as found
    text: bytes = b""  # its bytes, as attached to a dossier that uses its letterhead
    workshop: Workshop | None = None
    units: str = ""
    paper: str = ""
    edition: str = ""


NO_CONFIGURATION: Final = Configuration()


@dataclass(frozen=True, slots=True)
class Settings:
    """How an amplifier is set."""

    gain_target: Quantity | None = None  # V rms at its output
    test_tone: Quantity | None = None
    input: str = ""
    high_pass: Quantity | None = None
    high_pass_slope: Quantity | None = None  # dB per octave
    low_pass: Quantity | None = None
    low_pass_slope: Quantity | None = None
    boost: Quantity | None = None
    phase: str = ""
    note: str = ""


NOT_SET: Final = Settings()


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who worked on, checked or received the installation."""

    id: Id
    name: str
    role: str


@dataclass(frozen=True, slots=True)
class Accuracy:
    """How far an instrument may be off: a share of what it shows, and a zero in volts and amperes beside it."""

    share: Quantity | None = None
    voltage: Quantity | None = None
    current: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Instrument:
    """A measuring instrument; its kind decides what it can see."""

    id: Id
    title: Title
    kind: str
    serial: str
    calibrated: str
    note: str
    accuracy: Accuracy | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """Who took a measurement, with what, when, where, and on which revision."""

    instrument: str
    date: str
    place: str
    by: str
    revision: str  # "" = that of the record
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterReading:
    """A voltage or a current as an instrument showed it."""

    id: Id
    title: Title
    voltage: Quantity | None
    current: Quantity | None
    shows: str = "mean"  # mean | minimum_100ms | trough | ripple_rms | output_rms
    at: str
    amplifier: str
    cable: str  # amperes through all its runs, or volts from its one end to the other
    load_case: str
    moment: str = "playing"  # rest | playing | end | mean
    predicted: Quantity | None  # by the dossier of an earlier revision
    taken: Annotated[Taken, ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointReading:
    """Voltage across a joint, a fuse or a whole cable at a known current."""

    id: Id
    title: Title
    cable: str
    at: str
    across: str = "joint"  # joint | fuse | cable
    drop: Quantity
    current: Quantity
    taken: Annotated[Taken, ""]


@dataclass(frozen=True, slots=True)
class InsulationReading:
    """Resistance of a feed against the body [ohm]."""

    id: Id
    title: Title
    cable: str
    resistance: Quantity
    taken: Annotated[Taken, ""]


@dataclass(frozen=True, slots=True)
class ContinuityReading:
    """A conductor or disconnect that conducts, or opens, as it should."""

    id: Id
    title: Title
    cable: str
    state: str  # pass | fail
    resistance: Quantity | None
    taken: Annotated[Taken, ""]


@dataclass(frozen=True, slots=True)
class TorqueReading:
    """A joint tightened with a torque wrench [N m]."""

    id: Id
    title: Title
    cable: str
    at: str
    torque: Quantity
    asked: Quantity | None
    marked: bool
    taken: Annotated[Taken, ""]


@dataclass(frozen=True, slots=True)
class SoundRun:
    """One run with a sound level meter."""

    id: Id
    title: Title
    position: str
    level: Quantity
    weighting: str  # A | C | Z | ""
    detector: str
    frequency: Quantity | None
    duration: Quantity | None
    supply_voltage: Quantity | None
    load_case: str
    target: Quantity | None
    predicted_voltage: Quantity | None
    taken: Annotated[Taken, ""]
    entered_in: Annotated[str, "class"] = ""


@dataclass(frozen=True, slots=True)
class StatedLog:
    """A voltage log beside the build file: which load case was played, and what its columns show."""

    id: Id
    title: Title
    file: str  # relative to the folder of the build file
    load_case: str
    columns: Mapping[str, str]  # name of the column -> amplifiers.ID, locations.ID, ...
    starts: Quantity | None  # s in the log at which the sound starts


@dataclass(frozen=True, slots=True)
class Measurements:
    """Everything that was measured, by kind and name."""

    readings: Mapping[str, MeterReading] = field(default_factory=dict)
    joints: Mapping[str, JointReading] = field(default_factory=dict)
    insulation: Mapping[str, InsulationReading] = field(default_factory=dict)
    continuity: Mapping[str, ContinuityReading] = field(default_factory=dict)
    torque: Mapping[str, TorqueReading] = field(default_factory=dict)
    sound: Mapping[str, SoundRun] = field(default_factory=dict)
    logs: Mapping[str, StatedLog] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Region:
    """A part of a photograph, each edge as a share of its width or height, from the top left corner [0..1]."""

    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph beside the build file.

    Attributes:
        id, file, caption, date: as stated; ``file`` from the folder of the build file.
        mask: what is blackened where the identity is masked.
        private: left out there.
    """

    id: Id
    file: str
    caption: str
    date: str
    mask: tuple[Region, ...] = ()
    private: bool = False


@dataclass(frozen=True, slots=True)
class Tick:
    """What was found at one point of the checklist."""

    id: Id
    item: str  # words of an item of the user's own, or ""
    state: str  # pass | fail | not_applicable | not_verified | limitation
    by: str
    date: str
    note: str


@dataclass(frozen=True, slots=True)
class Advice:
    """What the customer was told, and the answer."""

    id: Id
    advice: str
    answer: str  # accepted | declined | open
    date: str
    by: str
    note: str


@dataclass(frozen=True, slots=True)
class Revision:
    """One revision of the installation."""

    revision: str
    date: str
    changed: str
    by: str


@dataclass(frozen=True, slots=True)
class Maintenance:
    """One task and when it is due."""

    id: Id
    task: str
    due_date: str
    due_at: Quantity | None  # m on the odometer
    every_months: int | None
    every_distance: Quantity | None  # m
    by: str


@dataclass(frozen=True, slots=True)
class Handover:
    """When the vehicle was given back, and what is due when."""

    date: str
    odometer: Quantity | None
    by: str
    to: str
    contact: str
    maintenance: Mapping[str, Maintenance]


@dataclass(frozen=True, slots=True)
class Kept:
    """The record sections of a build file together; all empty where there are none."""

    identity: Annotated[Identity, "record.identity"] = Identity()
    workshop: Workshop | None = None
    people: Mapping[str, Person] = field(default_factory=dict)
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    measurements: Measurements = field(default_factory=Measurements)
    checklist: Mapping[str, Tick] = field(default_factory=dict)
    photos: Mapping[str, Photo] = field(default_factory=dict)
    advice: Mapping[str, Advice] = field(default_factory=dict)
    revisions: tuple[Revision, ...] = ()
    handover: Handover | None = None

    @property
    def odometer(self) -> Quantity | None:
        """At the handover [m]; that of the record where it states none of its own."""
        return self.handover.odometer if self.handover and self.handover.odometer else self.identity.odometer
