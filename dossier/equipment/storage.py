"""Batteries and capacitor banks with every number they need."""

from __future__ import annotations

from dataclasses import replace
from math import exp

from dossier.buildfile.model import Battery, Build, CapacitorBank, Management, Quantity
from dossier.electrical import batteries as law
from dossier.equipment.charging import charging_voltages
from dossier.equipment.feeding import joined
from dossier.equipment.value import ASSUMED, Subject, Value
from dossier.frozen import dataclass
from dossier.reference.batteries import DEFAULT_CELLS, LEAD_ACID
from dossier.reference.defaults import DEFAULTS

PULSE_S = 3.0  # s, geometric mean of the 1 to 10 s pulses that the resistance values come from
MOST_AT_REST = 2.25  # V of a lead-acid cell: more is being charged, not rested; common practice, no source
WARMED_THROUGH = 45.0  # degC of air; more is around a running engine only (see ``battery.temperature``)
NO_LIMIT = 1e8  # A; stands for a management limit that was not stated
PACKAGED = "two packaged 12.8 V battery specifications, read second-hand"
CHEMISTRY_WORDS = {
    "flooded": "flooded lead-acid",
    "agm": "AGM",
    "lifepo4": "lithium iron phosphate",
    "lto": "lithium titanate",
}


@dataclass(frozen=True, slots=True)
class TripLimits:
    """Where a lithium battery's management opens, all units together: A, A, s, V (None = never on that account)."""

    continuous: Value
    peak: Value
    peak_time: Value
    low_voltage: Value


@dataclass(frozen=True, slots=True)
class StorageBattery:
    """All equal units of one battery together, charge and resistances at 25 degC; ``in_place`` as it stands.

    Attributes:
        cells: in series, of the whole battery (6 per 12 V lead-acid block).
        charge: capacity of all units [A s]; ``charge_state`` 0..1.
        open_circuit: rested voltage at that state of charge [V]; ``bulk`` its slope as a capacitance [F].
        pulse: resistance of a 1 to 10 s pulse [ohm], of which ``ohmic`` answers at once, ``quick`` within a
            second (surface) and ``slow`` with time constant ``slow_tau`` [s] on top of it.
        ohmic_share: share of the pulse resistance that answers at once; assumed, also where ``pulse`` was measured:
            its low end counts for the largest fault current.
        surface: apparent capacitance above rest [F], None where the chemistry has none; ``charging`` the
            resistance that limits charging above rest [ohm].
        terminals: post clamps, both [ohm].
        temperature: of the battery, that of its place [degC]; ``resistance_ratio`` its resistance at that and at its
            state of charge, over the one at 25 degC and full.
    """

    id: str
    title: str
    at: str
    chemistry: str
    units: int
    cells: int
    starts_engine: bool
    charge: Value
    charge_state: Value
    open_circuit: Value
    bulk: Value
    pulse: Value
    ohmic_share: Value
    ohmic: Value
    quick: Value
    slow: Value
    slow_tau: Value
    surface: Value | None
    charging: Value | None
    terminals: Value
    temperature: Value
    resistance_ratio: Value
    trip: TripLimits | None

    def at_temperature(self, temperature: float) -> StorageBattery:
        """The same battery with the charge and the resistances that it has at a temperature [degC]."""
        ohms = law.temperature_factor(self.chemistry, temperature)
        held = law.capacity_factor(self.chemistry, temperature)
        return replace(
            self,
            charge=self.charge.scaled(held),
            bulk=self.bulk.scaled(held),
            pulse=self.pulse.scaled(ohms),
            ohmic=self.ohmic.scaled(ohms),
            quick=self.quick.scaled(ohms),
            slow=self.slow.scaled(ohms),
            charging=self.charging and self.charging.scaled(ohms),
        )

    @property
    def in_place(self) -> StorageBattery:
        """With the charge and the resistances that it has at the temperature of its place."""
        return self.at_temperature(self.temperature.nominal)


@dataclass(frozen=True, slots=True)
class Bank:
    """A capacitor bank: whole string values [F], [ohm], [V]."""

    id: str
    title: str
    at: str
    series: int
    parallel: int
    capacitance: Value
    esr: Value
    cell_rated: Value


def storage_batteries(build: Build) -> dict[str, StorageBattery]:
    """Every battery of the build, by id."""
    return {id_: _battery(build, battery) for id_, battery in build.batteries.items()}


def banks(build: Build) -> dict[str, Bank]:
    """Every capacitor bank of the build, by id."""
    return {id_: _bank(bank) for id_, bank in build.capacitor_banks.items()}


