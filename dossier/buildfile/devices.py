"""What is fitted, as the build file states it: one frozen class per kind of device, SI inside (units: ``model``)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from dossier.buildfile.part import Part
from dossier.buildfile.recorded import NOT_SET, Id, Settings, Title
from dossier.buildfile.stated import Curve, Quantity
from dossier.frozen import dataclass


def _cells(part: Part) -> int | None:
    """Cells in series; those of a lithium iron phosphate unit are usually four."""
    cells: int | None = part.data.get("cells", {"lifepo4": 4}.get(part.data["chemistry"]))
    return cells


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

    id: Id
    title: Title
    kind: str  # alternator | dc_dc | charger
    at: str
    input_from: Annotated[str, "from"]  # dc_dc: the location it draws from, else ""
    runs_in: tuple[str, ...]  # engine states in which it works; () = the usual ones for its kind
    # engine state, or "any" -> V
    charging_voltage: Annotated[Mapping[str, Quantity], lambda p: p.by_state("charging_voltage")]
    rated_current: Quantity | None  # A; alternator: at 6000 r/min of its own shaft, cold
    output_at_shaft: Curve  # (shaft r/min, A), rising speed
    output_is_hot: bool  # the points are hot output, no derating to apply
    pulley_ratio: Quantity | None
    load_response: Quantity | None  # A/s below about 1000 engine r/min
    maximum_speed: Quantity | None  # shaft r/min
    efficiency: Quantity | None
    minimum_input: Quantity | None  # dc_dc: V below which it stops
    regulation: str = ""  # internal | engine_computer | external; "" = not stated
    belt: Belt | None = None
    serial: str = ""


@dataclass(frozen=True, slots=True)
class Management:
    """Limits of a lithium battery's own management; it opens when they are passed."""

    continuous: Quantity | None  # A
    peak: Quantity | None  # A
    peak_time: Quantity | None  # s that the peak may last
    low_voltage: Quantity | None  # V
    own_current: Quantity | None = None  # A it takes by itself
    coldest_charge: Quantity | None = None  # degC below which it lets no charge in
    fitted: bool = True  # false: stated that it has none


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """One battery, or several equal ones side by side."""

    id: Id
    title: Title
    at: str
    chemistry: str  # flooded | agm | lifepo4 | lto
    parallel: int = 1  # equal units side by side; every figure below is for one unit
    series: int = 1  # equal units in series (24 V systems)
    cells: Annotated[int | None, _cells]  # cells in series of one unit
    capacity: Quantity | None  # A s
    cold_cranking: Annotated[Quantity | None, "cold_cranking.current"]  # A
    cold_cranking_standard: Annotated[str, "cold_cranking.standard"]  # sae | en | din
    internal_resistance: Quantity | None  # ohm, 1 to 10 s pulse
    open_circuit_voltage: Quantity | None  # V, rested, at the stated state of charge
    state_of_charge: Quantity | None  # 0..1
    surface_charge: Quantity | None  # F, apparent capacitance above rest
    management: Management | None
    starts_engine: bool
    mass: Quantity | None
    vent_outside: bool = False  # a tube leads its gas out of the vehicle
    serial: str = ""
    in_service: str = ""  # ISO 8601 day; "" = not stated


