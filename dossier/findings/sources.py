"""Rules on batteries that share a bus, and on what charges them."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.electrical.batteries import open_circuit_voltage
from dossier.equipment.feeding import joined
from dossier.equipment.storage import CHEMISTRY_WORDS
from dossier.findings.rule import BY_CODE, Danger, Examined
from dossier.reader.promised import down, high_v, load_a, up
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.reference.batteries import HYDROGEN_PER_COULOMB, LEAD_ACID, LITHIUM
from dossier.results.charging import Opens, Window

WINDOW = BY_CODE["charging-above-window"]
UNDERCHARGED = BY_CODE["charging-below-window"]
ENGINE_BAY = BY_CODE["lithium-in-engine-bay"]
COLD = BY_CODE["lithium-charged-in-the-cold"]
GAS = BY_CODE["gas-in-the-cabin"]
OFF_SYSTEM = BY_CODE["battery-not-of-this-system"]
MIXED = BY_CODE["mixed-chemistries"]
UNMANAGED = BY_CODE["lithium-without-management"]
LIVE = BY_CODE["live-without-the-starter-battery"]
DUMP = BY_CODE["load-dump"]

FACTORY = (  # the battery that starts the engine hangs on the alternator itself
    "a mains charger every few weeks and before winter; where the engine computer sets the voltage, the coding or the "
    "type of battery that its maker asks for"
)
HYDROGEN_AT_10_A = HYDROGEN_PER_COULOMB * 10.0 * 3600.0  # m3 an hour from six cells
LEAD_AND_IRON = (": what fills the one overcharges or never fills the other, and a failing cell is fed without limit")
WARM_LOCATION = 55.0  # degC of air; an engine bay in the words of a thermometer, common practice
# rested voltage over the system's nominal: five and six titanate cells, not seven; four iron phosphate, not three
OF_SYSTEM = (0.9, 1.3)
CHARGED_OVER_NOMINAL = 1.2  # 14.4 V of 12 V


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything wrong with sources on one bus."""
    yield from _windows(subject)
    yield from _lithium(subject)
    yield from _gas(subject)
    yield from _off_system(subject)
    yield from _mixed(subject)
    yield from _unmanaged(subject)
    rows = subject.charging.live
    if rows:
        names = sorted({name for row in rows for name in row.sources})
        places = ", ".join(row.title for row in rows)
        listed = " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]
        yield LIVE.note(
            f"with the starter battery off, {listed} still {'feeds' if len(names) == 1 else 'feed'} {places}",
            "batteries",
        )
    for dump in subject.charging.dumps:
        if dump.hits:  # a management opens by design, a fuse hardly ever
            yield DUMP.finding(
                Severity.CAUTION if dump.opens is Opens.MANAGEMENT else Severity.NOTE,
                f"{dump.what} at up to {load_a(dump.amperes)} A of charge: {dump.words}",
                "batteries",
            )


def _windows(subject: Examined) -> Iterator[Diagnostic]:
    for row in subject.charging.windows:
        if row.highest is None:
            continue
        battery = subject.build.batteries[row.id]
        cells = subject.fit.batteries[row.id].cells
        path = f"batteries.{row.id}"
        if row.verdict is Window.WARM:
            yield WINDOW.note(
                sentence(
                    "{row}: charged at {volts} V; at {degrees} the usual upper limit is {most} V, unless its "
                    "regulator follows the temperature",
                    row=row.title,
                    volts=high_v(row.highest),
                    degrees=Measure("temperature", row.temperature),
                    most=down(row.most, 1),
                ),
                path,
                fix="a regulator that follows the battery's temperature, or a cooler place",
                danger=Danger.WEAR,  # lead-acid dries out over a summer
            )
        elif row.verdict in (Window.NEVER, Window.ABOVE):
            forbidden = row.verdict is Window.NEVER
            yield WINDOW.finding(
                Severity.STOP if forbidden else Severity.CAUTION,
                sentence(
                    "{row}: charged at {volts} V, {each} V per cell; the usual upper limit{warm} is {most} V "
                    "({cell} V per cell), never above {never} V",
                    row=row.title,
                    volts=high_v(row.highest),
                    each=up(row.highest / cells, 2),
                    warm=sentence(" at {degrees}", degrees=Measure("temperature", row.temperature))
                    if row.shift
                    else "",
                    most=down(row.most, 1),
                    cell=down(row.most / cells, 2),
                    never=down(row.never, 1),
                ),
                path,
            )
        elif row.verdict is Window.BELOW and battery.chemistry not in LITHIUM:
            yield UNDERCHARGED.note(
                f"{row.title}: charged at {row.highest:.2f} V at most; a full charge takes {row.full:.2f} V or more",
                path,
                fix=FACTORY if battery.starts_engine else "",
            )


