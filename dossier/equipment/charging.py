"""Alternators, DC-DC converters and chargers with every number they need."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Build, Engine, Supply
from dossier.electrical import alternators
from dossier.equipment.value import Subject, Value
from dossier.frozen import dataclass
from dossier.reference.alternators import FRACTION_SOURCE
from dossier.reference.band import Band
from dossier.reference.defaults import DEFAULTS

RUNS_BY_KIND = {
    "alternator": ("idle", "cruise"),
    "dc_dc": ("auto_stop", "idle", "cruise"),
    "charger": ("stopped",),
}
DEFAULT_VOLTAGE = {"alternator": "alternator.set_point", "dc_dc": "dc_dc.output", "charger": "charger.output"}
LOAD_RESPONSE_BELOW_RPM = 1000.0  # engine speed; descriptions of load-response control, read second-hand


@dataclass(frozen=True, slots=True)
class ChargingSource:
    """One supply in one engine state.

    Attributes:
        running: whether it works in this state.
        set_point: regulated voltage [V]; ``slope`` its droop [ohm]; ``limit`` the most it gives [A].
        tau: how fast its current follows [s]; ``rise`` the fastest rise [A/s], None where nothing holds it back.
        efficiency: output over input power.
        minimum_input: converter: input voltage below which it stops [V].
        engine_rpm, shaft_rpm: speeds; shaft speed is 0 for what does not turn.
    """

    id: str
    title: str
    kind: str
    at: str
    input_from: str
    running: bool
    set_point: Value
    slope: Value
    limit: Value
    tau: Value
    rise: Value | None
    efficiency: Value
    minimum_input: Value | None
    shaft_rpm: float


def engine_speed(build: Build, engine: Engine) -> Value:
    """Engine speed of a state [r/min]; 0 when it stands still."""
    vehicle = Subject("vehicle", "Engine")
    if engine.speed is not None:
        return vehicle.stated(engine.speed, "speed of the load case", "r/min", spread=0.0)
    if engine.state == "idle":
        return vehicle.pick(build.vehicle.idle, "idle", "idle speed", "r/min", "engine.idle", spread=0.03)
    if engine.state == "cruise":
        return vehicle.pick(
            build.vehicle.cruise, "cruise", "speed while driving", "r/min", "engine.cruise", spread=0.05
        )
    return vehicle.fixed(0.0, engine.state, "speed", "r/min", "the engine stands still")


def charging_sources(build: Build, engine: Engine) -> tuple[ChargingSource, ...]:
    """Every supply as it works in one engine state."""
    rpm = engine_speed(build, engine)
    return tuple(
        (_alternator if supply.kind == "alternator" else _static)(supply, engine, rpm, build.vehicle.over_12_v)
        for supply in build.supplies.values()
    )


def _runs(supply: Supply, engine: Engine) -> bool:
    return engine.state in (supply.runs_in or RUNS_BY_KIND[supply.kind])


def charging_voltages(build: Build) -> Iterator[tuple[str, Value]]:
    """Where each supply stands, and its charging voltage in each engine state in which it works [V]."""
    for supply in build.supplies.values():
        who = Subject(f"supplies.{supply.id}", supply.title, build.vehicle.over_12_v)
        for state in supply.runs_in or RUNS_BY_KIND[supply.kind]:
            yield supply.at, _set_point(supply, state, who)


def _set_point(supply: Supply, state: str, who: Subject) -> Value:
    q = supply.charging_voltage.get(state) or supply.charging_voltage.get("any")
    if q is None and supply.charging_voltage:  # stated for other states only: take the lowest of them
        q = min(supply.charging_voltage.values(), key=lambda x: x.si)
    return who.pick(
        q, "charging_voltage", "charging voltage", "V", DEFAULT_VOLTAGE[supply.kind], spread=0.2, absolute=True
    )


def _alternator(supply: Supply, engine: Engine, rpm: Value, over_12_v: float) -> ChargingSource:
    who = Subject(f"supplies.{supply.id}", supply.title, over_12_v)
    ratio = who.pick(supply.pulley_ratio, "pulley_ratio", "pulley ratio", "", "alternator.pulley_ratio", spread=0.01)
    shaft = rpm.nominal * ratio.nominal
    running = _runs(supply, engine) and rpm.nominal > 0.0
    output = _output(supply, who, shaft)
    limit = output if running else output.scaled(0.0)
    droop = who.assumed("droop", "droop from light to full load", "V", "alternator.droop")
    rated = (
        supply.rated_current.si if supply.rated_current else max((a.si for _, a in supply.output_at_shaft), default=1.0)
    )
    slow = 0.0 < rpm.nominal < LOAD_RESPONSE_BELOW_RPM
    rise = (
        who.pick(
            supply.load_response,
            "load_response",
            "rise allowed by load response",
            "A/s",
            "alternator.load_response",
            spread=0.2,
        )
        if slow
        else None
    )
    return ChargingSource(
        id=supply.id,
        title=supply.title,
        kind=supply.kind,
        at=supply.at,
        input_from="",
        running=running,
        set_point=_set_point(supply, engine.state, who),
        slope=droop.mapped(lambda v: v / rated, quantity="slope of the regulated voltage", unit="ohm"),
        limit=limit,
        tau=who.assumed("tau", "time constant of its current", "s", "alternator.tau"),
        rise=rise,
        efficiency=who.pick(supply.efficiency, "efficiency", "efficiency", "", "alternator.efficiency", spread=0.05),
        minimum_input=None,
        shaft_rpm=shaft,
    )


def _output(supply: Supply, who: Subject, shaft: float) -> Value:
    """Hot output at a shaft speed [A]: from the stated points, else from the rated current alone."""
    hot = alternators.hot_factor(shaft)
    band = DEFAULTS["alternator.hot"]
    if supply.output_at_shaft:
        points = tuple((speed.si, amperes.si) for speed, amperes in supply.output_at_shaft)
        at_speed = alternators.output_at(points, shaft)
        first = next((a for _, a in supply.output_at_shaft if a.si > 0.0), supply.output_at_shaft[0][1])
        output = who.stated(first, "hot output at this speed", "A", spread=0.10).mapped(
            lambda a: at_speed * (a / first.si if first.si > 0.0 else 1.0)
        )
        if supply.output_is_hot:
            return output
        return Value(
            output.path,
            output.device,
            output.quantity,
            "A",
            output.nominal * hot,
            output.low * min(hot, band.low),
            output.high * band.high,
            output.basis,
            band.source.text,
        )
    assert supply.rated_current is not None  # the reader asks for one of the two
    cold = alternators.output_from_rating(supply.rated_current.si, shaft)
    return who.from_band(
        "output_at_shaft",
        "hot output at this speed, from its rated current",
        "A",
        Band(cold.low * min(hot, band.typical), cold.typical * hot, max(cold.high * band.high, cold.typical * hot)),
        FRACTION_SOURCE.text,
    )


def _static(supply: Supply, engine: Engine, rpm: Value, over_12_v: float) -> ChargingSource:
    who = Subject(f"supplies.{supply.id}", supply.title, over_12_v)
    assert supply.rated_current is not None  # the reader asks for it
    converter = supply.kind == "dc_dc"
    limit = who.stated(supply.rated_current, "rated output current", "A", spread=0.03)
    running = _runs(supply, engine)
    return ChargingSource(
        id=supply.id,
        title=supply.title,
        kind=supply.kind,
        at=supply.at,
        input_from=supply.input_from,
        running=running,
        set_point=_set_point(supply, engine.state, who),
        slope=who.assumed("slope", "slope of its output", "ohm", "dc_dc.resistance"),
        limit=limit if running else limit.scaled(0.0),
        tau=who.fixed(0.01, "tau", "time constant of its current", "s", "assumption: quick against a bass note"),
        rise=None,
        efficiency=who.pick(supply.efficiency, "efficiency", "efficiency", "", "dc_dc.efficiency", spread=0.02),
        minimum_input=who.pick(
            supply.minimum_input,
            "minimum_input",
            "lowest input voltage",
            "V",
            "dc_dc.minimum_input",
            spread=0.2,
            absolute=True,
        )
        if converter
        else None,
        shaft_rpm=0.0,
    )
