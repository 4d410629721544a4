"""The build as data: one frozen class per section of the build file, SI inside.

Units inside: V, A, ohm, F, W, m, m2, kg, s, Hz, coulomb (A s). Three exceptions, because every table of the
trade uses them: temperatures in degrees Celsius, rotational speeds in revolutions per minute, levels in dB.
``None`` means that the build file does not say; nothing is assumed on this floor (see ``dossier.equipment``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from dossier.buildfile.recorded import Configuration, Kept
from dossier.buildfile.stated import Basis as Basis
from dossier.buildfile.stated import Quantity as Quantity
from dossier.diagnostic import Place
from dossier.reader.reading import AS_WRITTEN


@dataclass(frozen=True, slots=True)
class Record:
    """Who, what and when: the identity of the document."""

    number: str
    title: str
    stage: str  # design | as_built
    date: str  # ISO 8601, as written
    revision: str
    workshop: str
    customer: str
    units: str = ""  # metric | us; "" = not stated
    paper: str = ""  # a4 | letter; "" = not stated


@dataclass(frozen=True, slots=True)
class Vehicle:
    """The vehicle and its own electrical loads."""

    description: str
    system: Quantity  # nominal voltage, V
    idle: Quantity | None  # engine r/min
    cruise: Quantity | None
    redline: Quantity | None
    base_load_at: str  # location id; "" = where the starter battery is
    base_load: Mapping[str, Quantity]  # engine state -> A at 13.5 V
    cranking_current: Quantity | None  # A, warm
    key_off_current: Quantity | None = None  # A, the vehicle's own, asleep
    payload: Quantity | None = None  # kg it may still take
    starter_at: str = ""  # location id; "" = at the posts of the battery that starts the engine

    @property
    def over_12_v(self) -> float:
        """By how much what is assumed for a 12 V system is larger here; 12 to 20 V count as one system."""
        return self.system.si / 12.0 if self.system.si > 20.0 else 1.0


@dataclass(frozen=True, slots=True)
class Location:
    """A place where conductors land; it has a positive and a negative."""

    id: str
    title: str
    ambient: Quantity | None  # degC
    coldest: Quantity | None = None  # degC
    zone: str = ""  # engine_bay | cabin | boot | outside; "" = not stated


@dataclass(frozen=True, slots=True)
class Belt:
    """The belt drive of an alternator, before and after a change of its pulley."""

    crank_pulley: Quantity | None  # m, pitch diameter
    pulley: Quantity  # m, pitch diameter, as fitted or planned
    replaced_pulley: Quantity | None  # m, the one it replaces
    centres: Quantity | None  # m, distance of the two shafts
    wrap: Quantity | None  # degrees of contact on the alternator's pulley


@dataclass(frozen=True, slots=True)
class Supply:
    """An alternator, a DC-DC converter or a bench charger."""

    id: str
    title: str
    kind: str  # alternator | dc_dc | charger
    at: str
    input_from: str  # dc_dc: the location it draws from, else ""
    runs_in: tuple[str, ...]  # engine states in which it works; () = the usual ones for its kind
    charging_voltage: Mapping[str, Quantity]  # engine state, or "any" -> V
    rated_current: Quantity | None  # A; alternator: at 6000 r/min of its own shaft, cold
    output_at_shaft: tuple[tuple[Quantity, Quantity], ...]  # (shaft r/min, A), rising speed
    output_is_hot: bool  # the points are hot output, no derating to apply
    pulley_ratio: Quantity | None
    load_response: Quantity | None  # A/s below about 1000 engine r/min
    maximum_speed: Quantity | None  # shaft r/min
    efficiency: Quantity | None
    minimum_input: Quantity | None  # dc_dc: V below which it stops
    regulation: str = ""  # internal | engine_computer | external; "" = not stated
    belt: Belt | None = None


@dataclass(frozen=True, slots=True)
class Management:
    """Limits of a lithium battery's own management; it opens when they are passed."""

    continuous: Quantity | None  # A
    peak: Quantity | None  # A
    peak_time: Quantity | None  # s that the peak may last
    low_voltage: Quantity | None  # V
    own_current: Quantity | None = None  # A it takes by itself
    coldest_charge: Quantity | None = None  # degC below which it lets no charge in