def _battery(build: Build, b: Battery) -> StorageBattery:
    who = Subject(f"batteries.{b.id}", b.title)
    lead = b.chemistry in LEAD_ACID
    family = "lead" if lead else b.chemistry
    cells_each = b.cells or _usual_cells(b)
    cells = cells_each * b.series
    blocks = cells / DEFAULT_CELLS[b.chemistry]  # in series, of the size that the defaults are for
    temperature = _temperature(build, b, who)
    if b.capacity is not None:
        unit_charge = who.stated(b.capacity, "capacity", "A s", spread=0.10)
    else:
        assert b.cold_cranking is not None  # the reader asks for one of the two
        label = b.cold_cranking.si
        unit_charge = who.assumed(
            "capacity", "capacity, from its cold-cranking current", "A s", "lead.cca_per_capacity"
        ).mapped(lambda per_second: label / per_second)
    charge = unit_charge.nominal
    pulse = _pulse_resistance(b, who, cells_each, unit_charge).scaled(b.series / b.parallel)
    state = _charge_state(build, b, who, cells)
    ocv = (
        who.stated(b.open_circuit_voltage, "rested voltage", "V", spread=0.05, absolute=True).scaled(b.series)
        if b.open_circuit_voltage
        else state.mapped(
            lambda s: law.open_circuit_voltage(b.chemistry, s, cells, temperature.nominal),
            quantity="rested voltage",
            unit="V",
        )
    )
    share = "lead.fault" if lead else "battery.fault"
    fault = who.assumed("ohmic_share", "ohmic share of the resistance, for fault currents", "", share)
    r1 = who.assumed("slow_share", "slow polarisation over ohmic resistance", "", f"{family}.r1")
    ohmic = pulse.scaled(fault.nominal)
    bulk = who.assumed("bulk", "slope of the rested voltage", "F", f"{family}.bulk", scale=charge * b.parallel / blocks)
    surface = charging = None
    slow_tau = who.assumed("slow_tau", "time constant of the slow polarisation", "s", f"{family}.tau1")
    by_then = fault.nominal * r1.nominal * (1.0 - exp(-PULSE_S / slow_tau.nominal))  # part of the pulse value
    quick = pulse.scaled(max(1.0 - fault.nominal - by_then, 0.02))
    if family != "lto":
        surface = (
            who.stated(b.surface_charge, "surface charge", "F", spread=0.3).scaled(b.parallel / b.series)
            if b.surface_charge
            else who.assumed(
                "surface_charge", "surface charge", "F", f"{family}.surface_charge", scale=charge * b.parallel / blocks
            )
        )
        charging = who.assumed(
            "charging_resistance",
            "resistance to charging above rest",
            "ohm",
            f"{family}.surface_charging",
            scale=blocks / (charge * b.parallel),
        )
    return StorageBattery(
        id=b.id,
        title=b.title,
        at=b.at,
        chemistry=b.chemistry,
        units=b.parallel * b.series,
        cells=cells,
        starts_engine=b.starts_engine,
        charge=unit_charge.scaled(b.parallel),
        charge_state=state,
        open_circuit=ocv,
        bulk=bulk,
        pulse=pulse,
        ohmic_share=fault,
        ohmic=ohmic,
        quick=quick,
        slow=r1.mapped(lambda share: share * ohmic.nominal, quantity="slow polarisation", unit="ohm"),
        slow_tau=slow_tau,
        surface=surface,
        charging=charging,
        terminals=who.assumed("terminals", "post clamps, both", "ohm", "joint.post", scale=2.0 / b.parallel),
        temperature=temperature,
        resistance_ratio=_resistance_ratio(b, temperature, state),
        trip=_trip(b, who, charge, cells),
    )


def _resistance_ratio(b: Battery, temperature: Value, state: Value) -> Value:
    """Resistance at the temperature and the charge of a battery over its stated value: cold and empty both raise it."""
    told = f"resistance of {CHEMISTRY_WORDS[b.chemistry]} at its temperature and charge, over that at 25 °C and full"
    warmth = temperature.mapped(lambda t: law.temperature_factor(b.chemistry, t), quantity=told, unit="1")
    most = max(1.0, law.charge_factor(b.chemistry, state.low).high)
    return replace(
        warmth,
        nominal=warmth.nominal * law.discharged_factor(b.chemistry, state.nominal),
        low=warmth.low * law.discharged_factor(b.chemistry, state.high),
        high=warmth.high * most,
    )


def _usual_cells(b: Battery) -> int:
    """Cells of a unit that does not state them: those of 12 V, or eight of lead-acid that rests higher than six can."""
    usual = DEFAULT_CELLS[b.chemistry]
    eight = b.chemistry in LEAD_ACID and b.open_circuit_voltage and b.open_circuit_voltage.si > MOST_AT_REST * usual
    return 8 if eight else usual


def _temperature(build: Build, b: Battery, who: Subject) -> Value:
    """What a battery has of its place; the air around a running engine does not warm it through."""
    air = build.locations[b.at].ambient
    words = "temperature of the battery"
    if air is not None and air.si <= WARMED_THROUGH:
        return who.stated(air, words, "degC", spread=5.0, absolute=True)
    return who.assumed("temperature", words, "degC", "battery.temperature")


