"""Rules on a start-stop system: what its stops take on a drive, and the voltage when it starts the engine again."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Engine, Quantity, StartStop
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.installed import running
from dossier.findings.rule import BY_CODE, Examined
from dossier.findings.storage import STARTS_V
from dossier.reader.promised import high_v, limit_v, load_a, low_v
from dossier.reference.batteries import LEAD_ACID
from dossier.reference.defaults import DEFAULTS

DRAIN = BY_CODE["start-stop-drain"]
DIP = BY_CODE["restart-dip"]

HOUR = 3600.0
STOP_S = 60.0


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Both, where the build file names start-stop or is looked at in that engine state."""
    build = subject.build
    system = build.vehicle.start_stop or (StartStop() if "auto_stop" in subject.running else None)
    starters = [b for b in subject.fit.batteries.values() if b.starts_engine]
    if system is None or not starters:
        return
    path = "vehicle.start_stop" if build.vehicle.start_stop else "vehicle"
    buses = {s.state: bus for s in subject.budget.states for bus in s.buses if starters[0].at in bus.locations}
    stopped, cruise = buses.get("auto_stop", buses.get("stopped")), buses.get("cruise")
    if stopped is None:
        return
    stop = running(build, Engine("auto_stop", None))
    amperes = stop.base.amperes.nominal + stopped.demands[0].amperes
    each = system.each.si if system.each else STOP_S
    taken = system.stops * each * amperes
    accepts = sum(
        b.charge.nominal * DEFAULTS[f"{'lead' if b.chemistry in LEAD_ACID else b.chemistry}.charge_acceptance"].typical
        for b in starters
    )
    spare = max(cruise.balances[0], 0.0) if cruise else 0.0
    given = min(spare, accepts) * max(HOUR - system.stops * each, 0.0)
    if taken > given:
        yield DRAIN.caution(
            f"{system.stops} stops of {each:.0f} s at {load_a(amperes)} A (music at 1/8 power) take "
            f"{taken / HOUR:.0f} Ah in an hour; driving in between gives back {int(given / HOUR)} Ah at most",
            path,
        )
    cranking = build.vehicle.cranking_current
    starter = cranking.si if cranking else DEFAULTS["vehicle.cranking"].typical
    siemens = sum(1.0 / (b.pulse.nominal + b.terminals.nominal) for b in starters)
    rest = max(b.open_circuit.nominal for b in starters)
    volts = max(rest - (starter + amperes) / siemens, 0.0)
    least = _least(subject)
    shuts = [subject.fit.amplifiers[a.id] for a in build.amplifiers.values() if a.at in stopped.locations]
    highest = max((a.shutdown.nominal for a in shuts), default=0.0)
    if volts < max(least, highest):
        below = limit_v(least) + " V it takes to start" if volts < least else high_v(highest) + " V of the shut-down"
        yield DIP.finding(
            Severity.CAUTION if volts < least else Severity.NOTE,
            f"{load_a(starter)} A of the starter and {load_a(amperes)} A of vehicle and music "
            f"leave {low_v(volts)} V at a restart, below the {below}",
            path,
        )


def _least(subject: Examined) -> float:
    """What has to be left at a restart [V]: what a cold-cranking test ends at, or the limit of the vehicle."""
    limit = subject.build.vehicle_limit
    stated: list[Quantity | None] = [limit.minimum_100ms, limit.trough]
    return max([STARTS_V * subject.build.vehicle.over_12_v, *(one.si for one in stated if one is not None)])