@dataclass(frozen=True, slots=True)
class Battery:
    """One battery, or several equal ones side by side."""

    id: str
    title: str
    at: str
    chemistry: str  # flooded | agm | lifepo4 | lto
    parallel: int  # equal units side by side; every figure below is for one unit
    series: int  # equal 12 V units in series (24 V systems)
    cells: int | None  # cells in series of one lithium unit
    capacity: Quantity | None  # A s
    cold_cranking: Quantity | None  # A
    cold_cranking_standard: str  # sae | en | din
    internal_resistance: Quantity | None  # ohm, 1 to 10 s pulse
    open_circuit_voltage: Quantity | None  # V, rested, at the stated state of charge
    state_of_charge: Quantity | None  # 0..1
    surface_charge: Quantity | None  # F, apparent capacitance above rest
    management: Management | None
    starts_engine: bool
    mass: Quantity | None
    vent_outside: bool = False  # a tube leads its gas out of the vehicle


@dataclass(frozen=True, slots=True)
class CapacitorBank:
    """Double-layer capacitor cells in series and parallel."""

    id: str
    title: str
    at: str
    series: int
    parallel: int
    capacitance: Quantity  # F, one cell
    esr: Quantity | None  # ohm, one cell
    rated_voltage: Quantity | None  # V, one cell
    mass: Quantity | None
    balancing: str = ""  # none | passive | active; "" = not stated
    standby_current: Quantity | None = None  # A, leakage and balancing of the whole bank
    precharge: Quantity | None = None  # ohm
    precharge_power: Quantity | None = None  # W the resistor may dissipate


@dataclass(frozen=True, slots=True)
class Amplifier:
    """One amplifier, as its data sheet rates it."""

    id: str
    title: str
    at: str
    supply: str  # regulated | unregulated
    output_class: str  # d | ab
    rated: tuple[tuple[Quantity, Quantity], ...]  # (ohm, W), falling impedance
    rated_at: Quantity | None  # V
    efficiency: Quantity | None  # 0..1 at full power
    idle_current: Quantity | None  # A
    low_voltage_shutdown: Quantity | None  # V
    restart_voltage: Quantity | None  # V
    restart_delay: Quantity | None  # s
    lowest_voltage: Quantity | None  # V below which it cannot work at all
    maximum_supply: Quantity | None  # V
    ripple_fraction: Quantity | None  # 0..1
    onboard_fuses: Quantity | None  # A, all together
    mass: Quantity | None
    standby_current: Quantity | None = None  # A with its remote lead off
    remote: RemoteLead | None = None


@dataclass(frozen=True, slots=True)
class RemoteLead:
    """The thin lead that switches an amplifier on."""

    size: Quantity  # m2
    length: Quantity | None  # m
    current: Quantity | None  # A it carries
    fuse: Quantity | None  # A at its source


@dataclass(frozen=True, slots=True)
class SpeakerLead:
    """The lead from an amplifier to one set of drivers; both conductors alike."""

    size: Quantity  # m2
    length: Quantity  # m, one way
    material: str


@dataclass(frozen=True, slots=True)
class Speaker:
    """A set of equal drivers on one amplifier, or on a strapped pair."""

    id: str
    title: str
    amplifiers: tuple[str, ...]  # two = strapped, each sees half the load
    drivers: int
    voice_coils: int
    coil_impedance: Quantity
    coils_in: str  # series | parallel
    drivers_in: str
    operating_impedance: Quantity | None  # ohm, of the whole load, measured under power
    impedance_rise: Quantity | None  # factor on the nominal load
    lead: SpeakerLead | None = None
    mass: Quantity | None = None  # kg, drivers and box together