def _lithium(subject: Examined) -> Iterator[Diagnostic]:
    build = subject.build
    for battery in build.batteries.values():
        if battery.chemistry not in LITHIUM:
            continue
        place = build.locations[battery.at]
        ambient = place.ambient.si if place.ambient else None
        warm = ambient is not None and ambient >= WARM_LOCATION
        if place.zone == "engine_bay" or (battery.starts_engine and not place.zone) or warm:
            yield ENGINE_BAY.caution(
                sentence(
                    "{battery}: fitted at {place}" + ("" if ambient is None else " ({degrees})"),
                    battery=battery.title,
                    place=place.title,
                    degrees="" if ambient is None else Measure("temperature", ambient, Way.UP),
                ),
                f"batteries.{battery.id}.at",
            )
        row = next(r for r in subject.charging.windows if r.id == battery.id)
        if row.charge_from is None or row.highest is None:
            continue
        managed = battery.management.coldest_charge if battery.management else None
        blocked = managed is not None and managed.si >= row.charge_from
        if row.coldest is None and not blocked:
            yield COLD.caution(
                sentence(
                    "{battery}: no charge below {least}; how cold {place} gets is not stated, nor what blocks it",
                    battery=battery.title,
                    least=Measure("temperature", row.charge_from, Way.UP),
                    place=place.title,
                ),
                f"batteries.{battery.id}",
            )
        if row.coldest is None or row.coldest >= row.charge_from:
            continue
        yield COLD.finding(
            Severity.NOTE if blocked else Severity.STOP,
            sentence(
                "{battery}: {place} gets as cold as {coldest}; no charge below {least}, {blocked}",
                battery=battery.title,
                place=place.title,
                coldest=Measure("temperature", row.coldest, Way.DOWN),
                least=Measure("temperature", row.charge_from, Way.UP),
                blocked="its management blocks it: it is not charged then"
                if blocked
                else "and nothing is stated that blocks it",
            ),
            f"batteries.{battery.id}",
            danger=Danger.WEAR if blocked else None,
        )


def _unmanaged(subject: Examined) -> Iterator[Diagnostic]:
    for battery in subject.build.batteries.values():
        if battery.chemistry not in LITHIUM or (battery.management and battery.management.fitted):
            continue
        none = battery.management is not None
        yield UNMANAGED.finding(
            Severity.STOP if none else Severity.CAUTION,
            f"{battery.title}: {CHEMISTRY_WORDS[battery.chemistry]}, "
            + ("stated to have no management" if none else "no management is stated"),
            f"batteries.{battery.id}",
        )


def _gas(subject: Examined) -> Iterator[Diagnostic]:
    build = subject.build
    engine = {s.at for s in build.supplies.values() if s.kind == "alternator"}
    engine |= {b.at for b in build.batteries.values() if b.starts_engine}
    for battery in build.batteries.values():
        place = build.locations[battery.at]
        if (battery.chemistry not in LEAD_ACID or battery.vent_outside or place.zone in ("engine_bay", "outside")):
            continue
        inside = place.zone in ("cabin", "boot")
        path = f"batteries.{battery.id}"
        if not inside and battery.at in engine:
            if battery.chemistry == "flooded" and not place.zone:
                yield GAS.note(
                    f"{battery.title}: liquid acid at {place.title}, taken to be under the bonnet; inside it would "
                    "need a tube to the outside",
                    path,
                    fix="state the `zone` of its location",
                    danger=Danger.RECORD,
                )
            continue
        if battery.chemistry == "agm":
            if inside:
                yield GAS.caution(
                    f"{battery.title}: AGM at {place.title} without a vent tube stated; overcharged, it vents inside",
                    path,
                )
            continue
        yield GAS.finding(
            Severity.STOP if inside else Severity.CAUTION,
            sentence(
                "{battery}: liquid acid at {place}{zone}, no tube to the outside; 10 A of overcharge is {gas} of "
                "hydrogen an hour",
                battery=battery.title,
                place=place.title,
                zone="" if inside else " (zone not stated)",
                gas=Measure("gas", HYDROGEN_AT_10_A),
            ),
            path,
        )


def _nominal(subject: Examined, at: str) -> float:
    """Nominal voltage of a bus [V]: the vehicle's, or what only converters and chargers with a stated output make."""
    bus, build = joined(subject.build, at), subject.build
    here = [s for s in build.supplies.values() if s.at in bus]
    stated = [v.si for s in here if s.kind != "alternator" for v in s.charging_voltage.values()]
    starts = any(b.starts_engine for b in build.batteries.values() if b.at in bus)
    own = bool(stated) and not starts and all(s.kind != "alternator" for s in here)
    return max(stated) / CHARGED_OVER_NOMINAL if own else build.vehicle.system.si


def _off_system(subject: Examined) -> Iterator[Diagnostic]:
    for battery in subject.fit.batteries.values():
        nominal = _nominal(subject, battery.at)
        stated = subject.build.batteries[battery.id].open_circuit_voltage is not None
        half = "" if stated else ", half charged"
        rested = battery.open_circuit.nominal
        if not stated:
            rested = open_circuit_voltage(battery.chemistry, 0.5, battery.cells)
        if not OF_SYSTEM[0] <= rested / nominal <= OF_SYSTEM[1]:
            yield OFF_SYSTEM.stop(
                f"{battery.title}: {battery.cells} cells, {rested:.1f} V at rest{half}, in a {nominal:.0f} V system",
                f"batteries.{battery.id}",
            )


def _mixed(subject: Examined) -> Iterator[Diagnostic]:
    told: set[frozenset[str]] = set()
    build = subject.build
    for battery in build.batteries.values():
        bus = frozenset(b.id for b in build.batteries.values() if b.at in joined(build, battery.at))
        kinds = {build.batteries[id_].chemistry for id_ in bus}
        if len(kinds) > 1 and bus not in told:
            told.add(bus)
            here = [build.batteries[id_] for id_ in sorted(bus)]
            names = ", ".join(f"{one.title} ({CHEMISTRY_WORDS[one.chemistry]})" for one in here)
            burns = bool(kinds & set(LEAD_ACID)) and "lifepo4" in kinds
            yield MIXED.finding(
                Severity.STOP if burns else Severity.CAUTION,
                f"on one bus: {names}" + (LEAD_AND_IRON if burns else ""),
                f"batteries.{battery.id}.chemistry",
            )
