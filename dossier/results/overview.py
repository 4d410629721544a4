"""The whole result of one build: what the document and every other output are made from."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum

from dossier.diagnostic import Diagnostic, Severity
from dossier.frozen import dataclass
from dossier.results.budget import LoadBudget
from dossier.results.charging import Charging
from dossier.results.inputs import Input, MusicStatistics
from dossier.results.logs import MeasuredLog
from dossier.results.options import OptionComparison
from dossier.results.protection import Protection
from dossier.results.readings import ReadingGain
from dossier.results.recorded import Recorded
from dossier.results.sag import LoadCaseResult
from dossier.results.schedule import ConductorRow
from dossier.results.sensitivity import Sensitivity
from dossier.results.storage import Storage
from dossier.results.units import Ohms, Volts, Watts


class SourceKind(StrEnum):
    """What kind of energy source something is."""

    BATTERY = "battery"
    CAPACITOR_BANK = "capacitor bank"
    ALTERNATOR = "alternator"
    CONVERTER = "DC-DC converter"
    CHARGER = "charger"


@dataclass(frozen=True, slots=True)
class EnergySource:
    """Anything that can feed a fault: a battery or bank by itself, a supply while something drives or feeds it."""

    id: str
    title: str
    kind: SourceKind
    at: str
    location: str
    detail: str  # "80 Ah AGM, 12.8 V"
    disconnect: str = ""  # id of the switch that isolates it, where the build file has one


@dataclass(frozen=True, slots=True)
class Wiring:
    """One net impedance to which the drivers of an amplifier can be wired.

    Attributes:
        ways: how: of each way the coils of a driver in series, of how many, and the drivers likewise.
        load: what the amplifier sees [ohm]; ``fitted`` whether it is wired to that.
        output: what it gives into that at its rated supply [W]; None below its lowest rated load.
    """

    ways: tuple[tuple[int, int, int, int], ...]
    load: Ohms
    fitted: bool
    output: Watts | None


@dataclass(frozen=True, slots=True)
class AmplifierRow:
    """One amplifier with the load it drives.

    Attributes:
        load_ohm: net impedance it sees [ohm]; as nominal; ``power_ohm`` under power.
        rated_w: output at its rated supply into that load [W].
        input_w, input_a: at that output [W], [A] at its rated supply voltage.
        terminal_v: rms voltage at its output terminals [V]; ``covered``: more than may be touched, to be covered.
        wirings: every net impedance that its drivers can be wired to, rising; empty where there is one alone, or
            several sets share the amplifier.
    """

    id: str
    title: str
    at: str
    supply: str
    speakers: tuple[str, ...]
    load_ohm: float
    power_ohm: float
    lowest_rated_ohm: float
    rated_w: float
    rated_at: Volts
    input_w: float
    input_a: float
    terminal_v: float
    covered: bool = False
    wirings: tuple[Wiring, ...] = ()


@dataclass(frozen=True, slots=True)
class KeyFigure:
    """One of the few numbers of the cover: value with unit, and what it is."""

    value: str
    caption: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """The sentence of the cover and the worst severity behind it."""

    severity: Severity
    sentence: str


class Stays(StrEnum):
    """What is still live when the terminal of the battery that starts the engine is off."""

    NOTHING = "nothing"
    OTHERS = "others"  # a source beside it
    REAR = "rear"  # a source in another place


@dataclass(frozen=True, slots=True)
class DailyVolts:
    """What the owner's voltmeter shows, and when to do something about it.

    Attributes:
        rest_low, rest_high: of a full starter battery, common practice; None where its cells decide.
        counted: rested voltage that the record counts with, where that is less than a full battery has.
        charging_low, charging_high: while driving; ``charging_stated`` by the build file, otherwise usual.
        turn_down, switch_off: below these.
    """

    rest_low: Volts | None
    rest_high: Volts | None
    counted: Volts | None
    charging_low: Volts
    charging_high: Volts
    charging_stated: bool
    turn_down: Volts
    switch_off: Volts


@dataclass(frozen=True, slots=True)
class Results:
    """Everything computed for one build. Frozen: nothing is written to it after it is made.

    Attributes:
        energy_sources: what can feed with the engine off and has to be made dead by itself: batteries and capacitor
            banks. A charger or converter with a store of its own is recorded as both.
        further_sources: what feeds only while something drives or feeds it: alternators, converters, chargers.
    """

    verdict: Verdict
    key_figures: tuple[KeyFigure, ...]
    energy_sources: tuple[EnergySource, ...]
    further_sources: tuple[EnergySource, ...]
    amplifiers: tuple[AmplifierRow, ...]
    load_cases: tuple[LoadCaseResult, ...]
    budget: LoadBudget
    schedule: tuple[ConductorRow, ...]
    findings: tuple[Diagnostic, ...]
    inputs: tuple[Input, ...]
    music: tuple[MusicStatistics, ...]
    protection: Protection = field(default=Protection())
    charging: Charging = field(default=Charging())
    storage: Storage = field(default=Storage())
    options: OptionComparison | None = None
    sensitivity: Sensitivity | None = None
    logs: tuple[MeasuredLog, ...] = ()
    recorded: Recorded = field(default=Recorded())
    reading_gains: tuple[ReadingGain, ...] = ()
    left_live: Stays = Stays.NOTHING
    daily: DailyVolts | None = None