def _charge_state(build: Build, b: Battery, who: Subject, cells: int) -> Value:
    """State of charge as stated; as assumed, no fuller than what charges its bus can fill it."""
    state = who.pick(
        b.state_of_charge, "state_of_charge", "state of charge", "", "battery.charge_state", spread=0.05, absolute=True
    )
    state = replace(state, low=max(state.low, 0.0), high=min(state.high, 1.0))
    bus = joined(build, b.at)
    charged = max((v for at, v in charging_voltages(build) if at in bus), key=lambda v: v.nominal, default=None)
    if state.basis != ASSUMED or charged is None:
        return state
    most, highest = (law.state_of_charge(b.chemistry, volts, cells) for volts in (charged.nominal, charged.high))
    if most >= state.nominal:
        return state
    return replace(
        state,
        nominal=most,
        low=min(state.low, most),
        high=max(min(state.high, highest), most),
        source=f"{state.source}; no fuller than {charged.nominal:.1f} V on its bus can charge it",
    )


def _pulse_resistance(b: Battery, who: Subject, cells: int, charge: Value) -> Value:
    """Resistance of one unit to a 1 to 10 s pulse [ohm]."""
    words = "internal resistance"
    if b.internal_resistance is not None:
        return who.stated(b.internal_resistance, words, "ohm", spread=0.2)
    if b.cold_cranking is not None:
        band = law.resistance_from_cranking(b.cold_cranking.si, b.cold_cranking_standard, cells)
        source = DEFAULTS["lead.resistance_cca"].source.text
        return who.from_band("internal_resistance", f"{words}, from its cold-cranking current", "ohm", band, source)
    band = law.resistance_from_capacity(b.chemistry, charge.nominal, cells)
    source = DEFAULTS[f"{b.chemistry}.resistance"].source.text
    return who.from_band("internal_resistance", f"{words}, from its capacity", "ohm", band, source)


def _trip(b: Battery, who: Subject, charge: float, cells: int) -> TripLimits | None:
    """Limits of the management: stated, or assumed for a packaged lithium iron phosphate battery."""
    packaged = b.chemistry == "lifepo4"
    if not packaged and b.management is None:
        return None
    m = b.management or Management(None, None, None, None)

    def current(q: Quantity | None, key: str, words: str) -> Value:
        if q is not None:
            return who.stated(q, words, "A", spread=0.05).scaled(b.parallel)
        if packaged:
            return who.assumed(f"management.{key}", words, "A", f"lifepo4.{key}", scale=charge * b.parallel)
        return who.fixed(NO_LIMIT, f"management.{key}", words, "A", "no limit stated")

    return TripLimits(
        continuous=current(m.continuous, "continuous", "management: continuous current"),
        peak=current(m.peak, "peak", "management: peak current"),
        peak_time=(
            who.stated(m.peak_time, "management: time at peak", "s", spread=0.1)
            if m.peak_time
            else who.fixed(3.0, "management.peak_time", "management: time at peak", "s", PACKAGED)
        ),
        low_voltage=(
            who.stated(
                m.low_voltage, "management: low-voltage cut-off", "V", spread=0.1, absolute=True
            ).scaled(b.series)
            if m.low_voltage
            else who.fixed(
                2.5 * cells if packaged else 0.0,
                "management.low_voltage",
                "management: low-voltage cut-off",
                "V",
                PACKAGED,
            )
        ),
    )


def _bank(b: CapacitorBank) -> Bank:
    who = Subject(f"capacitor_banks.{b.id}", b.title)
    cell = who.stated(b.capacitance, "capacitance of the string", "F", spread=0.0)
    # large cells lie between their label and 20 % above it; the label is the safe side for holding voltage
    most = DEFAULTS["capacitor.capacitance"].high
    farads = Value(cell.path, cell.device, cell.quantity, "F", cell.nominal, cell.low, cell.nominal * most, cell.basis)
    esr = who.pick(
        b.esr,
        "cell.esr",
        "series resistance of a cell",
        "ohm",
        "capacitor.tau",
        spread=0.2,
        scale=1.0 / b.capacitance.si,
    )
    links = who.assumed("links", "links between the cells", "ohm", "capacitor.joint", scale=b.series + 1.0)
    words = "series resistance of the string with its links"
    whole = esr.mapped(lambda r: (b.series * r + links.nominal) / b.parallel, quantity=words)
    return Bank(
        id=b.id,
        title=b.title,
        at=b.at,
        series=b.series,
        parallel=b.parallel,
        capacitance=farads.scaled(b.parallel / b.series),
        esr=whole,
        cell_rated=who.pick(
            b.rated_voltage, "cell.rated_voltage", "rated voltage of a cell", "V", "capacitor.rated_voltage", spread=0.0
        ),
    )