@dataclass(frozen=True, slots=True, kw_only=True)
class CapacitorBank:
    """Double-layer capacitor cells in series and parallel."""

    id: Id
    title: Title
    at: str
    series: int
    parallel: int = 1
    capacitance: Annotated[Quantity, "cell.capacitance"]  # F, one cell
    esr: Annotated[Quantity | None, "cell.esr"]  # ohm, one cell
    rated_voltage: Annotated[Quantity | None, "cell.rated_voltage"]  # V, one cell
    mass: Quantity | None
    balancing: str = ""  # none | passive | active; "" = not stated
    standby_current: Quantity | None = None  # A, leakage and balancing of the whole bank
    precharge: Annotated[Quantity | None, "precharge.resistance"] = None  # ohm
    precharge_power: Annotated[Quantity | None, "precharge.power"] = None  # W the resistor may dissipate
    serial: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Amplifier:
    """One amplifier, as its data sheet rates it."""

    id: Id
    title: Title
    at: str
    supply: str  # regulated | unregulated
    output_class: Annotated[str, "class"] = "d"  # d | ab
    rated: Annotated[Curve, lambda p: p.curve("rated")[::-1]]  # (ohm, W), falling impedance
    rated_at: Quantity | None  # V
    efficiency: Quantity | None  # 0..1 at full power
    efficiency_third: Quantity | None  # 0..1 at a third of it
    efficiency_eighth: Quantity | None  # 0..1 at an eighth of it
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
    serial: str = ""
    settings: Settings = NOT_SET
    rating_basis: str = ""  # continuous | burst | maximum; "" = not stated


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
    material: str = "copper"


@dataclass(frozen=True, slots=True, kw_only=True)
class Speaker:
    """A set of equal drivers on one amplifier, or on a strapped pair."""

    id: Id
    title: Title
    amplifiers: Annotated[tuple[str, ...], "amplifier"]  # two = strapped, each sees half the load
    drivers: int = 1
    voice_coils: int = 1
    coil_impedance: Quantity
    coils_in: str = "series"  # series | parallel
    drivers_in: str = "parallel"
    operating_impedance: Quantity | None  # ohm, of the whole load, measured under power
    impedance_rise: Quantity | None  # factor on the nominal load
    lead: SpeakerLead | None = None
    mass: Quantity | None = None  # kg, drivers and box together
    serial: str = ""
    rated_power: Quantity | None = None  # W that one driver stands for long


@dataclass(frozen=True, slots=True)
class Fuse:
    """A fuse or breaker in a cable."""

    id: Id
    near: str  # location id
    distance: Quantity | None  # m, along the conductor from the terminal it is near
    style: str  # blade | strip | bolt_in | cartridge | breaker
    rating: Quantity  # A
    breaking_capacity: Quantity | None  # A
    resistance: Quantity | None  # ohm
    shared: bool  # one fuse for all runs
    holder_rating: Quantity | None = None  # A
    rated_voltage: Quantity | None = None  # V, of fuse or breaker
    opens_within: Curve = ()  # (A, longest s), rising current, data sheet
    holds_for: Curve = ()  # (A, shortest s)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cable:
    """A conductor, or equal conductors side by side, between two locations."""

    id: Id
    title: Title
    role: str  # feed | return
    start: Annotated[str, "from"]  # location id
    end: Annotated[str, "to"]  # location id
    chassis: bool  # the vehicle's body is the conductor
    size: Quantity | None  # m2 of one run
    material: str = "copper"  # copper | cca_10 | cca_15 | aluminium
    insulation: Quantity | None  # degC
    length: Quantity | None  # m, one way, of one run
    runs: int = 1
    resistance: Quantity | None  # ohm, of the whole path as installed, all runs, with its joints
    joints: Quantity | None  # ohm, both ends together, of one run
    ambient: Quantity | None  # degC along the run
    bundled: int | None  # loaded conductors lying together, this run's own included
    sheathed: bool
    fuses: Mapping[str, Fuse]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """A device that joins the positives of two locations, or opens them."""

    id: Id
    title: Title
    kind: str  # ignition_relay | voltage_sensing_relay | diode_isolator | switch
    start: Annotated[str, "from"]
    end: Annotated[str, "to"]
    closed: bool = True  # switch: as found
    closes: Quantity | None  # V
    opens: Quantity | None  # V
    delay: Quantity | None  # s
    resistance: Quantity | None  # ohm
    forward_drop: Quantity | None  # V
    continuous: Quantity | None  # A
    peak: Quantity | None  # A
