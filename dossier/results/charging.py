"""Sources on one bus: charging windows, capacitor banks, alternators, what stays live and what opens under charge."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from dossier.frozen import dataclass
from dossier.results.units import (
    Amperes,
    Celsius,
    Joules,
    Key,
    Metres,
    NewtonMetres,
    Ohms,
    Rpm,
    Seconds,
    Unit,
    Volts,
    Watts,
)


class Window(StrEnum):
    """What charges a battery against its window; the warm one holds unless the regulator follows the temperature."""

    NOTHING = "nothing charges it"
    NEVER = "above what it may ever see"
    ABOVE = "above the usual upper limit"
    WARM = "above the usual upper limit at this temperature"
    BELOW = "never quite full"
    WITHIN = "within its window"


class Opens(StrEnum):
    """What opens under charge."""

    FUSE = "fuse"
    MANAGEMENT = "management"


class Does(StrEnum):
    """What a unit that acts by the voltage it sees does while driving and in the load cases."""

    RARELY_CLOSES = "rarely closes: the alternator holds less while driving"
    OPENS_UNDER_BASS = "opens under bass, when it is wanted"
    OPEN = "open"
    STAYS_CLOSED = "stays closed while charging"
    STOPS = "stops in the load case: its input falls too low"
    RUNS = "keeps running"


class Silence(StrEnum):
    """Why a supply gives nothing although the engine runs."""

    TOO_SLOW = "its shaft turns too slowly"
    NOT_JOINED = "nothing is joined to its output"
    INPUT_LOW = "its input is below what it works from"
    BATTERY_ABOVE = "a battery rests above its charging voltage"
    SUPPLY_ABOVE = "another supply holds more"


@dataclass(frozen=True, slots=True)
class WindowRow:
    """A battery against what charges it; voltages of the whole battery [V], temperatures in degC.

    Attributes:
        lowest, highest: charging voltages on its bus over the engine states, None where nothing charges it.
        full: voltage that fills it; ``most`` the usual upper limit, both at its temperature; ``never`` never above.
        charge_from: no charging below this temperature, None where none is known; ``coldest`` of its place if stated.
        hydrogen: of a vented battery at 10 A of overcharge [m3/h], None where it is sealed or not lead-acid.
        verdict: of that window.
        temperature: of the battery, that of the air at its place [degC].
        rests: open-circuit voltage of the battery as it is taken to be charged [V].
        shift: by which that limit lies off its value at 25 degC [V]; lead-acid only, and no higher than ``never``.
    """

    id: str
    title: str
    location: str
    chemistry: str
    lowest: Volts | None
    highest: Volts | None
    full: Volts
    most: Volts
    never: Volts
    charge_from: Celsius | None
    coldest: Celsius | None
    hydrogen: Annotated[float | None, Unit("m3_per_h")]
    verdict: Window
    temperature: Celsius
    shift: Volts
    rests: Volts


@dataclass(frozen=True, slots=True)
class BankRow:
    """A capacitor bank: cell voltage, stored energy, and how it is charged and emptied.

    Attributes:
        farads: of the bank [F]; ``volts`` highest on its bus [V].
        cell: voltage of an average cell, ``worst_cell`` of the smallest without balancing, ``rated`` [V].
        spread: half width of the cells' capacitance that ``worst_cell`` takes.
        energy: stored [J].
        inrush: current if the contact closes onto the empty bank [A].
        precharge: resistor [ohm], stated or proposed; its first power [W], energy [J], and times to 95 and 99 % [s].
        bleed: proposed discharge resistor [ohm], its first power [W], times to 1 V and to 50 J [s].
    """

    id: str
    title: str
    farads: Annotated[float, Key("capacitance_f")]
    volts: Annotated[float, Key("highest_v")]
    series: int
    cell: Volts
    worst_cell: Volts
    rated: Volts
    spread: float
    balancing: str
    energy: Joules
    inrush: Amperes
    precharge: Ohms
    precharge_stated: bool
    precharge_power: Watts
    precharge_rating: Watts | None
    precharge_95: Seconds
    precharge_99: Seconds
    bleed: Ohms
    bleed_power: Watts
    bleed_to_1v: Seconds
    bleed_to_50j: Seconds


@dataclass(frozen=True, slots=True)
class SpeedRow:
    """An alternator at one engine speed: shaft speed [r/min], hot output [A], power taken from the engine [W]."""

    state: str
    engine_rpm: float
    shaft_rpm: float
    output: Amperes
    efficiency: float
    mechanical: Watts
    torque: NewtonMetres


@dataclass(frozen=True, slots=True)
class AlternatorRow:
    """An alternator: speeds against its limit, and the belt after a change of pulley [m]."""

    id: str
    title: str
    ratio: float
    maximum: Rpm
    maximum_stated: bool
    speeds: tuple[SpeedRow, ...]
    belt_change: Metres | None
    belt_words: str


@dataclass(frozen=True, slots=True)
class SharingRow:
    """Two alternators on one bus: by how much their currents may differ [A], for what difference of set-point [V]."""

    first: str
    second: str
    volts: Annotated[float, Key("difference_v")]
    ohms: Annotated[float, Key("droop_ohm")]
    amperes: Annotated[float, Key("difference_a")]
    words: str


@dataclass(frozen=True, slots=True)
class SilentRow:
    """A supply that gives nothing at rest in an engine state in which it works.

    Attributes:
        volts: what it sees: the battery or supply that stands above it, or its own input [V].
        needs: its charging voltage, or the least input it works from [V]; of one that turns too slowly, its shaft
            [r/min].
        other: title of what stands above it, or the location of its input.
        nothing_else: no other supply gives anything in this state either.
    """

    id: str
    title: str
    state: str
    cause: Silence
    volts: Annotated[float, Key("at_v")]
    needs: float
    other: str
    nothing_else: bool


@dataclass(frozen=True, slots=True)
class LiveRow:
    """What is still live at a location when the starter battery is taken off."""

    location: str
    title: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DumpRow:
    """An opening under charge: what opens, the current that it interrupts [A], and what is left to take it.

    Attributes:
        hits: whether loads stay with the alternator and nothing else, and get the load dump.
    """

    what: str
    amperes: Annotated[float, Key("current_a")]
    buffer: str
    words: str
    opens: Opens
    hits: bool = False


@dataclass(frozen=True, slots=True)
class RelayRow:
    """A voltage-controlled unit and what it sees: a sensing relay or a converter's input.

    Attributes:
        acts_above, acts_below: voltage that switches it on, and off [V].
        highest: charging voltage it sees while driving [V]; ``lowest`` in the load cases, None if it never plays.
    """

    id: str
    title: str
    kind: str
    acts_above: Volts
    acts_below: Volts
    highest: Volts
    lowest: Volts | None
    case: str
    words: Does


@dataclass(frozen=True, slots=True)
class Charging:
    """Everything about sources on one bus."""

    windows: tuple[WindowRow, ...] = ()
    banks: tuple[BankRow, ...] = ()
    alternators: tuple[AlternatorRow, ...] = ()
    sharing: tuple[SharingRow, ...] = ()
    live: tuple[LiveRow, ...] = ()
    dumps: tuple[DumpRow, ...] = ()
    relays: tuple[RelayRow, ...] = ()
    silent: tuple[SilentRow, ...] = ()