@dataclass(frozen=True, slots=True)
class Fuse:
    """A fuse or breaker in a cable."""

    id: str
    near: str  # location id
    distance: Quantity | None  # m, along the conductor from the terminal it is near
    style: str  # blade | strip | bolt_in | cartridge | breaker
    rating: Quantity  # A
    breaking_capacity: Quantity | None  # A
    resistance: Quantity | None  # ohm
    shared: bool  # one fuse for all runs
    holder_rating: Quantity | None = None  # A
    rated_voltage: Quantity | None = None  # V, of fuse or breaker
    opens_within: tuple[tuple[Quantity, Quantity], ...] = ()  # (A, longest s), rising current, data sheet
    holds_for: tuple[tuple[Quantity, Quantity], ...] = ()  # (A, shortest s)


@dataclass(frozen=True, slots=True)
class Cable:
    """A conductor, or equal conductors side by side, between two locations."""

    id: str
    title: str
    role: str  # feed | return
    start: str  # location id ("from")
    end: str  # location id ("to")
    chassis: bool  # the vehicle's body is the conductor
    size: Quantity | None  # m2 of one run
    material: str  # copper | cca_10 | cca_15 | aluminium
    insulation: Quantity | None  # degC
    length: Quantity | None  # m, one way, of one run
    runs: int
    resistance: Quantity | None  # ohm, of the whole path as installed, all runs, with its joints
    joints: Quantity | None  # ohm, both ends together, of one run
    ambient: Quantity | None  # degC along the run
    bundled: int | None  # loaded conductors lying together, this run's own included
    sheathed: bool
    fuses: Mapping[str, Fuse]


@dataclass(frozen=True, slots=True)
class Coupling:
    """A device that joins the positives of two locations, or opens them."""

    id: str
    title: str
    kind: str  # ignition_relay | voltage_sensing_relay | diode_isolator | switch
    start: str
    end: str
    closed: bool  # switch: as found
    closes: Quantity | None  # V
    opens: Quantity | None  # V
    delay: Quantity | None  # s
    resistance: Quantity | None  # ohm
    forward_drop: Quantity | None  # V
    continuous: Quantity | None  # A
    peak: Quantity | None  # A


@dataclass(frozen=True, slots=True)
class Engine:
    """What the engine does in a load case."""

    state: str  # stopped | auto_stop | idle | cruise
    speed: Quantity | None  # r/min, when a speed is given instead of a state


@dataclass(frozen=True, slots=True)
class Signal:
    """What is played."""

    kind: str  # tone | bursts | music
    tone: Quantity | None  # Hz
    burst: Quantity | None  # s of each burst
    every: Quantity | None  # s from burst to burst
    crest_factor: Quantity | None  # dB
    duration: Quantity  # s


@dataclass(frozen=True, slots=True)
class LoadCase:
    """One situation to compute."""

    id: str
    title: str
    engine: Engine
    signal: Signal
    drive: str  # clean | clipped
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

    id: str
    title: str
    cost: Quantity | None  # money, in the currency written
    currency: str
    mass: Quantity | None  # kg added
    changes: Mapping[str, Any]


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
    amplifier_limit: Limit
    vehicle_limit: Limit
    options: Mapping[str, Option]
    notes: tuple[str, ...]
    tree: Mapping[str, Any] = field(repr=False, metadata=AS_WRITTEN)  # the plain data, as validated
    places: Mapping[str, Place] = field(repr=False, metadata=AS_WRITTEN)
    text: bytes = field(repr=False, metadata=AS_WRITTEN)
    fuse_distance: str = ""  # rule that places are judged by; "" = the published default
    kept: Kept = field(default_factory=Kept)  # identity, people, measurements, checklist, photos, history
    configuration: Configuration | None = None  # the file the letterhead came from, where the build has none
