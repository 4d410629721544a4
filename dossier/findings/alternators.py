"""Rules on alternators: speed, balance, belts, sharing, regulation."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.value import ASSUMED
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import down, load_a
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way

DEFICIT = BY_CODE["alternator-deficit"]
OVERSPEED = BY_CODE["alternator-overspeed"]
BELT = BY_CODE["belt-changes-with-pulley"]
BELT_TORQUE = BY_CODE["belt-torque-at-idle"]
SHARING = BY_CODE["alternators-share-unequally"]
EXTERNAL = BY_CODE["external-regulator"]
NO_CHARGING = BY_CODE["no-charging-source"]
AT_ITS_LIMIT = BY_CODE["supply-at-its-limit"]

TURNING = ("idle", "cruise")
IDLE_TORQUE = 50.0  # N m of the engine, all alternators together
HOT_AFTER_S = 600.0  # s at its limit from which a supply is as hot as it gets
UNEQUAL_SHARE = 0.3  # of the larger alternator's hot output


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything about alternators."""
    yield from _uncharged(subject)
    yield from _at_limit(subject)
    yield from _deficit(subject)
    for row in subject.charging.alternators:
        path = f"supplies.{row.id}"
        fastest = max(row.speeds, key=lambda s: s.shaft_rpm)
        if fastest.shaft_rpm > row.maximum:
            known = row.maximum_stated
            yield OVERSPEED.finding(
                Severity.STOP if known else Severity.CAUTION,
                f"{row.title}: {fastest.shaft_rpm:.0f} r/min of its shaft at {fastest.engine_rpm:.0f} r/min "
                "of the engine, "
                f"{'rated' if known else 'assumed limit'} {row.maximum:.0f} r/min",
                f"{path}.pulley_ratio",
            )
        if row.belt_change is not None:
            yield BELT.note(
                sentence(
                    "{alternator}: belt {change} {way} ({words})",
                    alternator=row.title,
                    change=Measure("fine", abs(row.belt_change)),
                    way="shorter" if row.belt_change < 0 else "longer",
                    words=row.belt_words,
                ),
                f"{path}.belt",
            )
        supply = subject.build.supplies[row.id]
        if supply.regulation == "external":
            yield EXTERNAL.note(f"{row.title}: regulated from outside", f"{path}.regulation")
    yield from _belt_torque(subject)
    for pair in subject.charging.sharing:
        largest = max(s.output for r in subject.charging.alternators for s in r.speeds)
        if pair.amperes > UNEQUAL_SHARE * largest:
            yield SHARING.note(
                f"{pair.first} and {pair.second}: {pair.volts:.2f} V apart ({pair.words}) at "
                f"{pair.ohms * 1000:.1f} mΩ of droop "
                f"is {pair.amperes:.0f} A of difference",
                "supplies",
            )


def _at_limit(subject: Examined) -> Iterator[Diagnostic]:
    """What gives all it can in the recharge; of a converter, made to limit itself, a note."""
    case = subject.storage.recharge
    if case is None or case.seconds < HOT_AFTER_S:
        return
    supplies = {f"supplies.{s.id}": s for s in subject.running["cruise"].supplies}
    for one in case.sources:
        if one.at_limit:
            supply = supplies[one.id]
            bounded = supply.kind != "alternator" or supply.limit.basis == ASSUMED
            yield AT_ITS_LIMIT.finding(
                Severity.NOTE if bounded else Severity.CAUTION,
                f"{one.title}: all of its {one.limit:.0f} A for {case.seconds / 60.0:.0f} min, while what was played "
                "with the engine off is put back and the music goes on",
                one.id,
            )


def _belt_torque(subject: Examined) -> Iterator[Diagnostic]:
    idle = [s for row in subject.charging.alternators for s in row.speeds if s.state == "idle"]
    torque = sum(s.torque for s in idle)
    if torque > IDLE_TORQUE:
        yield BELT_TORQUE.caution(
            sentence(
                "idle, {speed:.0f} r/min: {output:.0f} A take {torque} of the engine",
                speed=idle[0].engine_rpm,
                output=sum(s.output for s in idle),
                torque=Measure("torque", torque, Way.UP),
            ),
            "vehicle.idle",
        )


def _uncharged(subject: Examined) -> Iterator[Diagnostic]:
    """Load cases with the engine turning in which nothing charges."""
    alone = [
        case
        for case in subject.build.load_cases.values()
        if case.engine.state in TURNING
        and not any(s.running and s.kind != "dc_dc" for s in subject.running[case.engine.state].supplies)
    ]
    if alone:
        states = " and ".join(dict.fromkeys(case.engine.state for case in alone))
        titles = ", ".join(case.title for case in alone)
        yield NO_CHARGING.caution(
            f"no alternator or charger is recorded that works at {states}: what is stored is all there is for {titles}",
            "supplies" if subject.build.supplies else f"load_cases.{alone[0].id}.engine",
        )


def _deficit(subject: Examined) -> Iterator[Diagnostic]:
    if not any(s.kind == "alternator" for s in subject.build.supplies.values()):
        return
    for state in subject.budget.states:
        if state.state not in TURNING:
            continue
        severity = Severity.CAUTION if state.state == "cruise" else Severity.NOTE
        assumed = " (assumed)" if subject.running[state.state].base.amperes.basis == ASSUMED else ""
        for bus in state.buses:
            taken = f"{load_a(-bus.balances[0])} A"
            if bus.balances[0] >= 0.0:
                continue
            if bus.supply == 0.0:
                yield DEFICIT.finding(
                    severity,
                    f"{state.state}: nothing charges {bus.place}; music at 1/8 power takes {taken} from what is stored "
                    "there",
                    f"vehicle.{state.state}",
                    fix="a supply that works in that engine state too, or play there only as long as the battery lasts",
                )
                continue
            asked = [f"{load_a(bus.base_load)} A{assumed} of the vehicle"] if bus.base_load else []
            asked += [f"{load_a(bus.demands[0].amperes)} A of music"] if bus.demands[0].amperes else []
            asked += [f"{load_a(bus.passed_on[0])} A of converters"] if bus.passed_on[0] else []
            where = f" to {bus.place}" if bus.tag else ""
            yield DEFICIT.finding(
                severity,
                f"{state.state}: music at 1/8 power takes {taken} more than the supply gives{where} "
                f"({down(bus.supply)} A against {' + '.join(asked)})",
                f"vehicle.{state.state}",
            )
