"""Rules on batteries, banks and supplies that share a bus."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.charging import ChargingSource
from dossier.equipment.feeding import joined
from dossier.findings.rule import Rule, Subject
from dossier.reference.batteries import CHARGING

WINDOW = Rule(
    "charging-above-window",
    "The charging voltage is above what a battery may see",
    "gassing and drying out of lead-acid; overcharge and fire with lithium",
    "a lower charging voltage, more cells in series, or a charger of its own for that battery",
    "charge voltages per chemistry, appendix",
)
UNDERCHARGED = Rule(
    "charging-below-window",
    "The charging voltage does not fill a battery",
    "it never gets full; lead-acid sulphates and loses capacity within months",
    "a DC-DC converter with the right charging voltage for that battery",
    "charge voltages per chemistry, appendix",
)
CELL_OVER = Rule(
    "capacitor-cell-above-rating",
    "The cells of a capacitor bank see more than their rated voltage",
    "they age fast, vent, and may open",
    "one more cell in series, and balancing",
    "voltage of the bus divided by the cells in series; rating of the cell",
)
RELAY_OPEN = Rule(
    "relay-never-closes",
    "A voltage-sensing relay rarely sees its closing voltage",
    "the battery behind it is not charged and goes flat, after which it helps less than none",
    "a DC-DC converter, or a relay switched by the ignition",
    "closing voltage of the relay against the charging voltage of the engine state",
)
ENGINE_BAY = Rule(
    "lithium-in-engine-bay",
    "A lithium battery sits next to the engine",
    "heat ages it fast and its management opens; few are allowed there",
    "move it out of the engine bay",
    "common practice, no source",
)
MIXED = Rule(
    "mixed-chemistries",
    "Batteries of different chemistry share a bus",
    "one does all the work or is charged wrongly all its life",
    "one chemistry, or a DC-DC converter between them",
    "common practice, no source",
)
DEFICIT = Rule(
    "alternator-deficit",
    "The alternator does not make up what the music takes",
    "the batteries empty while driving, and one day the engine does not start",
    "less level, more alternator, or more idle speed; then the batteries only bridge the notes",
    "load budget, mean current at 1/8 power",
)
RULES = (WINDOW, UNDERCHARGED, CELL_OVER, RELAY_OPEN, ENGINE_BAY, MIXED, DEFICIT)

SAME = 1.0005  # a rounded division by the number of cells is no excess
WARM_LOCATION = 55.0  # degC of air; an engine bay in the words of a thermometer, common practice


def findings(subject: Subject) -> Iterator[Diagnostic]:
    """Everything wrong with sources on one bus."""
    yield from _windows(subject)
    yield from _banks(subject)
    yield from _relays(subject)
    yield from _lithium(subject)
    yield from _mixed(subject)
    yield from _deficit(subject)


def _chargers(subject: Subject, location: str, *, lowest: bool) -> tuple[float, ChargingSource] | None:
    """The extreme charging voltage on the bus of a location, over engine states."""
    bus = joined(subject.build, location)
    volts = [
        (s.set_point.nominal, s)
        for run in subject.running.values()
        for s in run.supplies
        if s.running and s.at in bus
    ]
    if not volts:
        return None
    return min(volts, key=lambda v: v[0]) if lowest else max(volts, key=lambda v: v[0])


def _windows(subject: Subject) -> Iterator[Diagnostic]:
    for battery in subject.fit.batteries.values():
        window = CHARGING[battery.chemistry]
        highest = _chargers(subject, battery.at, lowest=False)
        if highest is None:
            continue
        volts, supply = highest
        per_cell = volts / battery.cells
        path = f"batteries.{battery.id}"
        if per_cell > window.charge_high * SAME:
            lithium = battery.chemistry in ("lifepo4", "lto")
            yield WINDOW.finding(
                Severity.STOP if lithium and per_cell > window.maximum * SAME else Severity.CAUTION,
                f"{battery.title}: {supply.title} charges at {volts:.1f} V, {per_cell:.2f} V per cell; "
                f"the usual most is {window.charge_high:.2f} V, never above {window.maximum:.2f} V "
                f"({window.maximum * battery.cells:.1f} V)",
                path,
            )
        elif per_cell < window.charge_low / SAME and battery.chemistry in ("flooded", "agm"):
            yield UNDERCHARGED.finding(
                Severity.NOTE,
                f"{battery.title}: {supply.title} charges at {volts:.1f} V at most; a full charge takes "
                f"{window.charge_low * battery.cells:.1f} V or more",
                path,
            )


def _banks(subject: Subject) -> Iterator[Diagnostic]:
    for bank in subject.fit.banks.values():
        highest = _chargers(subject, bank.at, lowest=False)
        if highest is None:
            continue
        volts, supply = highest
        cell = volts / bank.series
        rated = bank.cell_rated.nominal
        if cell > rated:
            yield CELL_OVER.finding(
                Severity.STOP,
                f"{bank.title}: {bank.series} cells in series at {volts:.1f} V ({supply.title}) see {cell:.2f} V each, "
                f"rated {rated:.2f} V",
                f"capacitor_banks.{bank.id}.series",
            )


def _relays(subject: Subject) -> Iterator[Diagnostic]:
    for joining in subject.fit.joinings.values():
        if joining.closes is None:
            continue
        cruise = subject.running.get("cruise")
        volts = (
            [s.set_point.nominal for s in cruise.supplies if s.running and s.kind == "alternator"]
            if cruise
            else []
        )
        if volts and max(volts) < joining.closes.nominal:
            yield RELAY_OPEN.finding(
                Severity.CAUTION,
                f"{joining.coupling.title}: closes at {joining.closes.nominal:.1f} V, but the alternator holds "
                f"{max(volts):.1f} V while driving",
                f"couplings.{joining.id}",
            )


def _lithium(subject: Subject) -> Iterator[Diagnostic]:
    for battery in subject.build.batteries.values():
        if battery.chemistry not in ("lifepo4", "lto"):
            continue
        place = subject.build.locations[battery.at]
        ambient = place.ambient.si if place.ambient else None
        if battery.starts_engine or (ambient is not None and ambient >= WARM_LOCATION):
            degrees = "" if ambient is None else f" ({ambient:.0f} °C)"
            yield ENGINE_BAY.finding(
                Severity.CAUTION,
                f"{battery.title}: fitted at {place.title}{degrees}",
                f"batteries.{battery.id}.at",
            )


def _mixed(subject: Subject) -> Iterator[Diagnostic]:
    told: set[frozenset[str]] = set()
    build = subject.build
    for battery in build.batteries.values():
        bus = frozenset(b.id for b in build.batteries.values() if b.at in joined(build, battery.at))
        kinds = {build.batteries[id_].chemistry for id_ in bus}
        if len(kinds) > 1 and bus not in told:
            told.add(bus)
            names = ", ".join(
                f"{build.batteries[i].title} ({build.batteries[i].chemistry})" for i in sorted(bus)
            )
            yield MIXED.finding(Severity.CAUTION, f"on one bus: {names}", f"batteries.{battery.id}.chemistry")


def _deficit(subject: Subject) -> Iterator[Diagnostic]:
    if not any(s.kind == "alternator" for s in subject.build.supplies.values()):
        return
    for state in subject.budget.states:
        if state.state not in ("idle", "cruise"):
            continue
        balance = state.balances[0]
        if balance < 0.0:
            yield DEFICIT.finding(
                Severity.CAUTION if state.state == "cruise" else Severity.NOTE,
                f"{state.state}: music at 1/8 power takes {-balance:.0f} A more than the supply gives "
                f"({state.supply:.0f} A against {state.base_load:.0f} A + {state.demands[0].amperes:.0f} A)",
                f"vehicle.{state.state}",
            )
